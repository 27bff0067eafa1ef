"""A network of any size with a known truth, made from a seed: for demonstrations, tests and planning."""
