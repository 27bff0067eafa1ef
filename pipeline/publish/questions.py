"""What waits for a decision, in the order of how far the answer would move; and why it is asked."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa

from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.shown import shown_number
from pipeline.checks.words import in_words, values_of
from pipeline.publish import frames as published
from pipeline.response.outcomes import BY_NAME
from pipeline.response.question_influence import (
    SOME_POINTS,
    Otherwise,
    effects_otherwise,
    plots_otherwise,
    points_moved,
    size_of,
)
from pipeline.response.season import SeasonAnswer
from pipeline.settings import Settings
from pipeline.store.asked import open_questions, rows_asked_about

#: One cause in one file is one group.
_CAUSE = ["sheet_id", "check", "column", "site"]
#: Sheets whose rows enter the answer.
_COUNTED = ("harvest", "planting")


@dataclass(frozen=True)
class Rested:
    """What a season's answer rests on: its trial, gardens, plots, the rows that count, and what they say.

    `other_plots` are those of the season's other trials in the same gardens.
    """

    trial: Any
    garden_names: Mapping[str, str]
    layout: pd.DataFrame
    other_plots: pd.DataFrame
    rows: Mapping[str, pd.DataFrame]
    treatments: pd.DataFrame
    found: SeasonAnswer


def questions_frame(connection: sa.Connection, settings: Settings, rested: Rested) -> pd.DataFrame:
    """Return the questions of one trial and season, those that could move its answer farthest first."""
    asked = _of_season(_with_rows(connection, open_questions(connection)), rested)
    if asked.empty:
        return published.QUESTIONS.empty()
    asked["cause"] = asked.groupby(_CAUSE, sort=False, dropna=False).ngroup()
    said = pd.DataFrame([_words(row, rested, settings) for row in asked.to_dict("records")])
    asked = asked.assign(points=asked["cause"].map(_points(asked, rested, settings)), **said)
    ordered = _ordered(asked)
    codes = rested.layout.merge(rested.treatments, left_on="in_ground", right_on="treatment")
    code_of = codes.set_index(["site", "plot"])["code"].to_dict()
    return ordered.assign(
        size=ordered["points"].map(size_of).astype("str"),
        code=[code_of.get(pair) for pair in zip(ordered["site"], ordered["plot"], strict=True)],
        suggest=[_typed(row, settings.units) for row in ordered.to_dict("records")],
        finding=ordered["finding_id"],
        row=ordered["row_id"],
        upload=ordered["upload_id"],
        sheet=ordered["kind"],
    )


def _with_rows(connection: sa.Connection, asked: pd.DataFrame) -> pd.DataFrame:
    """Return the findings with state, day and values of the rows that they name."""
    parts = [asked[asked["row_id"].isna()].assign(state="", date=pd.NaT, values=None)]
    for kind, about in asked[asked["row_id"].notna()].groupby("kind"):
        rows = rows_asked_about(connection, str(kind))
        values = [{str(name): value for name, value in row.items()} for row in rows.to_dict("records")]
        known = rows[["row_id", "state", "date"]].assign(values=values)
        parts.append(about.merge(known, on="row_id", how="inner"))
    return pd.concat([part for part in parts if len(part)] or parts[:1]).sort_values(
        "finding_id", ignore_index=True
    )


def _of_season(asked: pd.DataFrame, rested: Rested) -> pd.DataFrame:
    """Return the findings of this season: by their own season, else by the day of the row or the file."""
    start, close = rested.trial.start, rested.trial.close
    in_time = asked["date"].between(start, close) | (
        asked["date"].isna() & asked["received"].between(start, close + pd.Timedelta(days=180))
    )
    of_season = asked["season"].eq(rested.trial.season) | (asked["season"].isna() & in_time)
    here = asked["site"].isna() | asked["site"].isin(rested.layout["site"])
    plots = pd.MultiIndex.from_frame(asked[["site", "plot"]])
    elsewhere = plots.isin(pd.MultiIndex.from_frame(rested.other_plots[["site", "plot"]]))
    return asked[of_season & here & ~elsewhere].reset_index(drop=True)


def _ordered(asked: pd.DataFrame) -> pd.DataFrame:
    """Return the findings numbered by group, in the order in which somebody should look at them."""
    cause = asked.groupby("cause", sort=False).agg(
        points=("points", "first"), held=("level", lambda of: (of == "held").any()), n=("finding_id", "size")
    )
    order = cause.assign(
        # What cannot be worked out yet is mostly a picking without its place: it comes before what is small.
        rank=-cause["points"].fillna(SOME_POINTS)
    ).sort_values(["rank", "held", "n"], ascending=[True, False, False], kind="stable")
    number = pd.Series(np.arange(1, len(order) + 1), index=order.index)
    numbered = asked.assign(group=asked["cause"].map(number), rows=asked["cause"].map(cause["n"]))
    return numbered.sort_values(["group", "line", "finding_id"], ignore_index=True)


def _words(finding: dict[str, Any], rested: Rested, settings: Settings) -> dict[str, str]:
    """Return what is said about a finding to the lead."""
    known = {name: _or_none(value) for name, value in finding.items()}
    known["garden"] = rested.garden_names.get(known["site"], known["site"])
    values = values_of(EVERY_CHECK.get(known["check"]), known, settings.language, settings.units)
    words = in_words(known["check"], values, settings.language)
    return {"message": words.message, "why": words.why, "remedy": words.remedy}


def _or_none(value: Any) -> Any:
    return value if isinstance(value, dict) or not pd.isna(value) else None


def _points(asked: pd.DataFrame, rested: Rested, settings: Settings) -> pd.Series:
    """Return by cause how far the answer would move; missing where that cannot be worked out."""
    outcome = rested.trial.primary_outcome
    effects = _weighted_effects(rested.found, outcome)
    otherwise = _otherwise(asked, rested)
    if effects.empty or otherwise.about.empty:
        return pd.Series(dtype="float64")
    plots = plots_otherwise(
        rested.layout,
        rested.rows,
        otherwise,
        control=rested.trial.control,
        completeness=settings.answer.completeness,
        early_days=settings.answer.early_days,
        harvest_stage=rested.trial.harvest_stage,
    )
    then = effects_otherwise(plots, rested.trial.control, outcome)
    return points_moved(otherwise.about, then, effects)


def _weighted_effects(found: SeasonAnswer, outcome: str) -> pd.DataFrame:
    """Return the garden effects of an outcome with their weight in the network's answer."""
    for effects in found.effects:
        # A move is told in percent points, so of a ratio alone.
        if effects["outcome"].iloc[0] == outcome and BY_NAME[outcome].scale == "ratio":
            tau2 = {row["treatment"]: row["tau2"] for row in found.network if row["outcome"] == outcome}
            spread = effects["log_ratio_variance"] + effects["treatment"].map(tau2).astype("float64")
            # Before the trial closes, and where no garden has an error, the gardens count the same.
            weight = (1 / spread.where(spread > 0)).fillna(1.0) if spread.notna().all() else 1.0
            known = effects.assign(weight=weight).dropna(subset=["log_ratio"])
            return known[["site", "treatment", "log_ratio", "weight"]]
    return pd.DataFrame(columns=["site", "treatment", "log_ratio", "weight"])


def _otherwise(asked: pd.DataFrame, rested: Rested) -> Otherwise:
    """Return each cause answered the other way: rows that count left out, rows on hold counted as mended."""
    plots = set(zip(rested.layout["site"], rested.layout["plot"], strict=True))
    usual = rested.rows["harvest"].groupby(["site", "plot"])["marketable_weight"].median()
    without: list[tuple[int, str, int]] = []
    added: dict[str, list[dict[str, Any]]] = {kind: [] for kind in _COUNTED}
    about: dict[int, str] = {}
    for asked_about in asked[asked["kind"].isin(_COUNTED)].to_dict("records"):
        finding = _placed(asked_about)
        cause, kind = int(finding["cause"]), str(finding["kind"])
        if pd.isna(finding["row_id"]):
            rows = rested.rows[kind]
            touched = rows[(rows["site"] == finding["site"]) & (rows["file"] == finding["file"])]
            without += [(cause, kind, int(row)) for row in touched["row_id"]]
        elif (finding["site"], finding["plot"]) not in plots:
            continue
        elif finding["state"] == "counts":
            without.append((cause, kind, int(finding["row_id"])))
        else:
            mended = _mended(finding, usual.get((finding["site"], finding["plot"])))
            added[kind].append(mended | {"question": cause})
        about[cause] = str(finding["site"])
    return Otherwise(
        pd.DataFrame(list(about.items()), columns=["question", "site"]),
        pd.DataFrame(without, columns=["question", "kind", "row_id"]),
        {kind: _once_a_day(pd.DataFrame(rows)) for kind, rows in added.items()},
    )


def _placed(finding: dict[str, Any]) -> dict[str, Any]:
    """Return a finding about an unknown garden as one about the garden most likely meant."""
    nearest = json.loads(finding["details"]).get("nearest")
    if finding["check"] != "site-unknown" or nearest is None or finding["values"] is None:
        return finding
    values = finding["values"] | {"site": nearest}
    return finding | {"site": nearest, "plot": values.get("plot"), "values": values}


def _once_a_day(rows: pd.DataFrame) -> pd.DataFrame:
    """Return the rows with the last of several about one plot and day: only one of them can be right."""
    return rows.drop_duplicates(["question", "site", "plot", "date"], keep="last") if len(rows) else rows


def _mended(finding: dict[str, Any], usual_kg: float | None) -> dict[str, Any]:
    """Return a row on hold as it would most likely count: as suggested, else as its plot usually weighs."""
    row, suggest = dict(finding["values"]), json.loads(finding["details"]).get("suggest")
    if finding["column"] == "date" and (day := _day(suggest)) is not None:
        row["date"] = pd.Timestamp(day)
    column = finding["column"] if str(finding["column"]).endswith("_weight") else "marketable_weight"
    if column in row:
        reading = _reading(suggest)
        kilograms = reading["kg"] if reading else row[column]
        if (finding["column"] == column and not reading) or pd.isna(kilograms) or kilograms < 0:
            kilograms = usual_kg
        row[column] = kilograms
    return row


def _reading(suggest: Any) -> dict[str, Any] | None:
    """Return the first reading of a weight that is suggested."""
    readings = suggest.values() if isinstance(suggest, dict) else ()
    return next((each for each in readings if isinstance(each, dict) and "kg" in each), None)


def _day(suggest: Any) -> date | None:
    try:
        return date.fromisoformat(suggest) if isinstance(suggest, str) else None
    except ValueError:
        return None


def _typed(finding: dict[str, Any], units: str) -> str:
    """Return a suggested value as a person would type it, blank where there is none."""
    suggest = json.loads(finding["details"]).get("suggest")
    if (reading := _reading(suggest)) is not None:
        unit = reading.get("unit") or ("lb" if units == "us" else "kg")
        return f"{shown_number(round(reading.get('number', reading['kg']), 3))} {unit}"
    if isinstance(suggest, str | int | float):
        return str(suggest)
    nearest = json.loads(finding["details"]).get("nearest")
    return nearest if isinstance(nearest, str) else ""
