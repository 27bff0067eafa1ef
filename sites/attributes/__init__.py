"""What is known of a garden's place in a season: one row for each, numbers with their unit and state."""

from sites.attributes.table import Sources, attributes
from sites.attributes.windows import season_windows

__all__ = ["Sources", "attributes", "season_windows"]
