"""Messages to gardens: what a night found, in a few plain lines, ready to be sent."""
