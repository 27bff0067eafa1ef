"""The checks of rows, one module for each theme; `checks.catalogue` collects them."""
