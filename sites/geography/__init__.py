"""Where a garden lies: its county, its position along the axis, and what of that others may see."""

from sites.geography.axis import Axis, plane_km, position_km
from sites.geography.coordinates import CoordinateCheck, coordinate_check, has_few_decimals
from sites.geography.counties import county_of, read_counties
from sites.geography.distances import too_close
from sites.geography.outlines import outline_km
from sites.geography.public import coarse_point, coarse_uncertainty_m, point_geojson, public_place

__all__ = [
    "Axis",
    "CoordinateCheck",
    "coarse_point",
    "coarse_uncertainty_m",
    "coordinate_check",
    "county_of",
    "has_few_decimals",
    "outline_km",
    "plane_km",
    "point_geojson",
    "position_km",
    "public_place",
    "read_counties",
    "too_close",
]
