"""Figures: frames in, a Plotly figure out. Nothing here knows the web."""
