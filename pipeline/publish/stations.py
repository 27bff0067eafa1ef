"""What the night found about weather stations: how far they miss one another, and what it left out."""

import csv
from functools import cache
from importlib.resources import files
from typing import Any

import pandas as pd

from pipeline.publish import frames as published
from sites.climate import JudgedRecord

#: Elements as sentences name them, by column.
_ELEMENTS = {
    "en": {"tmax_c": "the daily maximum", "tmin_c": "the daily minimum", "prcp_mm": "rain"},
    "es": {"tmax_c": "la máxima diaria", "tmin_c": "la mínima diaria", "prcp_mm": "la lluvia"},
}

#: Days as they are counted.
_DAYS = {"en": ("1 day", "{} days"), "es": ("1 día", "{} días")}


def station_frames(record: JudgedRecord) -> dict[str, pd.DataFrame]:
    """Return the frames station_errors and station_doubts."""
    said = {
        f"said_{language}": [_sentence(doubt, language) for doubt in record.doubts.to_dict("records")]
        for language in _ELEMENTS
    }
    doubts = record.doubts.assign(
        **{name: pd.Series(each, record.doubts.index, dtype="str") for name, each in said.items()}
    )
    return {
        "station_errors": record.errors[published.STATION_ERRORS.column_names],
        "station_doubts": doubts[published.STATION_DOUBTS.column_names],
    }


@cache
def station_words() -> dict[str, dict[str, str]]:
    """Return what is said of each kind of doubt, by its name."""
    with (files("pipeline.publish") / "station_words.csv").open(encoding="utf-8") as lines:
        return {row["doubt"]: row for row in csv.DictReader(lines)}


def _sentence(doubt: dict[Any, Any], language: str) -> str:
    one, many = _DAYS[language]
    name = f"{doubt['station']} ({doubt['name']})" if doubt["name"] else doubt["station"]
    return station_words()[doubt["doubt"]][f"said_{language}"].format(
        station=name,
        element=_ELEMENTS[language][doubt["column"]],
        year=doubt["year"],
        days=one if doubt["days"] == 1 else many.format(doubt["days"]),
        size=f"{doubt['size']:.0f}",
    )
