"""Names of sheets and columns as messages say them."""

import csv
from functools import cache
from importlib.resources import files

#: The seven sheets in Spanish; in English a sheet goes by its own name.
_SHEETS = {
    "planting": "plantación",
    "harvest": "cosecha",
    "condition": "estado",
    "care": "cuidados",
    "delivery": "entrega",
    "outreach": "actividades",
    "soil": "suelo",
}


@cache
def _columns() -> dict[str, dict[str, str]]:
    with (files("pipeline.checks") / "column_names.csv").open(encoding="utf-8") as lines:
        return {row["column"]: row for row in csv.DictReader(lines)}


def column_name(column: str, language: str = "en") -> str:
    """Return a column as a message names it: in English as on the blank sheet, with spaces."""
    known = _columns().get(column)
    return column.replace("_", " ") if known is None else known[language]


def sheet_name(sheet: str, language: str = "en") -> str:
    """Return a kind of sheet as a message names it."""
    return _SHEETS.get(sheet, sheet) if language == "es" else sheet
