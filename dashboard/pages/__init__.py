"""The pages: each a function of the snapshot seen and of its address."""
