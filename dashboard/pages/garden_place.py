"""What is known of a garden's place in a season: weather, freezes, soil, and who lies close by."""

from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.data import TrialSeason, View
from dashboard.numerals import NOT_RECORDED, long_day, number, with_unit
from dashboard.wording.garden import PLACE


def place(view: View, trial: TrialSeason, site: str) -> list[Any]:
    """Return the facts of a garden's place, each with where it comes from, or why a number is withheld."""
    rows = data.of_season(view, "attributes", trial)
    own = rows[rows["site"] == site]
    if own.empty:
        return [html.P(NOT_RECORDED, className="ledger-none")]
    found = own.iloc[0]
    told = [*_weather(found), *_long_records(found), *_soil(found), *_close(view, trial, site)]
    note = [html.P(PLACE["note"].format(note=found["weather_note"]))] if _text(found["weather_note"]) else []
    facts = html.Dl(
        [part for name, value in told for part in (html.Dt(PLACE[name]), html.Dd(value))], className="cells"
    )
    return [*note, facts]


def _weather(found: pd.Series) -> list[tuple[str, str]]:
    return [
        ("rain", with_unit(found["rain_mm"], "mm")),
        ("degree_days", number(found["degree_days_c"])),
        ("hot_days", number(found["hot_days"])),
        ("warm_nights", number(found["warm_nights"])),
        ("felt", number(found["heat_index_90f_days"])),
        ("station", with_unit(found["nearest_station_km"], "km")),
        ("estimated", with_unit(100 * found["days_estimated_share"], "%")),
    ]


def _long_records(found: pd.Series) -> list[tuple[str, str]]:
    """Return freeze dates of past years and the hardiness zone, or why they are withheld."""
    risk, zone = found["freeze_risk_state"], found["hardiness_zone_state"]
    dates = [
        (name, long_day(found[name]) if pd.notna(found[name]) else str(risk))
        for name in ("last_freeze_10", "first_freeze_10")
    ]
    if _text(found["freeze_years_without"]):
        dates.append(("freeze_years_without", str(found["freeze_years_without"])))
    words = str(zone)
    if _text(found["hardiness_zone"]):
        words = PLACE["zone_from"].format(
            zone=found["hardiness_zone"],
            years=number(found["hardiness_zone_years"]),
            period=found["hardiness_zone_period"],
        )
    return [*dates, ("zone", words)]


def _soil(found: pd.Series) -> list[tuple[str, str]]:
    return [
        ("texture", _text(found["texture"]) or NOT_RECORDED),
        ("ph", number(found["ph"], 1)),
        ("organic_matter", with_unit(found["organic_matter_pct"], "%", 1)),
        ("soil_source", _text(found["soil_source"]) or NOT_RECORDED),
    ]


def _close(view: View, trial: TrialSeason, site: str) -> list[tuple[str, str]]:
    """Return the gardens too near to this one to be independent of it."""
    pairs = data.close_pairs(view, trial)
    own = pairs[(pairs["site"] == site) | (pairs["neighbour"] == site)]
    other = own["neighbour"].where(own["site"] == site, own["site"])
    near = [
        f"{name} ({with_unit(distance_km, 'km', 1)})"
        for name, distance_km in zip(other, own["distance_km"], strict=True)
    ]
    return [("close", ", ".join(near))] if near else []


def _text(value: Any) -> str:
    return value if isinstance(value, str) else ""
