"""Everything known of a garden's place in a season: one row for each, every number with its unit and its state."""

from sites.attributes.table import Sources, attributes
from sites.attributes.windows import season_windows

__all__ = ["Sources", "attributes", "season_windows"]
