"""What a volunteer sends: what it is told, how it is mended, and the sheets to fill in."""
