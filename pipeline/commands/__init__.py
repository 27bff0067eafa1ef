"""The commands of `longrow`: each parses, calls and prints; the work is done elsewhere."""
