"""Names of sheets and columns as messages say them."""

import csv
from functools import cache
from importlib.resources import files

from pipeline.words import marked, translate

#: The seven kinds of sheet as they are named in English.
_SHEETS = {
    "planting": marked("planting"),
    "harvest": marked("harvest"),
    "condition": marked("condition"),
    "care": marked("care"),
    "delivery": marked("delivery"),
    "outreach": marked("outreach"),
    "soil": marked("soil"),
}


@cache
def _columns() -> dict[str, dict[str, str]]:
    with (files("pipeline.checks") / "column_names.csv").open(encoding="utf-8") as lines:
        return {row["column"]: row for row in csv.DictReader(lines)}


def column_name(column: str, language: str = "en") -> str:
    """Return a column as a message names it: in English as on the blank sheet, with spaces."""
    if column not in _columns():
        return column.replace("_", " ")
    english = _columns()[column]["en"]
    return translate(language).pgettext("column", english)


def sheet_name(sheet: str, language: str = "en") -> str:
    """Return a kind of sheet as a message names it."""
    return translate(language).gettext(_SHEETS[sheet]) if sheet in _SHEETS else sheet
