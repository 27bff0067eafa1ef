"""All checks of rows, in the order in which a reader meets them."""

from pipeline.checks.check import Check
from pipeline.checks.themes import (
    keys,
    outreach,
    planting,
    plots,
    ranges,
    reading,
    registry,
    season,
    soil,
    units,
    weights,
)

CATALOGUE: tuple[Check, ...] = (
    *reading.CHECKS,
    *reading.DATES,
    *registry.CHECKS,
    *keys.CHECKS,
    *ranges.CHECKS,
    *units.CHECKS,
    *weights.CHECKS,
    *season.CHECKS,
    *plots.CHECKS,
    *planting.CHECKS,
    *outreach.CHECKS,
    *soil.CHECKS,
)
