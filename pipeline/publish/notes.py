"""What each garden should hear of its season: what happened, and how often it happens. Never a forecast."""

from typing import Any

import numpy as np
import pandas as pd

from pipeline.checks.shown import shown_date
from pipeline.publish import frames as published
from pipeline.publish.frames import SEASON_NOTES
from pipeline.publish.note_words import NOTE_WORDS
from pipeline.publish.place import KnownPlaces
from pipeline.surroundings import Surroundings
from pipeline.words import LANGUAGES, translate
from pipeline.workspace import Workspace
from sites import season_notes as notes
from sites.attributes.weather import crop_limits
from sites.climate import freeze_risk_at, station_days
from sites.climate.interpolation import element, places
from sites.units import fahrenheit_from_celsius

#: Days before tonight whose heat is still told (common practice, no source).
HEAT_DAYS = 7

#: Days before the trial's start from which hardening off is told (common practice, no source).
HARDEN_AHEAD_DAYS = 21

#: What people write into the condition sheet's problem where water stood in the beds.
_FLOODED = "flood|inundaci"


def season_note_frame(
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
    sites: pd.Series,
    planted: pd.Series,
    first_harvest: pd.Series,
    condition: pd.DataFrame,
) -> pd.DataFrame:
    """Return the notes of one trial and season, one row for each note and language.

    `planted` and `first_harvest` are dates by site, `condition` the condition rows that count. After the
    close only what happened to the plants is told, not what to mind. Of a crop that the crop table does not
    have nothing is told.
    """
    if trial.crop not in surroundings.crops.index:
        return SEASON_NOTES.empty()
    gardens = surroundings.registry.gardens
    gardens = gardens[gardens["site"].isin(sites)].reset_index(drop=True)
    tonight = pd.Timestamp(workspace.today())
    crop = surroundings.crops.loc[trial.crop]
    is_open = tonight <= trial.close
    day_of = {
        name: each.reindex(gardens["site"])
        for name, each in (("planted", planted), ("first_harvest", first_harvest))
    }
    days = _days(known, gardens, pd.Timestamp(trial.start.year, 1, 1), min(tonight, trial.close))
    parts = [notes.lead_notes(_of_gardens(known.soil_tests, gardens), notes.LEAD_BANDS)]
    if crop["tender"]:
        parts.append(notes.chill_notes(days, day_of["planted"]))
    if crop_limits(crop)[1] == "crop":
        parts.append(notes.fruit_set_notes(days, crop, day_of["first_harvest"]))
    if is_open:
        if crop["tender"]:
            parts += _before_planting(surroundings, known, gardens, days, trial)
        parts += _to_mind(gardens, days, day_of["planted"], trial, tonight)
        parts += _floods(condition)
    return _in_words(pd.concat(parts, ignore_index=True), crop, workspace.settings.units)


def _days(
    known: KnownPlaces, gardens: pd.DataFrame, start: pd.Timestamp, end: pd.Timestamp
) -> notes.GardenDays:
    """Return the daily temperatures of gardens from the year's beginning."""
    record = station_days(known.record.stations, known.record.daily).window(start, max(start, end))
    lon, lat, height = (gardens[name].to_numpy(float) for name in ("lon", "lat", "elevation_m"))
    at = places(record.stations, lon, lat, height, known.record.method)
    tmax, tmin = (
        element(record, column, known.record.method).at(at).value for column in ("tmax_c", "tmin_c")
    )
    return notes.GardenDays(gardens["site"], record.dates, tmax, tmin)


def _before_planting(
    surroundings: Surroundings,
    known: KnownPlaces,
    gardens: pd.DataFrame,
    days: notes.GardenDays,
    trial: Any,
) -> list[pd.DataFrame]:
    """Return when freezes ended in past years, and when the soil warmed this year."""
    parts = [notes.warm_soil_notes(days)]
    if len(surroundings.freeze_risk) and len(known.record.stations):
        risk = freeze_risk_at(
            known.record.stations,
            surroundings.freeze_risk,
            gardens["lon"].to_numpy(float),
            gardens["lat"].to_numpy(float),
        )
        parts.append(notes.transplanting_notes(gardens["site"], risk, trial.start.year))
    return parts


def _to_mind(
    gardens: pd.DataFrame, days: notes.GardenDays, planted: pd.Series, trial: Any, tonight: pd.Timestamp
) -> list[pd.DataFrame]:
    """Return the hottest of the last days, and from when to harden off what is not planted yet."""
    recent = days.dates > np.datetime64(tonight - pd.Timedelta(days=HEAT_DAYS), "D")
    heat = notes.GardenDays(days.sites, days.dates[recent], days.tmax_c[:, recent], days.tmin_c[:, recent])
    parts = [notes.heat_notes(heat)]
    ahead = trial.start - pd.Timedelta(days=HARDEN_AHEAD_DAYS)
    if ahead <= tonight < trial.start:
        waiting = planted.isna().to_numpy()
        to_plant = pd.Series(trial.start, gardens.index).where(waiting)
        parts.append(notes.hardening_notes(gardens["site"], to_plant))
    return parts


def _floods(condition: pd.DataFrame) -> list[pd.DataFrame]:
    """Return what a flood that was noted means for the harvest, the newest of each garden."""
    wet = condition[condition["problem"].astype("str").str.contains(_FLOODED, case=False, na=False)]
    return [
        note
        for site, flooded_on in wet.groupby("site")["date"].max().items()
        for note in (
            notes.flood_note(str(site), flooded_on, "off the soil", "before"),
            notes.flood_note(str(site), flooded_on, "off the soil", "after"),
        )
    ]


def _of_gardens(table: pd.DataFrame, gardens: pd.DataFrame) -> pd.DataFrame:
    return table[table["site"].isin(gardens["site"])]


def _in_words(found: pd.DataFrame, crop: pd.Series, units: str) -> pd.DataFrame:
    """Return each note once for each language, as a sentence in the network's units."""
    rows = []
    for note in found.to_dict("records"):
        for language in LANGUAGES:
            said = translate(language)
            told, deferred = NOTE_WORDS[note["code"]], NOTE_WORDS[note["defer"]]
            sentence = said.gettext(told)
            words = {
                "kind": note["code"].split("-")[0],
                "language": language,
                "sentence": sentence.format_map(_values(note, crop, language, units)),
                "defer": said.gettext(deferred),
            }
            rows.append(note | words)
    return pd.DataFrame(rows, columns=published.SEASON_NOTES.column_names)


def _values(note: dict[Any, Any], crop: pd.Series, language: str, units: str) -> dict[str, str]:
    """Return everything that the words of a note may hold."""
    limits, _ = crop_limits(crop)
    number, said = note["number"], translate(language)
    count = round(number)
    dates = {
        name: shown_date(note[column].date(), language)
        for name, column in (("date", "from_date"), ("to", "to_date"))
        if not pd.isna(note[column])
    }
    temperatures = {
        "temperature": notes.WARM_SOIL_C,
        "chill": notes.CHILL_C,
        "night_low": limits["night_warm_low_c"],
        "night_high": limits["night_warm_high_c"],
        "night_cold": limits["night_cold_c"],
        "day_low": limits["day_hot_low_c"],
        "day_high": limits["day_hot_high_c"],
    }
    return {
        **dates,
        **{name: _temperature(celsius, units) for name, celsius in temperatures.items()},
        "number": f"{number:,.0f}",
        "nights": said.ngettext("{n} night", "{n} nights", count).format(n=count),
        "days": said.ngettext("{n} day", "{n} days", count).format(n=count),
        "chill_days": str(notes.CHILL_DAYS),
        "heat": f"{number:.0f} °F" if units == "us" else f"{(number - 32) / 1.8:.0f} °C",
    }


def _temperature(celsius: float, units: str) -> str:
    return f"{float(fahrenheit_from_celsius(celsius)):.0f} °F" if units == "us" else f"{celsius:.0f} °C"
