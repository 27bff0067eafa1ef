"""Who may ask, and who asks."""
