"""Blank sheets with a garden's own plots filled in, one for each kind of sheet, in the reader's language."""

from collections.abc import Sequence
from dataclasses import dataclass

from dashboard.sending.mending import Grid
from pipeline.checks.names import column_name, sheet_name
from pipeline.intake.header import Header, read_header
from pipeline.intake.sheets import sheets

#: Kinds of sheets with one row per plot, and the kind with one row per treatment.
OF_PLOTS = ("harvest", "planting", "condition")
OF_TREATMENTS = ("delivery",)

#: Columns that a blank sheet leaves out: they stand for what only few gardens need, and can be added.
_LEFT_OUT = {
    "harvest": ("picking", "event", "stage", "cull_cause", "lost_count", "scale"),
    "planting": ("event", "how"),
    "condition": (),
}
#: Rows without a plot that a sheet gets to start with.
_EMPTY_ROWS = 12


@dataclass(frozen=True)
class Garden:
    """What a blank sheet knows of a garden: its short name, its plots in order, and its treatments' codes."""

    site: str
    plots: Sequence[str]
    codes: Sequence[str] = ()


def blank_sheet(sheet: str, garden: Garden, language: str = "en", unit: str = "") -> Grid:
    """Return a blank sheet of a kind: its column names, and a row for each plot with garden and plot.

    `unit` stands in the heading of weights. Rows in which nothing more is written count as blank.
    """
    names = [name for name in sheets()[sheet].column_names if name not in _LEFT_OUT.get(sheet, ())]
    if unit:
        names = [name for name in names if name != "unit" or not _weights(sheet)]
    header = [_heading(sheet, name, language, unit) for name in names]
    filled = [_row(names, cells) for cells in _cells(sheet, garden)]
    return Grid(sheet_name(sheet, language), [header, *filled])


def _weights(sheet: str) -> tuple[str, ...]:
    return sheets()[sheet].of_kind("weight")


def _cells(sheet: str, garden: Garden) -> list[dict[str, str]]:
    site = {"site": garden.site}
    if sheet in OF_PLOTS:
        return [site | {"plot": plot} for plot in garden.plots]
    if sheet in OF_TREATMENTS:
        return [site | {"treatment": code} for code in garden.codes]
    return [dict(site) for _ in range(_EMPTY_ROWS)]


def _row(names: Sequence[str], cells: dict[str, str]) -> list[str]:
    return [cells.get(name, "") for name in names]


def _heading(sheet: str, name: str, language: str, unit: str) -> str:
    """Return a column's heading in the reader's language where it is read back as that column."""
    unit_words = f" ({unit})" if unit and name in _weights(sheet) else ""
    spoken = f"{column_name(name, language)}{unit_words}"
    return spoken if _reads_as(sheet, name, spoken) else f"{name}{unit_words}"


def _reads_as(sheet: str, name: str, spoken: str) -> bool:
    own = [column for column in sheets()[sheet].column_names if column != name]
    header = read_header([*own, spoken])
    return isinstance(header, Header) and header.sheet == sheet and header.columns.get(len(own)) == name
