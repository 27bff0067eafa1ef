"""The county that a garden lies in, from county polygons."""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from sites.errors import InputError
from sites.geography.axis import project_m
from sites.geography.features import read_features
from sites.scalars import Numbers

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

#: The outlines of the demo network's counties, shipped with the package; see data/README.md.
KANSAS_COUNTIES = Path(__file__).parents[1] / "data" / "counties.geojson"

#: Longest piece, in degrees, of an edge before it is projected. County edges are straight in degrees; 57 km
#: of one bends by 50 m when only its ends are projected, and a point beside it would change county.
LONGEST_EDGE_DEG = 0.01


def read_counties(path: Path | str = KANSAS_COUNTIES) -> "GeoDataFrame":
    """Return the county polygons of a GeoJSON file, in the order of their GEOID.

    Columns: geoid (five digits, text), name, and geometry (longitude and latitude in degrees). The file
    follows RFC 7946 and its features carry the Census Bureau's GEOID and NAME. Raises InputError where it
    does not.
    """
    features = read_features(path)
    if not {"GEOID", "NAME"} <= set(features.columns) or features[["GEOID", "NAME"]].isna().any(axis=None):
        raise InputError(
            f"{path}: a county has no GEOID or no NAME. Take the file from the Census Bureau again."
        )
    counties = features.assign(
        geoid=features["GEOID"].astype("str").str.zfill(5), name=features["NAME"].astype("str")
    )[["geoid", "name", "geometry"]]
    if counties["geoid"].duplicated().any():
        twice = ", ".join(counties.loc[counties["geoid"].duplicated(), "geoid"])
        raise InputError(f"{path}: GEOID {twice} is there twice. Leave one outline for each county.")
    if not counties.is_valid.all():
        broken = ", ".join(counties.loc[~counties.is_valid, "name"])
        raise InputError(
            f"{path}: the outline of {broken} crosses itself. Take the file from its source again."
        )
    return counties.sort_values("geoid", ignore_index=True)


def county_of(lon: Numbers, lat: Numbers, counties: pd.DataFrame, snap_km: float = 1.0) -> pd.DataFrame:
    """Return the county of each point, one row for each point, always.

    Columns: geoid (the lowest of the candidates, missing if none), candidates (list of GEOIDs that hold or
    touch the point), match ("inside"; "border"; "snapped" to the nearest county within `snap_km`; "outside";
    "missing" without coordinates) and off_km (to the nearest county, for points outside all).

    `counties` has geoid (or GEOID) and geometry. The join is made in degrees, where the file's edges are
    straight; only distances are measured in a plane.
    """
    index = lon.index if isinstance(lon, pd.Series) else None
    lon_deg, lat_deg = np.broadcast_arrays(
        np.atleast_1d(np.asarray(lon, dtype=float)), np.atleast_1d(np.asarray(lat, dtype=float))
    )
    geoids, polygons = _sorted_by_geoid(counties)
    missing = np.isnan(lon_deg) | np.isnan(lat_deg)
    points = shapely.points(np.where(missing, 0.0, lon_deg), np.where(missing, 0.0, lat_deg))
    points[missing] = None

    candidates, on_edge = _touching(points, polygons, geoids)
    count = np.array([len(each) for each in candidates], dtype=int)
    match = np.select(
        [missing, count == 0, on_edge | (count > 1)], ["missing", "outside", "border"], "inside"
    )
    geoid = np.array([each[0] if each else None for each in candidates], dtype=object)
    off_km = np.full(len(points), np.nan)
    lost = np.flatnonzero(match == "outside")
    if len(lost):
        nearest, off_km[lost] = _nearest_county(lon_deg[lost], lat_deg[lost], polygons)
        near = off_km[lost] <= snap_km
        geoid[lost[near]], match[lost[near]] = geoids[nearest[near]], "snapped"
    return pd.DataFrame(
        {
            "geoid": pd.Series(geoid, dtype="str"),
            "candidates": candidates,
            "match": match.astype(str),
            "off_km": off_km,
        }
    ).set_axis(pd.RangeIndex(len(points)) if index is None else index)


def _touching(
    points: npt.NDArray[Any], polygons: npt.NDArray[Any], geoids: npt.NDArray[Any]
) -> tuple[list[list[str]], npt.NDArray[np.bool_]]:
    """Return the GEOIDs that hold or touch each point, lowest first, and which points lie on an edge."""
    county, point = shapely.STRtree(points).query(polygons, predicate="intersects")
    touching = shapely.intersects(shapely.boundary(polygons)[county], points[point])
    on_edge = np.bincount(point, weights=touching, minlength=len(points)) > 0
    by_point = np.lexsort((county, point))
    ends = np.cumsum(np.bincount(point, minlength=len(points)))
    candidates = np.split(geoids[county[by_point]], ends)[: len(points)]
    return [each.tolist() for each in candidates], on_edge


def county_ids(counties: pd.DataFrame) -> npt.NDArray[Any]:
    """Return the five-digit GEOID of each county, whether the frame spells the column geoid or GEOID."""
    spelled = next((name for name in counties.columns if str(name).lower() == "geoid"), None)
    if spelled is None:
        raise InputError("The county outlines have no column geoid. Read them with read_counties.")
    return np.array([str(geoid).zfill(5) for geoid in counties[spelled]], dtype=object)


def _sorted_by_geoid(counties: pd.DataFrame) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    geoids = county_ids(counties)
    order = np.argsort(geoids.astype(str), kind="stable")
    return geoids[order], np.asarray(counties["geometry"], dtype=object)[order]


def _nearest_county(
    lon: npt.NDArray[Any], lat: npt.NDArray[Any], polygons: npt.NDArray[Any]
) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Return for each point the index of the nearest polygon (the first of equals) and its distance in km."""
    west, south, east, north = shapely.total_bounds(polygons)
    centre = ((west + east) / 2.0, (south + north) / 2.0)
    plane = shapely.transform(
        shapely.segmentize(polygons, LONGEST_EDGE_DEG),
        lambda edge: np.column_stack(project_m(edge[:, 0], edge[:, 1], centre)),
    )
    east_m, north_m = project_m(lon, lat, centre)
    placed = np.flatnonzero(np.isfinite(east_m))
    nearest, off_km = np.zeros(len(lon), dtype=int), np.full(len(lon), np.nan)
    (found, polygon), metres = shapely.STRtree(plane).query_nearest(
        shapely.points(east_m[placed], north_m[placed]), return_distance=True, all_matches=True
    )
    by_point = np.lexsort((polygon, found))
    first = by_point[np.unique(found[by_point], return_index=True)[1]]
    nearest[placed[found[first]]] = polygon[first]
    off_km[placed[found[first]]] = metres[first] / 1000.0
    return nearest, off_km
