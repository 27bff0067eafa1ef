"""What a check says that it needs: without it the condition is true of no row, whatever else stands there."""

from datetime import date, timedelta

import numpy as np
import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.check import Check
from pipeline.checks.judge import judge
from pipeline.checks.run import find
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings

ROWS = 400
HARVEST = "site,plot,date,good fruits,weight (lb)\nG01,1,2024-07-01,4,3.2\nG01,2,2024-08-07,5,4.0\n"
WORDS = [
    *(
        "",
        "lb",
        "lb oz",
        "blank",
        "plain",
        "read as",
        "two ways",
        "unknown",
        "season",
        "mdy",
        "Ã©",
        "ann@x.org",
    ),
    *(name for name in {check.name for check in CATALOGUE}),
]
NEEDY = [
    pytest.param(check, sheet, name, id=f"{check.name} {sheet} {name}")
    for check in CATALOGUE
    for sheet, names in check.columns.items()
    for name in names
    if check.needs
]


def drawn(kind, rng):
    """Draw values of a kind, some of them missing."""
    numbers = rng.choice([-1.0, 0.0, 0.4, 1.0, 3.5, 30.0, 4000.0], ROWS)
    days = [date(2024, 5, 1) + timedelta(days=int(day)) for day in rng.integers(0, 300, ROWS)]
    values = {pl.String: rng.choice(WORDS, ROWS), pl.Boolean: rng.random(ROWS) < 0.5, pl.Date: days}
    if isinstance(kind, pl.List):
        return pl.Series([["G01"], ["G02", "G03"]] * (ROWS // 2), dtype=kind)
    series = pl.Series(values.get(kind, numbers)).cast(kind, strict=False)
    return pl.Series([None if rng.random() < 0.3 else value for value in series], dtype=kind)


def kind_of(column, sheet):
    """Return the kind of a column that a condition asks for."""
    kinds = {each.name: each.kind for each in sheets()[sheet].columns}
    if kinds.get(column) == "date" or column.endswith("_on") or column in DAYS:
        return pl.Date
    if column == "sender_gardens":
        return pl.List(pl.String)
    if column.startswith(("is_", "has_", "switched_")) or column in (
        "plot_known",
        "replanted",
        "replaced",
        "tender",
    ):
        return pl.Boolean
    texts = ("sent_", "how_", "unit_", "meant_", "doubt_", "settled_", "form_", "twice_", "header_unit_")
    is_text = (
        column.startswith(texts) or column in TEXTS or kinds.get(column) in ("text", "note", "site", "plot")
    )
    return pl.String if is_text else pl.Float64


DAYS = (
    "start",
    "close",
    "today",
    "first_picked",
    "kept_first_picked",
    "in_own_year",
    "other_date",
    "late_freeze",
)
TEXTS = ("site", "plot", "row_unit", "file_order", "usual_order", "stage_read", "file", "tab")


@pytest.mark.parametrize(("check", "sheet", "name"), NEEDY)
def test_without_what_it_needs_a_condition_is_never_true(check, sheet, name):
    rng = np.random.default_rng(1)
    condition = check.conditions[sheet, name]
    needed = [need.format(name) for need in check.needs]
    columns = sorted({*condition.meta.root_names(), *needed})
    rows = pl.DataFrame({column: drawn(kind_of(column, sheet), rng) for column in columns})
    for need in needed:
        blank = pl.lit(value=False) if rows[need].dtype == pl.Boolean else pl.lit(None, rows[need].dtype)
        assert not rows.with_columns(blank.alias(need)).select(condition).to_series().any()


def test_a_check_is_silent_where_no_row_has_what_it_needs(context):
    rows = judge([SentFile("a.csv", HARVEST.encode())], context, Settings(), CATALOGUE).rows["harvest"]
    always = {"columns": {"harvest": ("marketable_weight",)}, "condition": lambda _: pl.lit(value=True)}
    needy = Check("weight-blank", "question", **always, needs=("note",))
    content = Check("weight-blank", "question", **always, needs=("marketable_weight",))
    found = [find("harvest", rows, rows, [check], context).height for check in (needy, content)]
    assert found == [0, 2]
