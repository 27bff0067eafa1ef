"""Layouts on screen, and how well the gardens that were asked would fit."""

from typing import Any

import numpy as np
import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, table_behind
from dashboard.components.ledger import garden_heading
from dashboard.components.plain import Part, part
from dashboard.data import TrialSeason, View
from dashboard.figures.next_map import NextMap
from dashboard.figures.row import Row, row_over
from dashboard.figures.template import Screen
from dashboard.numerals import number, with_unit
from dashboard.pages.plan_inputs import best_places, gain_at
from dashboard.records import records
from dashboard.selection import Selection, with_garden
from dashboard.wording.plan import WORDS
from sites.layout import randomised_blocks

#: Hours of sun that fruiting vegetables want. Common practice, no source.
LEAST_SUN_HOURS = 6.0
#: Kilometres below which another garden tells little that its neighbour does not. Common practice, no source.
NEXT_DOOR_KM = 5.0
#: Seed of a draft layout; the layout that counts is written by the command, with a seed of its own.
DRAFT_SEED = 1


def fits(view: View, trial: TrialSeason, blocks: int, paper: str = "light") -> pd.DataFrame:
    """Return the gardens that were asked, west to east, with what speaks for and against each.

    Columns: those of the gardens, plots_needed, next_garden and next_km (the nearest garden that takes part),
    has_beds, has_sun, has_water, is_apart (yes, no or blank where it is not recorded) and verdict.
    """
    gardens = data.gardens(view, paper)
    asked = gardens[gardens["status"] == "asked"].reset_index(drop=True)
    part = gardens[gardens["status"].isin(["agreed", "active"])].dropna(subset=["position_km", "across_km"])
    needed = blocks * max(len(data.treatments(view, trial)), 1)
    nearest = _nearest(asked, part)
    table = asked.assign(plots_needed=needed, next_garden=nearest["site"], next_km=nearest["km"])
    tests = {
        "has_beds": (table["beds"].astype("float64"), table["beds"].astype("float64") >= needed),
        "has_sun": (table["sun_hours"], table["sun_hours"] >= LEAST_SUN_HOURS),
        "is_apart": (table["next_km"], table["next_km"] >= NEXT_DOOR_KM),
    }
    for name, (value, is_met) in tests.items():
        table[name] = np.where(value.isna(), "", np.where(is_met, "yes", "no"))
    water = table["water_source"].fillna("")
    table["has_water"] = np.where(water == "", "", np.where(water == "none", "no", "yes"))
    answers = table[["has_beds", "has_sun", "has_water", "is_apart"]]
    fit = np.where((answers == "yes").all(axis=1), WORDS["fits"], WORDS["look"])
    return table.assign(verdict=fit)


def _nearest(asked: pd.DataFrame, part: pd.DataFrame) -> pd.DataFrame:
    """Return for each garden asked the nearest one that takes part and how far it is, straight, km."""
    if asked.empty or part.empty:
        return pd.DataFrame({"site": [""] * len(asked), "km": [np.nan] * len(asked)})
    place = ["position_km", "across_km"]
    apart = asked[place].to_numpy(float)[:, None, :] - part[place].to_numpy(float)[None, :, :]
    km = np.hypot(apart[..., 0], apart[..., 1])
    at = np.where(np.isnan(km), np.inf, km).argmin(axis=1)
    return pd.DataFrame({"site": part["site"].to_numpy()[at], "km": km[np.arange(len(asked)), at]})


def gardens_of(view: View, season: TrialSeason, paper: str) -> tuple[pd.DataFrame, Row]:
    """Return the gardens of a season whose place is known, and the row that shows them whole."""
    gardens = data.placed(view, data.of_season(view, "garden_states", season), paper)
    gardens = gardens.dropna(subset=["position_km"])
    return gardens, row_over(data.outlines(view), gardens)


def next_map_rows(view: View, closed: TrialSeason, paper: str = "light") -> NextMap | None:
    """Return what the map of the next garden shows; None where there is no line from west to east yet."""
    gardens, row = gardens_of(view, closed, paper)
    found = best_places(view, closed, max(row.low, 0.0), row.high)
    if found is None:
        return None
    known = data.gardens(view, paper).dropna(subset=["position_km", "across_km"])
    asked = known[known["status"] == "asked"].reset_index(drop=True)
    return NextMap(
        outlines=data.outlines(view),
        options=found.options,
        gardens=known[known["site"].isin(gardens["site"])].reset_index(drop=True),
        asked=asked.assign(narrower_pct=gain_at(found, asked["position_km"])),
        row=row,
        best_km=found.best_km,
    )


def asked_gardens(view: View, selection: Selection, blocks: int, screen: Screen) -> list[Any]:
    """Return the gardens that were asked with their beds, sun, water and the next garden."""
    if selection.trial is None:
        return []
    heading = html.H2(WORDS["asked_title"])
    table = fits(view, selection.trial, blocks, screen.paper)
    if table.empty:
        return [html.Section([heading, html.P(WORDS["asked_none"], className="second")], className="block")]
    heads = ("Garden", "Beds", "Sun", "Water", "Next garden", "")
    head = html.Tr([html.Th(words, scope="col") for words in heads])
    body = [_asked(row) for row in table.to_dict("records")]
    scroll = html.Div(
        html.Table([html.Thead(head), html.Tbody(body)]),
        className="scroll",
        role="region",
        tabIndex="0",
        **attributes(aria_label=WORDS["asked_title"]),
    )
    note = html.P(WORDS["asked_note"].format(sun=number(LEAST_SUN_HOURS)), className="second small")
    behind = table_behind(Rows("plan", "asked", selection.address.query))
    return [html.Section([heading, note, scroll, behind], className="block")]


def _asked(row: dict[str, Any]) -> html.Tr:
    beds = WORDS["unknown"] if pd.isna(row["beds"]) else f"{row['beds']} for {row['plots_needed']} plots"
    sun = WORDS["unknown"] if pd.isna(row["sun_hours"]) else with_unit(row["sun_hours"], "hours", 1)
    water = (
        row["water_source"]
        if isinstance(row["water_source"], str) and row["water_source"]
        else WORDS["unknown"]
    )
    near = (
        f"{row['next_garden']}, {with_unit(row['next_km'], 'km')}" if row["next_garden"] else WORDS["unknown"]
    )
    cells: list[Any] = [beds, sun, water, near, html.B(row["verdict"])]
    return html.Tr([html.Th(garden_heading(row), scope="row"), *(html.Td(cell) for cell in cells)])


def layout_of(view: View, selection: Selection, blocks: int) -> tuple[pd.DataFrame, bool]:
    """Return the chosen garden's plots (site, block, plot, code, row, col), and whether this is a draft."""
    chosen = with_garden(selection)
    if selection.trial is None or chosen.garden is None:
        return pd.DataFrame(), False
    own = data.of_garden(view, "layout", chosen.garden, selection.trial)
    if len(own):
        return own.reset_index(drop=True), False
    codes = data.treatments(view, selection.trial)["code"].tolist()
    draft = randomised_blocks([chosen.garden], codes, blocks, DRAFT_SEED)
    return draft.rename(columns={"treatment": "code"}), True


def layout(view: View, selection: Selection, blocks: int) -> list[Any]:
    """Return the layout of the chosen garden, one line a block, each plot with its code."""
    plots, is_draft = layout_of(view, selection, blocks)
    if plots.empty:
        return []
    site = plots["site"].iloc[0]
    heading = WORDS["layout_draft" if is_draft else "layout_title"].format(site=site)
    blocks_of: dict[str, list[Part]] = {}
    for plot in records(plots.sort_values(["row", "col"], kind="stable")):
        blocks_of.setdefault(plot["block"], []).append(_plot(plot))
    lines = [
        html.Li(
            [
                html.Span(WORDS["block"].format(block=block), className="second small"),
                part("Ol", line, className="plot-line"),
            ]
        )
        for block, line in blocks_of.items()
    ]
    note = WORDS["layout_note"] + (" " + WORDS["layout_draft_note"] if is_draft else "")
    behind = table_behind(Rows("plan", "layout", selection.address.query))
    parts = [
        html.H2(heading),
        html.P(note, className="second small"),
        html.Ol(lines, className="plot-map"),
        behind,
    ]
    return [html.Section(parts, className="block")]


def _plot(plot: dict[str, Any]) -> Part:
    number_of = part("Span", WORDS["plot"].format(plot=plot["plot"]), className="fine second")
    return part("Li", [part("B", plot["code"]), number_of])
