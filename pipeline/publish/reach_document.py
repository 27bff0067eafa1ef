"""The year's document: the figures of program reach with their definitions, and a map, as a PDF."""

from collections.abc import Sequence
from datetime import datetime
from importlib.resources import files
from typing import Any

import numpy as np
import pandas as pd
import shapely
from fpdf import FPDF
from fpdf.enums import XPos, YPos
from fpdf.fonts import FontFace

from pipeline.checks.shown import shown_date
from pipeline.publish.reach import FEWEST_PEOPLE
from pipeline.publish.reach_measures import BY_NAME
from pipeline.publish.reach_year import (
    ReachYear,
    complete,
    counties_table,
    how_sure,
    sent_measures,
    sentence,
    told,
)

#: The measure that the map shows.
MAPPED = "service_hours"
#: Height and width of the map at most, and the distances between its hatch lines, millimetres.
MAP_MM = (170.0, 95.0)
HATCH_MM = {"open": 2.2, "close": 1.0}
_INK, _RULE = 30, 170
_SERIF, _SANS = "Serif", "Sans"


class _Document(FPDF):
    """A4 pages with the network's name and the page number below."""

    def __init__(self, foot: str) -> None:
        super().__init__(orientation="portrait", unit="mm", format="A4")
        self._foot = foot
        for family, style, file in (
            (_SANS, "", "sans.ttf"),
            (_SANS, "B", "sans-strong.ttf"),
            (_SERIF, "", "serif.ttf"),
        ):
            self.add_font(family, style, str(files("pipeline.publish") / "fonts" / file))
        self.set_margins(20, 20, 20)
        self.set_auto_page_break(True, 22)
        self.set_text_color(_INK)
        self.set_draw_color(_INK)

    def footer(self) -> None:
        self.set_y(-15)
        self.set_font(_SANS, "", 8)
        self.cell(0, 5, self._foot)
        self.set_y(-15)
        self.cell(0, 5, f"{self.page_no()} of {{nb}}", align="R")


def reach_document(
    found: ReachYear, outlines: pd.DataFrame, network: str, published: datetime, language: str = "en"
) -> bytes:
    """Return the document of one year as the bytes of a PDF; the same figures give the same bytes.

    `outlines` are the published outlines of the region's counties, `published` when the figures came out.
    """
    page = _Document(f"{network}: the garden year {found.year}")
    page.set_title(f"The garden year {found.year}")
    page.set_author(network)
    page.set_lang(language)
    page.set_creation_date(published.replace(microsecond=0))
    page.add_page()
    page.set_font(_SANS, "", 10)
    _line(page, network, 5)
    page.set_font(_SERIF, "", 24)
    _line(page, f"The garden year {found.year}", 12)
    page.set_font(_SERIF, "", 15)
    page.ln(2)
    _paragraph(page, sentence(found), 7)
    page.set_font(_SANS, "", 10)
    _paragraph(page, how_sure(found), 5)
    page.ln(4)
    _figures(page, found)
    if len(found.counties):
        page.add_page()
        _counties(page, found, outlines)
    _notes(page, published)
    return bytes(page.output())


def _line(page: FPDF, words: str, height: float) -> None:
    page.cell(0, height, words, new_x=XPos.LMARGIN, new_y=YPos.NEXT)


def _paragraph(page: FPDF, words: str, height: float) -> None:
    if words:
        page.multi_cell(0, height, words, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)


def _figures(page: FPDF, found: ReachYear) -> None:
    """Write the table of figures: years side by side, how complete, how counted."""
    page.set_font(_SANS, "", 8.5)
    if found.is_running:
        _paragraph(page, f"January 1 to {shown_date(found.until, 'en').partition(',')[0]} of each year.", 5)
    years = list(found.years)
    rows = []
    for name in sent_measures(found):
        now = found.figure(name)
        cells = [told(found.figure(name, year)) for year in years]
        rows.append([BY_NAME[name].label, *cells, complete(now), BY_NAME[name].definition])
    heads = ["What", *map(str, years), "How complete", "How it is counted"]
    widths = [38, *(18 for _ in years), 28, 170 - 66 - 18 * len(years)]
    _table(page, heads, rows, widths, numbers=range(1, len(years) + 1))


def _table(
    page: FPDF, heads: list[str], rows: list[list[str]], widths: Sequence[float], numbers: Sequence[int]
) -> None:
    align = tuple("RIGHT" if at in numbers else "LEFT" for at in range(len(heads)))
    with page.table(
        col_widths=tuple(widths),
        text_align=align,
        borders_layout="HORIZONTAL_LINES",
        headings_style=FontFace(emphasis="BOLD"),
        line_height=4.2,
        padding=1,
        width=sum(widths),
        align="LEFT",
    ) as table:
        for cells in [heads, *rows]:
            row = table.row()
            for cell in cells:
                row.cell(cell)


def _counties(page: FPDF, found: ReachYear, outlines: pd.DataFrame) -> None:
    page.set_font(_SERIF, "", 15)
    _line(page, "By county", 9)
    table = counties_table(found)
    limit = float(table[MAPPED].median()) if table[MAPPED].notna().any() else np.nan
    drawn = _map(page, table, limit, outlines)
    page.set_font(_SANS, "", 8.5)
    if drawn and np.isfinite(limit):
        _paragraph(
            page,
            f"{BY_NAME[MAPPED].label}, by the county of the garden. Close hatching: over {limit:,.0f} h. "
            f"Open hatching: up to {limit:,.0f} h. Dark outline without hatching: gardens that sent none. "
            "White: no garden.",
            4.5,
        )
    page.ln(3)
    columns = [name for name in table.columns if name in BY_NAME]
    by_place = found.counties.set_index(["county_fips", "measure"], drop=False)
    rows = [
        [row["county"], *(told(by_place.loc[(row["county_fips"], name)].to_dict()) for name in columns)]
        for row in table.to_dict("records")
    ]
    widths = [34, *([136 / len(columns)] * len(columns))]
    _table(
        page, ["County", *(BY_NAME[name].label for name in columns)], rows, widths, range(1, len(columns) + 1)
    )


def _map(page: FPDF, table: pd.DataFrame, limit: float, outlines: pd.DataFrame) -> bool:
    """Draw the region with a hatch in every county that has the mapped figure; False without outlines."""
    if outlines.empty:
        return False
    west, east = float(outlines["x_km"].min()), float(outlines["x_km"].max())
    south, north = float(outlines["y_km"].min()), float(outlines["y_km"].max())
    scale = min(MAP_MM[0] / (east - west), MAP_MM[1] / (north - south))
    left, top = page.l_margin, page.get_y()
    values = table.set_index("county_fips")[MAPPED]
    page.set_line_width(0.15)
    for (outline, _), ring in outlines.groupby(["outline", "ring"], sort=False):
        points = np.column_stack([left + (ring["x_km"] - west) * scale, top + (north - ring["y_km"]) * scale])
        has_garden, is_region = outline in values.index, outline == "region"
        page.set_draw_color(_INK if has_garden or is_region else _RULE)
        if has_garden and pd.notna(values[outline]):
            _hatch(page, points, HATCH_MM["close" if values[outline] > limit else "open"])
        page.polygon([tuple(point) for point in points])
    page.set_draw_color(_INK)
    page.set_y(top + (north - south) * scale + 3)
    return True


def _hatch(page: FPDF, points: Any, apart: float) -> None:
    """Draw slanting lines `apart` millimetres from each other inside a ring."""
    shape = shapely.make_valid(shapely.polygons(points))
    x0, y0, x1, y1 = shape.bounds
    for at in np.arange(x0 + y0, x1 + y1, apart * np.sqrt(2)):
        line = shapely.linestrings([(at - y0, y0), (at - y1, y1)])
        for part in shapely.get_parts(shapely.intersection(shape, line)):
            ends = shapely.get_coordinates(part)
            if len(ends) == 2:
                page.line(ends[0, 0], ends[0, 1], ends[1, 0], ends[1, 1])


def _notes(page: FPDF, published: datetime) -> None:
    page.ln(5)
    page.set_font(_SANS, "", 8.5)
    _paragraph(
        page,
        f"Counts of people from 1 to {FEWEST_PEOPLE - 1} are not told, nor a second count where it would "
        "give such a one away. Contacts and volunteers’ turns are occasions, not persons. Figures as "
        f"published on {shown_date(published.date(), 'en')}; a sheet that comes in later changes them.",
        4.5,
    )
