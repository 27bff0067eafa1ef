"""Parts of the watch page: how the night went, the week's weather, planting, and two people's scores."""

from datetime import timedelta
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import entry, garden_heading, ledger
from dashboard.data import TrialSeason, View
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, count, day, moment, number
from dashboard.selection import Selection
from dashboard.wording.watch import MEASURES, WORDS

#: A night is missed when none has begun for this long: a day, and the hours that one may start or take late.
MISSED_AFTER = timedelta(hours=30)
#: Gardens listed while planting; the table behind has them all.
MOST_GARDENS = 60


def run_health(view: View, screen: Screen) -> list[Any]:
    """Return how the night went: a quiet line, or loudly that it did not run or did not finish."""
    last = view.desk.last_run() if view.desk else None
    if view.desk is None or last is None:
        return []
    when = moment(last.started, screen.zone)
    age = view.desk.now() - last.started
    if last.status == "running" and age < MISSED_AFTER:
        return [html.P(WORDS["runs"].format(moment=when), className="second small")]
    if last.status in ("failed", "running"):
        said = WORDS["not_finished"].format(moment=when)
    elif age > MISSED_AFTER:
        said = WORDS["not_run"].format(moment=when)
    else:
        words = WORDS["ran_nothing_new" if last.status == "nothing new" else "ran"]
        return [html.P(words.format(moment=when), className="second small")]
    stands = WORDS["stands"].format(published=moment(view.published.published, screen.zone))
    heading = html.P(html.Strong(said), className="lead-in")
    return [html.Div([heading, html.P(stands)], className="trouble", role="alert")]


def weather(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return the week's freezes and days too hot to set fruit, the newest first."""
    events = data.of_season(view, "weather_events", trial)
    if events.empty:
        return [ledger([], WORDS["weather_none"])]
    units = view.desk.settings.units if view.desk else "si"
    entries = [
        _event(str(event), pd.Timestamp(str(when)), rows, selection, units)
        for (when, event), rows in sorted(events.groupby(["date", "event"]), reverse=True)
    ]
    return [ledger(entries, ""), table_behind(Rows("watch", "weather", selection.address.query))]


def _event(event: str, when: pd.Timestamp, rows: pd.DataFrame, selection: Selection, units: str) -> html.Li:
    place = rows["value_c"].idxmin() if event == "freeze" else rows["value_c"].idxmax()
    far = rows.loc[place]
    names = selection.gardens.set_index("site")["name"]
    extreme = WORDS["lowest" if event == "freeze" else "highest"].format(
        value=temperature(far["value_c"], units)
    )
    words = WORDS["event"].format(
        count=rows["site"].nunique(),
        gardens=count(len(selection.gardens), "garden", "gardens"),
        extreme=extreme,
        site=far["site"],
        name=names.get(far["site"], ""),
    )
    return entry("note", [html.B(WORDS[event]), " ", html.Span(day(when), className="second nowrap")], words)


def temperature(celsius: float, units: str) -> str:
    """Return a temperature in the reader's unit."""
    if units == "us":
        return f"{number(celsius * 9 / 5 + 32)}{NO_BREAK}°F"
    return f"{number(celsius)}{NO_BREAK}°C"


def planting(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return how far the gardens are with planting: arrived, planted, sheet in, picture seen."""
    rows = data.of_season(view, "planting_week", trial)
    if rows.empty:
        return []
    is_done = rows["plots_planted"] >= rows["plots"]
    gardens = count(len(rows), "garden", "gardens")
    said = "planting_all" if is_done.all() else "planting_some"
    placed = rows.merge(selection.gardens[["site", "name", "position_km", "colour"]], on="site")
    placed = placed.assign(is_done=placed["plots_planted"] >= placed["plots"])
    ordered = placed.sort_values(["is_done", "position_km"], kind="stable").head(MOST_GARDENS)
    heads = ("Garden", "Arrived", "Planted", "Sheet in", "Picture")
    head = html.Tr([html.Th(words, scope="col") for words in heads])
    table = html.Table([html.Thead(head), html.Tbody([_planted(row) for row in ordered.to_dict("records")])])
    named = attributes(aria_label=WORDS["planting"])
    return [
        html.P(WORDS[said].format(gardens=gardens, done=int(is_done.sum()))),
        html.Details(
            [
                html.Summary(WORDS["planting_show"]),
                html.Div(table, className="scroll", role="region", tabIndex="0", **named),
            ],
            open=not is_done.all(),
        ),
        table_behind(Rows("watch", "planting", selection.address.query)),
    ]


def _planted(row: dict[str, Any]) -> html.Tr:
    planted = f"{row['plots_planted']} of {row['plots']} plots"
    if pd.notna(row["last_planted_on"]):
        planted += f", {day(row['last_planted_on'])}"
    usable = "" if pd.isna(row["plants_usable"]) else f", {number(row['plants_usable'])} plants"
    arrived = WORDS["not_yet"] if pd.isna(row["arrived_on"]) else f"{day(row['arrived_on'])}{usable}"
    picture = WORDS["not_yet"] if pd.isna(row["picture_on"]) else day(row["picture_on"])
    sheet = "yes" if row["plots_planted"] > 0 else WORDS["not_yet"]
    return html.Tr(
        [
            html.Th(garden_heading(row), scope="row"),
            *(html.Td(cell) for cell in (arrived, planted, sheet, picture)),
        ]
    )


def agreement(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return how well two people agree who scored one plot on one day."""
    rows = data.of_season(view, "score_agreement", trial)
    if rows.empty:
        return [ledger([], WORDS["agreement_none"])]
    entries = []
    for row in rows.to_dict("records"):
        unit = f"{NO_BREAK}{row['unit']}"
        words = WORDS["pairs"].format(
            pairs=count(int(row["pairs"]), "plot", "plots"),
            mean=number(row["mean_difference"], 1) + unit,
            largest=number(row["largest_difference"], 1) + unit,
        )
        if pd.notna(row["concordance"]):
            words += " " + WORDS["concordance"].format(value=number(row["concordance"], 2))
        entries.append(entry("note", [html.B(MEASURES[row["measure"]])], words))
    return [ledger(entries, ""), table_behind(Rows("watch", "scores", selection.address.query))]
