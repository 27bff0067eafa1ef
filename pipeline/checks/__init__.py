"""Rows in, findings out."""
