"""What the night found about weather stations: how far they miss one another, and what it left out."""

import csv
from functools import cache
from importlib.resources import files
from typing import Any

import pandas as pd

from pipeline.checks.shown import shown_date
from pipeline.publish import place_frames as published
from pipeline.words import LANGUAGES, translate
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
        "stations_in_doubt": _in_doubt(doubts),
    }


def _in_doubt(doubts: pd.DataFrame) -> pd.DataFrame:
    """Return one row for each station in doubt: how many values are left out, and from when to when."""
    spans = {"values": ("days", "sum"), "first_day": ("first_day", "min"), "last_day": ("last_day", "max")}
    found = doubts.groupby(["station", "name"]).agg(**spans).reset_index()
    for language in LANGUAGES:
        lines = [_line(station, language) for station in found.to_dict("records")]
        found[f"said_{language}"] = pd.Series(lines, found.index, dtype="str")
    return found[published.STATIONS_IN_DOUBT.column_names]


def _line(station: dict[Any, Any], language: str) -> str:
    said = translate(language)
    first, last = (shown_date(station[name].date(), language) for name in ("first_day", "last_day"))
    if first == last:
        line = said.ngettext(
            "{station}: {n} daily value of {first} is left out.",
            "{station}: {n} daily values of {first} are left out.",
            station["values"],
        )
    else:
        line = said.ngettext(
            "{station}: {n} daily value is left out, {first} to {last}.",
            "{station}: {n} daily values are left out, {first} to {last}.",
            station["values"],
        )
    return line.format(station=_named(station), n=f"{station['values']:,}", first=first, last=last)


def _named(station: dict[Any, Any]) -> str:
    return f"{station['station']} ({station['name']})" if station["name"] else str(station["station"])


@cache
def station_words() -> dict[str, dict[str, str]]:
    """Return what is said of each kind of doubt, by its name."""
    with (files("pipeline.publish") / "station_words.csv").open(encoding="utf-8") as lines:
        return {row["doubt"]: row for row in csv.DictReader(lines)}


def _sentence(doubt: dict[Any, Any], language: str) -> str:
    one, many = _DAYS[language]
    return station_words()[doubt["doubt"]][f"said_{language}"].format(
        station=_named(doubt),
        element=_ELEMENTS[language][doubt["column"]],
        year=doubt["year"],
        days=one if doubt["days"] == 1 else many.format(doubt["days"]),
        size=f"{doubt['size']:.0f}",
    )
