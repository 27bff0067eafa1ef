"""How gardens write: each keeps its sheet in its own way, and the same way all season."""

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, Literal

import numpy as np
import xlsxwriter

from pipeline.intake.units import KG_PER_UNIT

#: Written into every spreadsheet as its day of making, so that the same seed gives the same bytes.
_FIXED_DAY = datetime(2024, 1, 1)

_MONTHS_ES = ("ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic")

DateStyle = Literal["iso", "month first", "named"]
WeightStyle = Literal["lb", "oz", "kg", "lb and oz", "exact"]


@dataclass(frozen=True)
class Style:
    """How one garden writes its sheets."""

    dates: DateStyle = "iso"
    weights: WeightStyle = "lb"
    is_workbook: bool = False
    title: str = ""
    names_garden: bool = False
    language: Literal["en", "es"] = "en"

    @property
    def unit(self) -> str:
        """The unit that the garden's scale shows."""
        return {"exact": "kg", "lb and oz": "lb"}.get(self.weights, self.weights)


def style_of(rng: np.random.Generator, *, exact: bool, is_workbook: bool = False) -> Style:
    """Return how one garden writes."""
    if exact:
        return Style(weights="exact")
    return Style(
        dates=rng.choice(["iso", "month first", "month first", "named"]),
        weights=rng.choice(["lb", "lb", "oz", "kg", "lb and oz"]),
        is_workbook=is_workbook,
        title="Harvest record" if rng.random() < 0.3 else "",
        names_garden=bool(rng.random() < 0.2),
    )


def written_date(day: date, style: Style) -> str:
    """Return a day as the garden writes it."""
    if style.dates == "month first":
        return f"{day.month}/{day.day}/{day.year}"
    if style.dates == "iso":
        return day.isoformat()
    if style.language == "es":
        return f"{day.day} {_MONTHS_ES[day.month - 1]} {day.year}"
    return f"{day:%b} {day.day}, {day.year}"


def written_weight(kilograms: float, style: Style) -> str:
    """Return a weight as the garden writes it, rounded as its scale rounds."""
    if style.weights == "exact":
        return repr(float(kilograms))
    if style.weights == "lb and oz":
        pounds, ounces = divmod(round(kilograms / KG_PER_UNIT["oz"] * 2) / 2, 16)
        return f"{pounds:.0f} lb {ounces:g} oz" if pounds else f"{ounces:g} oz"
    value = kilograms / KG_PER_UNIT[style.weights]
    return f"{value:.1f}" if style.weights == "oz" else f"{value:.2f}"


def file_bytes(columns: Sequence[str], rows: Sequence[Sequence[str]], style: Style) -> bytes:
    """Return a sheet as the bytes of a CSV file or a spreadsheet."""
    return _workbook(columns, rows, style) if style.is_workbook else _text(columns, rows, style)


def first_line(style: Style) -> int:
    """Return the line on which the first row stands."""
    return 4 if style.title else 2


def _text(columns: Sequence[str], rows: Sequence[Sequence[str]], style: Style) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    if style.title:
        out.write(f"{style.title}\n\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue().encode("utf-8")


def _workbook(columns: Sequence[str], rows: Sequence[Sequence[str]], style: Style) -> bytes:
    out = io.BytesIO()
    # A fixed day keeps the bytes the same from one simulation to the next.
    with xlsxwriter.Workbook(out, {"in_memory": True, "default_date_format": "yyyy-mm-dd"}) as book:
        book.set_properties({"created": _FIXED_DAY})
        sheet = book.add_worksheet("Sheet1")
        top = first_line(style) - 2
        if style.title:
            sheet.write_string(0, 0, style.title)
        for at, name in enumerate(columns):
            sheet.write_string(top, at, name)
        for down, row in enumerate(rows, start=top + 1):
            for at, cell in enumerate(row):
                _write_cell(sheet, down, at, cell)
    return out.getvalue()


def _write_cell(sheet: Any, down: int, at: int, cell: str) -> None:
    if not cell:
        return
    try:
        day = date.fromisoformat(cell)
    except ValueError:
        day = None
    if day is not None:
        sheet.write_datetime(down, at, datetime.combine(day, time()))
    elif cell.replace(".", "", 1).isdigit():
        sheet.write_number(down, at, float(cell))
    else:
        sheet.write_string(down, at, cell)
