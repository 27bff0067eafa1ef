"""Soil map units: polygons that say what the soil of a place is like where nobody has tested it."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
import shapely

from sites.errors import InputError
from sites.geography.features import read_features
from sites.scalars import Numbers

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

#: Properties of a map unit: unit is its name; percent of fine earth and of organic matter; pH in water;
#: available water in cm per cm; drainage class.
PROPERTIES = (
    "unit",
    "sand_pct",
    "silt_pct",
    "clay_pct",
    "organic_matter_pct",
    "ph",
    "available_water",
    "drainage",
)

#: Properties that are text.
TEXT = ("unit", "drainage")


def read_map_units(path: Path | str) -> "GeoDataFrame":
    """Return the soil map units of a GeoJSON file, in the order of their names.

    Columns: those of PROPERTIES and geometry (degrees). A property may be missing in a unit, not in all.
    Raises InputError where the file is no GeoJSON or its units have no name.
    """
    features = read_features(path)
    absent = [name for name in PROPERTIES if name not in features.columns]
    if absent:
        raise InputError(
            f"{path}: no map unit has {', '.join(absent)}. The properties are {', '.join(PROPERTIES)}."
        )
    units = features[[*PROPERTIES, "geometry"]].copy()
    for name in PROPERTIES:
        units[name] = (
            units[name].astype("str") if name in TEXT else pd.to_numeric(units[name], errors="coerce")
        )
    if units["unit"].isna().any() or units["unit"].duplicated().any():
        raise InputError(f"{path}: every map unit needs a name of its own in the property unit.")
    return units.sort_values("unit", ignore_index=True)


def unit_of(lon: Numbers, lat: Numbers, units: pd.DataFrame) -> Any:
    """Return for each point the row number of its map unit, -1 outside all: an array of whole numbers.

    A point on a border belongs to the unit whose name comes first. Joined in degrees, where edges are
    straight.
    """
    lon_deg, lat_deg = np.broadcast_arrays(
        np.atleast_1d(np.asarray(lon, dtype=float)), np.atleast_1d(np.asarray(lat, dtype=float))
    )
    placed = np.flatnonzero(~(np.isnan(lon_deg) | np.isnan(lat_deg)))
    tree = shapely.STRtree(shapely.points(lon_deg[placed], lat_deg[placed]))
    unit, point = tree.query(np.asarray(units["geometry"], dtype=object), predicate="intersects")
    found = np.full(len(lon_deg), len(units))
    np.minimum.at(found, placed[point], unit)
    return np.where(found == len(units), -1, found)
