"""The published snapshot: everything that pages show, made once a night."""
