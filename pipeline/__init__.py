"""The night: uploads in, answers out, in the order in which data flows."""
