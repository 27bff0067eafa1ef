"""Checks of the registry's gardens: is each inside the region, and in the county that it is listed in."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd
import polars as pl

from pipeline.checks.check import Level, Say, column
from pipeline.checks.finding import FINDINGS
from sites.geography import coordinate_check, county_of


@dataclass(frozen=True)
class GardenCheck:
    """One check of gardens: the name of its words, how serious it is, what it says."""

    name: str
    level: Level
    say: Mapping[str, Say] = field(default_factory=dict)


_COUNTY = {"county": Say(column("county"))}

#: What each verdict on coordinates is asked as.
PLACE_CHECKS: dict[str, GardenCheck] = {
    "swapped": GardenCheck("garden-place-swapped", "question", _COUNTY),
    "longitude sign": GardenCheck("garden-place-sign", "question", _COUNTY),
    "outside": GardenCheck("garden-place-outside", "question"),
    "missing": GardenCheck("garden-place-outside", "question"),
}
COUNTY_CHECK = GardenCheck("garden-county-differs", "question", _COUNTY)


def find_gardens(gardens: pd.DataFrame, counties: pd.DataFrame) -> pl.DataFrame:
    """Return the findings about the places of gardens, at most one for each.

    `gardens` are those of the registry (site, name, lon, lat, county_fips), `counties` the polygons with
    geoid and name. Columns are those of `checks.run.FINDINGS`; `sheet` is gardens, `line` that of the
    registry file where it is known.
    """
    if gardens.empty:
        return pl.DataFrame(schema=FINDINGS)
    lon, lat = gardens["lon"].to_numpy(float), gardens["lat"].to_numpy(float)
    checked = coordinate_check(lon, lat, counties)
    names = counties.set_index("geoid")["name"]
    meant = county_of(checked.lon, checked.lat, counties)
    listed = gardens.get("county_fips", pd.Series("", gardens.index)).fillna("").astype("str")
    found = []
    for at, garden in enumerate(gardens.to_dict("records")):
        county, match = meant["geoid"].iloc[at], meant["match"].iloc[at]
        fips = listed.iloc[at].zfill(5) if listed.iloc[at] else ""
        check, sent = PLACE_CHECKS.get(str(checked.verdict[at])), _as_typed(lon[at], lat[at])
        if check is None and fips and match == "inside" and county != fips:
            check, sent = COUNTY_CHECK, str(names.get(fips, fips))
        if check is not None:
            details = {"county": names.get(county)} if "county" in check.say else {}
            found.append(_finding(garden, check, sent, details))
    return pl.DataFrame(found, schema=FINDINGS)


def _as_typed(lon: float, lat: float) -> str:
    """Return coordinates as the registry has them, longitude first; blank where one is missing."""
    return "" if pd.isna(lon) or pd.isna(lat) else f"{lon:g}, {lat:g}"


def _finding(
    garden: Mapping[object, object], check: GardenCheck, sent: str, details: Mapping[str, object]
) -> dict[str, object]:
    return {
        "sheet": "gardens",
        "line": garden.get("line"),
        "column": "county_fips" if check is COUNTY_CHECK else "lon",
        "check": check.name,
        "level": check.level,
        "site": garden["site"],
        "garden": garden["name"],
        "sent": sent or None,
        "details": json.dumps(details, ensure_ascii=False),
    }
