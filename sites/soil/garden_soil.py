"""What is known of each garden's soil: its own newest test first, else the soil map, and which of the two."""

from typing import Any

import numpy as np
import pandas as pd

from sites.scalars import Numbers
from sites.soil.chemistry import ph_class
from sites.soil.map_units import unit_of
from sites.soil.texture import SUM_TOLERANCE_PCT, texture_class
from sites.soil.water import available_water_of_texture

#: What a garden's soil is described by, and the columns that a test or map unit must have for it.
MEASURED = {
    "ph": ("ph",),
    "organic_matter_pct": ("organic_matter_pct",),
    "texture": ("sand_pct", "silt_pct", "clay_pct"),
}

#: Where a number came from.
TEST, MAP_UNIT, NOWHERE = "own test", "map unit", "unknown"


def soil_of_garden(
    gardens: pd.DataFrame,
    units: pd.DataFrame | None = None,
    tests: pd.DataFrame | None = None,
    today: Any = None,
) -> pd.DataFrame:
    """Return the soil of each garden, one row for each, indexed by site.

    `gardens` has site, lon, lat. `units` are map units as `read_map_units` gives them. `tests` are soil
    tests: site, date and any of bed, bed_type, ph, ph_in, organic_matter_pct, sand_pct, silt_pct, clay_pct;
    later ones than `today` are not known yet.

    Columns: ph (in water), ph_class, organic_matter_pct, sand_pct, silt_pct, clay_pct, texture,
    available_water (cm per cm), constructed_medium; for each of ph, organic_matter, texture and
    available_water its _source ("own test", "map unit" or "unknown") and _tested_on (date of the test); and
    map_unit.

    Property by property the newest test that has it counts, averaged over the beds of that day (pH as the
    mean of pH). Where the newest tests are of raised beds the soil is a constructed medium: its texture is
    what the laboratory found, but tables of available water do not hold for it, and neither does the map unit
    below it, so available water is missing.
    A pH in calcium chloride is not mixed with those in water.
    """
    index = pd.Index(gardens["site"], name="site")
    mapped = _of_map_unit(gardens["lon"], gardens["lat"], units, index)
    tested = _usable(tests, today)
    parts = [_measured(name, columns, tested, mapped) for name, columns in MEASURED.items()]
    raised = _newest(tested, ())["raised"].reindex(index).fillna(value=False).to_numpy(dtype=bool)
    soil = pd.concat(parts, axis=1).assign(constructed_medium=raised, map_unit=mapped["unit"])
    texture = texture_class(soil["sand_pct"], soil["silt_pct"], soil["clay_pct"])
    soil["texture"] = pd.Series(texture, index, dtype="str")
    soil["ph_class"] = pd.Series(ph_class(soil["ph"]), index, dtype="str")
    return _with_available_water(soil, mapped)


def _measured(
    name: str, columns: tuple[str, ...], tested: pd.DataFrame, mapped: pd.DataFrame
) -> pd.DataFrame:
    """Return one property of each garden, where it came from and when it was tested."""
    own = _newest(tested, columns).reindex(mapped.index)
    has_test = own["date"].notna()
    values = own[list(columns)].where(has_test, mapped[list(columns)])
    known = values.notna().all(axis=1)
    label = name.removesuffix("_pct")
    source = np.select([has_test, known], [TEST, MAP_UNIT], NOWHERE)
    return values.assign(**{f"{label}_source": source, f"{label}_tested_on": own["date"]})


def _with_available_water(soil: pd.DataFrame, mapped: pd.DataFrame) -> pd.DataFrame:
    """Return the soil with available water: by the tested texture, else the map unit's or by its texture."""
    own = (soil["texture_source"] == TEST).to_numpy()
    by_texture = available_water_of_texture(soil["texture"])
    from_map = np.where(mapped["available_water"].notna(), mapped["available_water"], by_texture)
    water = np.where(soil["constructed_medium"], np.nan, np.where(own, by_texture, from_map))
    source = np.where(np.isnan(water), NOWHERE, np.where(own, TEST, MAP_UNIT))
    return soil.assign(
        available_water=water,
        available_water_source=source,
        available_water_tested_on=soil["texture_tested_on"].where(source == TEST),
    )


def _of_map_unit(lon: Numbers, lat: Numbers, units: pd.DataFrame | None, index: pd.Index) -> pd.DataFrame:
    columns = ["unit", "sand_pct", "silt_pct", "clay_pct", "organic_matter_pct", "ph", "available_water"]
    if units is None:
        return pd.DataFrame(np.nan, index=index, columns=columns).astype({"unit": "str"})
    return units[columns].reindex(unit_of(lon, lat, units)).set_axis(index)


def _usable(tests: pd.DataFrame | None, today: Any) -> pd.DataFrame:
    """Return the tests with all columns, only pH in water, only textures whose parts make a soil."""
    columns = [
        "site",
        "date",
        "bed_type",
        "ph",
        "ph_in",
        "organic_matter_pct",
        "sand_pct",
        "silt_pct",
        "clay_pct",
    ]
    usable = pd.DataFrame(columns=columns) if tests is None else tests.reindex(columns=columns)
    usable = usable.astype(dict.fromkeys([*columns[5:], "ph"], float))
    usable["date"] = pd.to_datetime(usable["date"])
    if today is not None:
        usable = usable[usable["date"] <= pd.Timestamp(today)]
    in_water = usable["ph_in"].isna() | usable["ph_in"].astype("str").str.strip().str.lower().isin(
        ["", "water"]
    )
    parts = usable[["sand_pct", "silt_pct", "clay_pct"]]
    whole = (parts.sum(axis=1) - 100.0).abs() <= SUM_TOLERANCE_PCT
    raised = usable["bed_type"].astype("str").str.strip().str.lower().str.startswith("raised")
    return usable.assign(
        ph=usable["ph"].where(in_water),
        raised=raised.fillna(value=False),
        **parts.where(whole).to_dict("series"),
    )


def _newest(tests: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    """Return for each site the mean over beds of its newest tests that have all columns, indexed by site.

    Beside the columns: date, and raised (whether all of those tests are of raised beds).
    """
    having = tests.dropna(subset=[*columns, "date"])
    newest = having[having["date"] == having.groupby("site")["date"].transform("max")]
    return newest.groupby("site").agg({**dict.fromkeys(columns, "mean"), "date": "max", "raised": "all"})
