"""The rows of one garden: adding up plot by plot, and one plot's rows with file and line."""

from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.mark import link
from dashboard.data import TrialSeason, View
from dashboard.numerals import day, number
from dashboard.pages.evidence import weights_of
from dashboard.plot_curves import PlotCurve, plot_curves
from dashboard.records import records
from dashboard.selection import Selection
from dashboard.wording.garden import WORDS


def harvest_of(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the garden's harvest rows of the season as the snapshot's run left them."""
    if view.desk is None or selection.garden is None:
        return pd.DataFrame()
    return view.desk.garden_rows("harvest", selection.garden, trial.season, view.published.run)


def curves_of_plots(view: View, selection: Selection, trial: TrialSeason) -> list[PlotCurve]:
    """Return weight per plant of each plot adding up, in the reader's unit."""
    if view.desk is None or selection.garden is None:
        return []
    treatments = {each["treatment"]: each for each in records(selection.treatments)}
    plots = records(
        data.of_garden(view, "plot_seasons", selection.garden, trial), ("plot", "treatment", "plants")
    )
    planted = {
        plot["plot"]: treatments[plot["treatment"]] | {"plants": plot["plants"]}
        for plot in plots
        if plot["treatment"] in treatments and plot["plants"]
    }
    pickings = view.desk.weighed_pickings(selection.garden, trial.season, view.published.run)
    return plot_curves(pickings, planted, weights_of(view).per_kg)


def plot_rows(view: View, selection: Selection, trial: TrialSeason) -> list[Any]:
    """Return the rows of the plot that the address names, each a link to what became of it."""
    plot = selection.address.get("plot")
    if plot is None or view.desk is None:
        return []
    rows = harvest_of(view, selection, trial)
    rows = rows[rows["plot"] == plot] if len(rows) else rows
    heading = html.H2(WORDS["rows"].format(plot=plot), id="rows")
    if rows.empty:
        return [html.Section([heading, html.P(WORDS["rows_none"], className="second")], className="block")]
    weights = weights_of(view)
    body = [_row(row, selection, weights) for row in rows.sort_values(["date", "line"]).to_dict("records")]
    heads = ("Date", f"Weight, {weights.unit}", "Fruits", "State", "File", "Row")
    head = [
        html.Th(words, scope="col", className="n" if words in (heads[1], "Fruits", "Row") else None)
        for words in heads
    ]
    table = html.Table([html.Thead(html.Tr(head)), html.Tbody(body)])
    named = attributes(aria_labelledby="rows")
    note = html.P(WORDS["rows_note"], className="second small")
    scroll = html.Div(table, className="scroll", role="region", tabIndex="0", **named)
    return [html.Section([heading, note, scroll], className="block")]


def _row(row: dict[str, Any], selection: Selection, weights: Any) -> html.Tr:
    to = selection.address.choosing(row=f"harvest-{row['row_id']}")
    is_chosen = selection.address.get("row") == f"harvest-{row['row_id']}"
    weight, count = row["marketable_weight"], row["marketable_count"]
    cells = [
        html.Th(day(row["date"]) if pd.notna(row["date"]) else "", scope="row"),
        html.Td(number(weight * weights.per_kg, 2), className="n"),
        html.Td(number(count), className="n"),
        html.Td(WORDS["counts"] if row["state"] == "counts" else row["state"]),
        html.Td(row["file"]),
        html.Td(link(str(row["line"]), to.href, current="true" if is_chosen else None), className="n"),
    ]
    return html.Tr(cells, className="is-asked" if is_chosen else None)
