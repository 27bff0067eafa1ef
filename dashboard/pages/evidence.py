"""What speaks for and against a row: its plot's season, its neighbours, and its line as it came."""

import json
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.components.plain import Part, part
from dashboard.data import View
from dashboard.desk import Desk
from dashboard.figures.pickings import PickingRows, pickings_figure
from dashboard.figures.template import Screen
from dashboard.numerals import day, long_day, number
from dashboard.pages.neighbours import Row, near, season_of, treated_alike
from dashboard.selection import Selection
from dashboard.wording.findings import picking_beside_others
from dashboard.wording.questions import WORDS
from pipeline.checks.names import column_name
from pipeline.intake.units import KG_PER_UNIT


@dataclass(frozen=True)
class Weights:
    """How weights are written: the unit of a picking, and that of one fruit."""

    unit: str
    per_kg: float
    each_words: str
    each_per_kg: float


#: By the network's setting of units.
WEIGHTS = {
    "us": Weights("lb", 1 / KG_PER_UNIT["lb"], "oz a fruit", 1 / KG_PER_UNIT["oz"]),
    "si": Weights("kg", 1.0, "g a fruit", 1000.0),
}


def weights_of(view: View) -> Weights:
    """Return how weights are written for the reader: as the network has them, in SI where it is not known."""
    return WEIGHTS[view.desk.settings.units if view.desk else "si"]


def evidence(
    desk: Desk, view: View, selection: Selection, chosen: dict[str, Any], screen: Screen
) -> list[Any]:
    """Return the plot's season as a figure, the row among its neighbours, and its line as it came."""
    rows, weights = season_of(view, selection, chosen), WEIGHTS[desk.settings.units]
    row = next((row for row in rows if row["row_id"] == chosen["row"]), None)
    if row is None:
        return []
    chosen = chosen | {"date": _likely_day(chosen)}
    parts: list[Any] = []
    if isinstance(chosen["site"], str):
        if chosen["sheet"] == "harvest" and isinstance(chosen["plot"], str):
            plots = treated_alike(view, selection, chosen)
            alike = [each for each in rows if each["plot"] in plots]
            parts += _figure(alike, row, chosen, selection, weights, screen)
        parts += [html.H3(WORDS["neighbours"]), _table(near(rows, chosen), chosen, weights)]
    return [*parts, *line_as_it_came(desk, chosen, row)]


def _likely_day(chosen: dict[str, Any]) -> Any:
    """Return the day that a row is most likely of: the one suggested where the day itself is in question."""
    if chosen["column"] != "date" or not isinstance(chosen["suggest"], str):
        return chosen["date"]
    suggested = pd.to_datetime(chosen["suggest"], format="%Y-%m-%d", errors="coerce")
    return chosen["date"] if pd.isna(suggested) else suggested


def _figure(
    alike: Sequence[Row],
    row: Row,
    chosen: dict[str, Any],
    selection: Selection,
    weights: Weights,
    screen: Screen,
) -> list[Any]:
    counting = [
        (each["plot"], pd.Timestamp(each["date"]), each["marketable_weight"] * weights.per_kg)
        for each in alike
        if each["state"] == "counts" and each["marketable_weight"] is not None
    ]
    if not counting or pd.isna(chosen["date"]):
        return []
    garden = selection.garden_named(chosen["site"])
    weight, sent = row["marketable_weight"], chosen["sent"]
    drawn = PickingRows(
        pickings=pd.DataFrame(counting, columns=["plot", "date", "weight"]),
        plot=chosen["plot"],
        colour=garden["colour"] if garden else screen.tokens["ink"],
        unit=weights.unit,
        asked_on=pd.Timestamp(chosen["date"]),
        asked_weight=weight * weights.per_kg if weight is not None and weight >= 0 else None,
        label=WORDS["as_sent"].format(sent=sent[:20] if isinstance(sent, str) and sent else WORDS["blank"]),
    )
    about = {"plot": chosen["plot"], "code": chosen["code"]}
    seen = picking_beside_others(drawn.pickings, drawn.plot, drawn.asked_on, drawn.asked_weight, drawn.unit)
    caption = WORDS["figure_caption" if drawn.asked_weight is not None else "figure_caption_blank"]
    address = selection.address.choosing(question=str(chosen["finding"]))
    frame = figure_frame(
        pickings_figure(drawn, screen),
        finding=f"{WORDS['figure_finding'].format(**about)} {seen}",
        caption=caption_of(seen, caption.format(**about)),
        rows=Rows("questions", "neighbours", address.query),
    )
    return [html.H3(WORDS["figure"]), frame]


def _table(rows: Sequence[Row], chosen: dict[str, Any], weights: Weights) -> html.Div:
    """Return the row among its neighbours; the cell in question is marked."""
    is_weighed = "marketable_weight" in rows[0]
    heads = ["Row", "Plot", "Date"]
    heads += [f"Weight, {weights.unit}", "Fruits", weights.each_words] if is_weighed else []
    numbers = ("Row", *heads[3:])
    head = [part("Th", words, scope="col", className="n" if words in numbers else None) for words in heads]
    body = [_row(row, chosen, weights if is_weighed else None) for row in rows]
    table = html.Table([html.Thead(html.Tr([*head, html.Th("State", scope="col")])), html.Tbody(body)])
    named = attributes(aria_label=WORDS["neighbours"])
    return html.Div(table, className="scroll", role="region", tabIndex="0", **named)


def _row(row: Row, chosen: dict[str, Any], weights: Weights | None) -> Part:
    is_asked = int(row["row_id"]) == int(chosen["row"])
    cells = [
        part("Td", str(row["line"]), className="n second"),
        part("Td", row.get("plot") or ""),
        part("Td", day(row["date"]) if row["date"] else ""),
    ]
    if weights is not None:
        weight, count = row["marketable_weight"], row["marketable_count"]
        kg = math.nan if weight is None else weight
        shown = _as_sent(row, "marketable_weight") if weight is None else number(kg * weights.per_kg, 2)
        each = number(kg * weights.each_per_kg / count, 1) if count and count > 0 else ""
        cells += [
            part("Td", part("Mark", shown) if is_asked else shown, className="n"),
            part("Td", "" if count is None else number(count), className="n"),
            part("Td", each, className="n"),
        ]
    cells.append(part("Td", "" if row["state"] == "counts" else row["state"], className="second"))
    return part("Tr", cells, className="is-asked" if is_asked else None)


def _as_sent(row: Row, column: str) -> str:
    cells = json.loads(row["sent"])[0]
    return f"“{cells[column]}”" if cells.get(column) else WORDS["blank"]


def line_as_it_came(desk: Desk, chosen: dict[str, Any], row: Row | pd.Series) -> list[Any]:
    """Return the line of the file as it came, the cell in question marked."""
    tab = f", {row['tab']}" if isinstance(row["tab"], str) and row["tab"] else ""
    origin = WORDS["line_from"].format(
        file=f"{row['file']}{tab}", line=row["line"], day=long_day(row["received"])
    )
    text = desk.line_as_sent(row["sha256"], int(row["line"]))
    if text is not None:
        return [
            html.H3(WORDS["line_head"]),
            html.P([origin, html.Br(), *_marked(text, chosen["sent"])], className="mono"),
        ]
    cells = {name: value for part in json.loads(row["sent"]) for name, value in part.items() if value}
    listed = [
        part
        for name, value in cells.items()
        for part in (
            html.Dt(column_name(name)),
            html.Dd(html.Mark(value) if name == chosen["column"] else value),
        )
    ]
    return [
        html.H3(WORDS["cells"]),
        html.Div([html.P(origin), html.Dl(listed, className="cells")], className="mono"),
    ]


def _marked(text: str, sent: Any) -> list[Any]:
    """Return a line with the cell that was asked about marked, where it is the only one that reads so."""
    if not isinstance(sent, str) or not sent:
        return [text]
    cells = list(re.finditer(rf"(?<![^,;\t|\"]){re.escape(sent)}(?![^,;\t|\"])", text))
    if len(cells) != 1:
        return [text]
    start, end = cells[0].span()
    return [text[:start], html.Mark(sent), text[end:]]
