"""What others may see of a garden's place: rounded once, in one table, and never drawn at random."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from sites.errors import InputError
from sites.geography.axis import Point, position_km
from sites.geography.counties import county_ids, county_of
from sites.geography.distances import ECCENTRICITY_SQUARED, SEMI_MAJOR_KM
from sites.scalars import Numbers, scalars_stay_scalars

#: Decimals of a public coordinate: a tenth of a degree, about 9 by 11 km in the middle latitudes (Chapman &
#: Wieczorek 2020, Georeferencing Best Practices).
COARSE_DECIMALS = 1

#: Step of a public position along the axis in kilometres. Finer derived figures would give the place away:
#: four distances in whole kilometres find a garden again to about 200 m.
POSITION_STEP_KM = 5.0

#: Step of a public elevation in metres, for the same reason.
ELEVATION_STEP_M = 50.0

#: What a garden can agree to, most open first. A blank agreement means coarse.
LEVELS = ("exact", "coarse", "county", "hidden")


def coarse_point(lon: Numbers, lat: Numbers) -> tuple[Any, Any]:
    """Return longitude and latitude rounded to a tenth of a degree, and never minus zero.

    A fixed rounding and no random shift: the average of repeated random shifts would be the garden itself.
    Scalars give two floats, arrays two arrays.
    """
    return _rounded_degrees(lon), _rounded_degrees(lat)


@scalars_stay_scalars
def coarse_uncertainty_m(lat: Numbers) -> npt.NDArray[Any]:
    """Return the metres by which a coordinate of one decimal can be off at a latitude.

    The diagonal of a cell of a tenth of a degree on the ellipsoid (Chapman & Wieczorek 2020, table 3), the
    value of Darwin Core's coordinateUncertaintyInMeters.
    """
    latitude = np.radians(np.asarray(lat, dtype=float))
    curvature = 1.0 - ECCENTRICITY_SQUARED * np.sin(latitude) ** 2
    north_south_m = SEMI_MAJOR_KM * 1000.0 * (1.0 - ECCENTRICITY_SQUARED) / curvature**1.5
    east_west_m = SEMI_MAJOR_KM * 1000.0 * np.cos(latitude) / np.sqrt(curvature)
    return np.radians(10.0**-COARSE_DECIMALS) * np.hypot(north_south_m, east_west_m)


def point_geojson(lon: float, lat: float) -> dict[str, Any]:
    """Return a GeoJSON point: longitude first, then latitude (RFC 7946, section 3.1.1)."""
    return {"type": "Point", "coordinates": [lon, lat]}


def public_place(
    gardens: pd.DataFrame,
    counties: pd.DataFrame,
    origin: Point,
    centre: Point,
    azimuth_deg: float = 90.0,
) -> pd.DataFrame:
    """Return the one table of places that public pages and releases may read, one row for each garden.

    `gardens` has site, lon, lat, elevation_m and, where agreed, public_as and public_name. Columns: site,
    public_name, public_as, lon, lat, uncertainty_m, county_fips, axis_km (steps of 5 km), elevation_m (steps
    of 50 m).

    - exact: the point as it is. Position and elevation are rounded like everybody's.
    - coarse (the default): the rounded point, and its county, so that the two never contradict each other.
    - county: the rounded middle of the county, and no elevation, which would narrow the place within it.
    - hidden: no place and no name at all.

    No distance to anything is given. Raises InputError for an agreement that is none of the four.
    """
    level = _agreed_level(gardens)
    own = county_of(gardens["lon"].to_numpy(float), gardens["lat"].to_numpy(float), counties)
    lon, lat = _public_point(gardens, level, own["geoid"], counties)
    shown = county_of(lon, lat, counties)["geoid"]
    county = shown.where((level != "county") & shown.notna(), own["geoid"]).where(level != "hidden")
    elevation_m = _stepped(gardens["elevation_m"].to_numpy(float), ELEVATION_STEP_M)
    name = gardens.get("public_name", pd.Series(np.nan, index=gardens.index, dtype="str"))
    return pd.DataFrame(
        {
            "site": gardens["site"].to_numpy(),
            "public_name": name.where(level != "hidden").to_numpy(),
            "public_as": level,
            "lon": lon,
            "lat": lat,
            "uncertainty_m": _uncertainty_m(level, lon, lat, county.to_numpy(), counties),
            "county_fips": county.to_numpy(),
            "axis_km": _stepped(position_km(lon, lat, origin, centre, azimuth_deg), POSITION_STEP_KM),
            "elevation_m": np.where(np.isin(level, ["exact", "coarse"]), elevation_m, np.nan),
        }
    )


def _agreed_level(gardens: pd.DataFrame) -> npt.NDArray[Any]:
    if "public_as" not in gardens:
        return np.full(len(gardens), "coarse", dtype=object)
    level = gardens["public_as"].astype("str").str.strip()
    level = level.mask(level.isna() | (level == ""), "coarse")
    unknown = ~level.isin(LEVELS)
    if unknown.any():
        site, said = gardens.loc[unknown, "site"].iloc[0], level[unknown].iloc[0]
        raise InputError(
            f"Garden {site}: public_as is {said!r}. Use one of {', '.join(LEVELS)}, or leave it blank."
        )
    return level.to_numpy(dtype=object)


def _public_point(
    gardens: pd.DataFrame, level: npt.NDArray[Any], geoid: pd.Series, counties: pd.DataFrame
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    lon, lat = gardens["lon"].to_numpy(float), gardens["lat"].to_numpy(float)
    middles = pd.DataFrame(
        shapely.get_coordinates(shapely.point_on_surface(np.asarray(counties["geometry"], dtype=object))),
        index=county_ids(counties),
        columns=["lon", "lat"],
    ).reindex(geoid)
    coarse, middle = coarse_point(lon, lat), coarse_point(middles["lon"], middles["lat"])
    shown = [level == "exact", level == "coarse", level == "county"]
    return (
        np.select(shown, [lon, coarse[0], middle[0]], np.nan),
        np.select(shown, [lat, coarse[1], middle[1]], np.nan),
    )


def _uncertainty_m(
    level: npt.NDArray[Any],
    lon: npt.NDArray[Any],
    lat: npt.NDArray[Any],
    county: npt.NDArray[Any],
    counties: pd.DataFrame,
) -> npt.NDArray[Any]:
    """Return how far a garden can be from its public point: for a county, to the far corner of its box."""
    bounds = pd.DataFrame(
        shapely.bounds(np.asarray(counties["geometry"], dtype=object)), index=county_ids(counties)
    ).reindex(county)
    metres_per_degree = np.radians(1.0) * SEMI_MAJOR_KM * 1000.0
    east_west = np.maximum(lon - bounds[0].to_numpy(), bounds[2].to_numpy() - lon) * np.cos(np.radians(lat))
    north_south = np.maximum(lat - bounds[1].to_numpy(), bounds[3].to_numpy() - lat)
    return np.select(
        [level == "exact", level == "coarse", level == "county"],
        [0.0, coarse_uncertainty_m(lat), metres_per_degree * np.hypot(east_west, north_south)],
        np.nan,
    )


@scalars_stay_scalars
def _rounded_degrees(degrees: Numbers) -> npt.NDArray[Any]:
    return np.round(np.asarray(degrees, dtype=float), COARSE_DECIMALS) + 0.0


def _stepped(values: npt.NDArray[Any], step: float) -> npt.NDArray[Any]:
    return np.round(values / step) * step + 0.0
