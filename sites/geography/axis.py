"""Kilometres along the network's axis and across it, in a plane laid through the middle of the network."""

from functools import lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import numpy.typing as npt

from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars

if TYPE_CHECKING:
    from pyproj import Transformer

#: A longitude and a latitude, degrees.
Point = tuple[float, float]


class Axis(NamedTuple):
    """The axis of a network as its settings fix it: origin, centre of the plane, degrees from north."""

    origin: Point
    centre: Point
    azimuth_deg: float = 90.0


@scalars_stay_scalars
def position_km(
    lon: Numbers, lat: Numbers, origin: Point, centre: Point, azimuth_deg: float = 90.0
) -> npt.NDArray[Any]:
    """Return kilometres along the axis, counted from the origin, positive in the direction of the azimuth.

    The plane is a transverse Mercator on the GRS80 ellipsoid with scale 1 on the meridian of `centre`: within
    300 km of it distances are true to 0.14 %, which no equal-area projection of a state offers. Meridians
    converge, so places on one meridian differ in position by up to some 13 km over three degrees of latitude;
    that is the shape of the earth and not an error. `origin` is a setting, never "the westernmost garden",
    because then every position would move when a garden joins.

    Missing coordinates give a missing position. Raises InputError where origin or centre is no place on
    earth.
    """
    along, _ = _along_and_across(lon, lat, origin, centre, azimuth_deg)
    return along


def plane_km(
    lon: Numbers, lat: Numbers, origin: Point, centre: Point, azimuth_deg: float = 90.0
) -> tuple[Any, Any]:
    """Return kilometres along the axis and kilometres across it, to its left: east and north for azimuth 90.

    Plane and origin are those of `position_km`. Scalars give two floats, arrays two arrays.
    """
    along, across = _along_and_across(lon, lat, origin, centre, azimuth_deg)
    return (along, across) if along.ndim else (along.item(), across.item())


def _along_and_across(
    lon: Numbers, lat: Numbers, origin: Point, centre: Point, azimuth_deg: float
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    east_m, north_m = project_m(lon, lat, centre)
    origin_east_m, origin_north_m = project_m(*origin, centre)
    if not np.isfinite(origin_east_m):
        raise InputError(f"The axis origin {origin} is no longitude and latitude. Mend it in the settings.")
    azimuth = np.radians(azimuth_deg)
    east_km = (east_m - origin_east_m) / 1000.0
    north_km = (north_m - origin_north_m) / 1000.0
    along = east_km * np.sin(azimuth) + north_km * np.cos(azimuth)
    across = north_km * np.sin(azimuth) - east_km * np.cos(azimuth)
    return along, across


def project_m(lon: Numbers, lat: Numbers, centre: Point) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Return metres east and north of `centre` in its transverse Mercator; missing off the earth."""
    lon_deg, lat_deg = np.broadcast_arrays(np.asarray(lon, dtype=float), np.asarray(lat, dtype=float))
    usable = (np.abs(lon_deg) <= 180.0) & (np.abs(lat_deg) <= 90.0)
    east, north = _transverse_mercator(centre).transform(
        np.where(usable, lon_deg, 0.0), np.where(usable, lat_deg, 0.0)
    )
    usable = usable & np.isfinite(east)
    return np.where(usable, east, np.nan), np.where(usable, north, np.nan)


@lru_cache(maxsize=16)
def _transverse_mercator(centre: Point) -> "Transformer":
    from pyproj import Transformer

    lon, lat = centre
    if not (abs(lon) <= 180.0 and abs(lat) <= 90.0):
        raise InputError(f"The axis centre {centre} is no longitude and latitude. Mend it in the settings.")
    plane = f"+proj=tmerc +lat_0={lat} +lon_0={lon} +k=1 +x_0=0 +y_0=0 +ellps=GRS80 +units=m +no_defs"
    return Transformer.from_crs("EPSG:4326", plane, always_xy=True)
