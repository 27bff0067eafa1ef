"""Checks over all rows of a season that count, run once a night; `checks.season.find` collects them."""
