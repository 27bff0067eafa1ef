"""What is known of a garden's place in a season: weather, freezes, soil, and who lies close by."""

from collections.abc import Mapping
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.data import TrialSeason, View
from dashboard.numerals import NOT_RECORDED, day, number, with_unit
from dashboard.records import records
from dashboard.wording.garden import PLACE
from sites.attributes.states import COMPLETE

#: What is told of a place, or decides how.
_FACTS = (
    *("site", "coordinates", "weather_note", "nearest_station_km", "days_estimated_share"),
    *("rain_mm", "degree_days_c", "hot_days", "warm_nights", "heat_index_90f_days"),
    *("freeze_risk_state", "last_freeze_10", "first_freeze_10", "freeze_years_without"),
    *("hardiness_zone", "hardiness_zone_period", "hardiness_zone_state"),
    *("texture", "ph", "organic_matter_pct", "soil_source"),
)


def place(view: View, trial: TrialSeason, site: str) -> list[Any]:
    """Return the facts of a garden's place, each with where it comes from, or why a number is withheld."""
    own = records(data.of_garden(view, "attributes", site, trial), _FACTS)
    if not own:
        return [html.P(NOT_RECORDED, className="ledger-none")]
    found = own[0]
    told = [*_weather(found), *_long_records(found), *_soil(found)]
    facts = html.Dl(
        [part for name, value in told for part in (html.Dt(PLACE[name]), html.Dd(value))], className="cells"
    )
    return [*(html.P(note) for note in _notes(view, found)), facts, *_close(view, trial, site)]


def _notes(view: View, found: Mapping[str, Any]) -> list[str]:
    """Return why numbers are withheld, or what is wrong with where the garden is said to lie."""
    wrong = data.places_to_mend(view)
    own = wrong.loc[wrong["site"] == found["site"], "message"]
    notes = [PLACE["mend"].format(message=message) for message in own]
    note = _text(found["weather_note"])
    if note:
        notes.append(f"{note[0].upper()}{note[1:]}.")
    if found["coordinates"] == "good":
        states = {"freezes": found["freeze_risk_state"], "zones": found["hardiness_zone_state"]}
        notes += [
            PLACE[name].format(state=state)
            for name, state in states.items()
            if _text(state) not in ("", COMPLETE)
        ]
    return notes


def _weather(found: Mapping[str, Any]) -> list[tuple[str, str]]:
    nearest_km = found["nearest_station_km"]
    told = [
        ("rain", with_unit(found["rain_mm"], "mm")),
        ("degree_days", number(found["degree_days_c"])),
        ("hot_days", number(found["hot_days"])),
        ("warm_nights", number(found["warm_nights"])),
        ("felt", number(found["heat_index_90f_days"])),
    ]
    return [
        *((name, PLACE["withheld"] if value == NOT_RECORDED else value) for name, value in told),
        ("station", PLACE["none_near"] if pd.isna(nearest_km) else with_unit(nearest_km, "km")),
        ("estimated", with_unit(100 * found["days_estimated_share"], "%")),
    ]


def _long_records(found: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return freeze dates of past years and the hardiness zone."""
    dates = [
        (name, day(found[name]) if pd.notna(found[name]) else PLACE["withheld"])
        for name in ("last_freeze_10", "first_freeze_10")
    ]
    if "none" in _text(found["freeze_years_without"]):
        dates.append(("freeze_years_without", str(found["freeze_years_without"])))
    if not _text(found["hardiness_zone"]):
        return [*dates, ("zone", PLACE["withheld"])]
    first, last = str(found["hardiness_zone_period"]).split(" to ")
    return [*dates, ("zone", str(found["hardiness_zone"])), ("zone_years", f"{first}\N{EN DASH}{last}")]


def _soil(found: Mapping[str, Any]) -> list[tuple[str, str]]:
    return [
        ("texture", _text(found["texture"]) or NOT_RECORDED),
        ("ph", number(found["ph"], 1)),
        ("organic_matter", with_unit(found["organic_matter_pct"], "%", 1)),
        ("soil_source", _text(found["soil_source"]) or NOT_RECORDED),
    ]


def _close(view: View, trial: TrialSeason, site: str) -> list[html.P]:
    """Return the gardens too near to this one to be independent of it."""
    near = [f"{name} ({with_unit(km, 'km', 1)})" for name, km in data.close_to(view, trial, site)]
    return [html.P(PLACE["close"].format(gardens=", ".join(near)), className="small")] if near else []


def _text(value: Any) -> str:
    return value if isinstance(value, str) else ""
