"""GeoJSON files of polygons, read by GeoPandas, with errors for people."""

from pathlib import Path
from typing import TYPE_CHECKING

from sites.errors import InputError

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

#: Longitude and latitude on WGS 84, as RFC 7946 (Butler and others, 2016), section 4, wants them.
GEOJSON_CRS = "OGC:CRS84"


def read_features(path: Path | str) -> "GeoDataFrame":
    """Return the features of a GeoJSON file: one column a property, and geometry in degrees.

    Raises InputError where the file is no GeoJSON or holds no feature with an outline.
    """
    import geopandas
    from pyogrio.errors import DataSourceError

    if not Path(path).is_file():
        raise InputError(f"{path} cannot be read (there is no such file). Check the name and the folder.")
    try:
        features = geopandas.read_file(path)
    except (DataSourceError, UnicodeDecodeError) as problem:
        raise InputError(
            f"{path} is no GeoJSON that can be read. Save it again from the program it came from."
        ) from problem
    if features.empty or "geometry" not in features or features.geometry.isna().any():
        raise InputError(
            f"{path} holds no features, or one without an outline. It must be a GeoJSON FeatureCollection of "
            "polygons."
        )
    return features.set_crs(GEOJSON_CRS, allow_override=True)
