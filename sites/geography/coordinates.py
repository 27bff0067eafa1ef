"""Coordinates as people type them: swapped, without a sign, or nowhere near the network."""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from sites.geography.counties import county_of
from sites.scalars import Numbers, scalars_stay_scalars

#: How far outside the region's bounding box a mended point may fall, in degrees: about the 1 km that a county
#: join forgives.
BOX_MARGIN_DEG = 0.01

#: Decimals of a degree from which a place counts as exact: the third is 111 m of latitude.
EXACT_DECIMALS = 3


class CoordinateCheck(NamedTuple):
    """What coordinates look like, and the ones that were likely meant (missing where nobody can tell)."""

    verdict: Any
    lon: Any
    lat: Any


def coordinate_check(lon: Numbers, lat: Numbers, counties: pd.DataFrame) -> CoordinateCheck:
    """Return for each point "good", "swapped", "longitude sign", "outside" or "missing", and the likely mend.

    A point inside a county or within 1 km of one is good and is its own suggestion. A mend is suggested only
    where the point as written is nowhere near the region and the mended one falls into the region's box:
    nothing is repaired in silence. 0, 0 is what a program makes of two blanks, so it counts as missing.
    Scalars give scalars, arrays arrays.
    """
    lon_deg, lat_deg = np.broadcast_arrays(np.asarray(lon, dtype=float), np.asarray(lat, dtype=float))
    missing = np.isnan(lon_deg) | np.isnan(lat_deg) | ((lon_deg == 0.0) & (lat_deg == 0.0))
    match = county_of(lon_deg.ravel(), lat_deg.ravel(), counties)["match"].to_numpy().reshape(lon_deg.shape)
    box = shapely.total_bounds(np.asarray(counties["geometry"], dtype=object))
    mends = [
        ("longitude sign", -lon_deg, lat_deg),
        ("swapped", lat_deg, lon_deg),
        ("swapped", -lat_deg, lon_deg),
    ]
    conditions = [missing, match != "outside", *(_in_box(x, y, box) for _, x, y in mends)]
    verdict = np.select(conditions, ["missing", "good", *(name for name, _, _ in mends)], "outside")
    suggested_lon = np.select(conditions, [np.nan, lon_deg, *(x for _, x, _ in mends)], np.nan)
    suggested_lat = np.select(conditions, [np.nan, lat_deg, *(y for _, _, y in mends)], np.nan)
    if lon_deg.ndim == 0:
        return CoordinateCheck(verdict.item(), suggested_lon.item(), suggested_lat.item())
    return CoordinateCheck(verdict, suggested_lon, suggested_lat)


@scalars_stay_scalars
def has_few_decimals(lon: Numbers, lat: Numbers) -> npt.NDArray[Any]:
    """Return whether both coordinates have fewer than three decimals: known to a kilometre at best."""
    scaled = np.stack(np.broadcast_arrays(np.asarray(lon, dtype=float), np.asarray(lat, dtype=float)))
    scaled = scaled * 10.0 ** (EXACT_DECIMALS - 1)
    return np.all(np.abs(scaled - np.rint(scaled)) < 1e-6, axis=0, keepdims=True)[0]


def _in_box(lon: npt.NDArray[Any], lat: npt.NDArray[Any], box: npt.NDArray[Any]) -> npt.NDArray[Any]:
    west, south, east, north = box
    return (
        (lon >= west - BOX_MARGIN_DEG)
        & (lon <= east + BOX_MARGIN_DEG)
        & (lat >= south - BOX_MARGIN_DEG)
        & (lat <= north + BOX_MARGIN_DEG)
    )
