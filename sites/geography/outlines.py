"""Outlines of counties and of the whole region, as lines in kilometres along and across the axis."""

from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd
import shapely

from sites.geography.axis import Point, plane_km
from sites.geography.counties import county_ids

#: The name under which the outer outline of the whole region stands in the table.
REGION = "region"


def outline_km(
    polygons: pd.DataFrame, origin: Point, centre: Point, azimuth_deg: float = 90.0
) -> pd.DataFrame:
    """Return every county's outline, and the region's outer one, as a table of line vertices.

    Columns: outline (GEOID, or "region"), ring (0, 1, ... within the outline; all closed), x_km along the
    axis and y_km across it, in the plane of `position_km`. A map of the network is then an ordinary x-y plot
    that shares its horizontal axis with every other strip, and needs no tile server.
    """
    shapes = np.asarray(polygons["geometry"], dtype=object)
    region = shapely.union_all(shapes)
    names = np.append(county_ids(polygons), REGION)
    rings, outline = _rings(np.append(shapes, region))
    vertices, ring = shapely.get_coordinates(rings, return_index=True)
    x_km, y_km = plane_km(vertices[:, 0], vertices[:, 1], origin, centre, azimuth_deg)
    first_ring = np.searchsorted(outline, outline, side="left")
    return pd.DataFrame(
        {
            "outline": pd.Series(names[outline[ring]], dtype="str"),
            "ring": (np.arange(len(rings)) - first_ring)[ring],
            "x_km": x_km,
            "y_km": y_km,
        }
    )


def _rings(shapes: npt.NDArray[Any]) -> tuple[npt.NDArray[Any], npt.NDArray[Any]]:
    """Return all rings of all shapes and, for each ring, the index of its shape."""
    parts, shape_of_part = shapely.get_parts(shapes, return_index=True)
    rings, part_of_ring = shapely.get_rings(parts, return_index=True)
    return rings, shape_of_part[part_of_ring]
