"""Rows below a header that are no rows: blank, printed but not filled in, the header again, totals.

Each is counted with its line, so that lines read are always rows, or skipped and why.
"""

import re

import polars as pl

from pipeline.intake.header import Header
from pipeline.intake.numbers import BLANKS
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: Columns that a printed sheet may hold before anybody writes on it. A planting sheet comes with its tags
#: printed and its days open; all others may come with the day of the visit. A unit alone says nothing.
_PRINTED = {"planting": ("site", "plot", "treatment"), "delivery": ("site", "date", "treatment")}
_PRINTED_ELSEWHERE = ("site", "plot", "date", "unit")

#: Share of the header's names that a row repeats to be the header again. Common practice, no source.
_SAME_NAMES = 0.8
#: Share by which a row of sums may differ from the sums above it, for rounding. Common practice, no source.
_SAME_SUM = 0.005
#: How a row of totals calls itself, in English and Spanish.
_TOTALS = (
    r"(?i)^(?:(?:grand|gran|season|running)\s+)?"
    r"(?:totale?s?|sub-?\s?total(?:es)?|sums?|averages?|avg|suma|promedio)\b"
)

#: Cells that are empty or say that nothing was recorded, in the usual mixes of capitals.
BLANK_CELLS = (
    *sorted({way for word in BLANKS for way in (word, word.upper(), word.capitalize(), word.title())}),
    *("NaN", "N/a"),
)

#: Columns of a frame of skipped rows; `why` is blank, printed, header or totals, `sent` the cell behind it.
SKIPPED: dict[str, type[pl.DataType]] = {
    "table": pl.UInt32,
    "file": pl.UInt32,
    "tab": pl.String,
    "line": pl.UInt32,
    "why": pl.String,
    "sent": pl.String,
}
_NOTHING_SKIPPED = pl.DataFrame(schema=SKIPPED)
_DIGIT = re.compile("[0-9]")
_NAMED: dict[str, type[pl.DataType]] = {"at": pl.UInt32, "why_named": pl.String, "sent": pl.String}


def split_rows(header: Header, cells: pl.DataFrame) -> tuple[pl.DataFrame, pl.DataFrame]:
    """Return the rows below a header, and apart from them what only looks like rows (columns of `SKIPPED`).

    `cells` has `table`, `file`, `tab`, `line` and the cells `c0`, `c1`, ... without outer spaces, null where
    empty or blank.
    """
    filled, entered = _filled(header, has_beyond="beyond" in cells.columns)
    doubtful = _holds_no_code(header, cells)
    seen = cells.select(entered.alias("entered"), doubtful.alias("doubtful"))
    if seen["entered"].all() and not seen["doubtful"].any():
        return cells, _NOTHING_SKIPPED
    indexed = cells.with_row_index("at")
    named = _named_rows(header, indexed, indexed.filter(seen["doubtful"]))
    why = pl.when(~filled).then(pl.lit("blank")).when(~entered).then(pl.lit("printed"))
    judged = indexed.join(named, on="at", how="left", maintain_order="left").with_columns(
        pl.coalesce("why_named", why).alias("why")
    )
    return (
        judged.filter(pl.col("why").is_null()).select(cells.columns),
        judged.filter(pl.col("why").is_not_null()).select(list(SKIPPED)),
    )


def _filled(header: Header, *, has_beyond: bool) -> tuple[pl.Expr, pl.Expr]:
    """Return whether a row holds anything, and whether somebody entered something in it."""
    printed = _PRINTED.get(header.sheet, _PRINTED_ELSEWHERE)
    entered = [pl.col("beyond").is_not_null()] if has_beyond else []
    others: list[pl.Expr] = []
    for at in range(len(header.cells)):
        cell = pl.col(f"c{at}")
        holds = cell.is_not_null() if at in header.columns else ~cell.is_in(BLANK_CELLS).fill_null(value=True)
        is_printed = header.columns.get(at) in printed or at in header.numbering
        (others if is_printed else entered).append(holds)
    nothing = pl.lit(value=False)
    is_entered = pl.any_horizontal([*entered, nothing])
    return pl.any_horizontal([is_entered, *others]), is_entered


def _holds_no_code(header: Header, cells: pl.DataFrame) -> pl.Expr:
    """Return whether a row lacks its plot or its day: the cell is blank, or holds words only.

    Only such a row can repeat the header or hold totals, and of these there are few. Distinct cells are few
    too, so words are looked for among them and not row by row.
    """
    lacks = [pl.lit(value=False)]
    for key in _keys(header, "plot", "date", is_required=True):
        distinct = cells[key].unique().to_list()
        words = [cell for cell in distinct if cell is not None and not _DIGIT.search(cell)]
        if words:
            lacks.append(pl.col(key).is_in(words).fill_null(value=False))
        if cells[key].null_count():
            lacks.append(pl.col(key).is_null())
    return pl.any_horizontal(lacks)


def _keys(header: Header, *names: str, is_required: bool = False) -> list[str]:
    """Return the cells that hold the named columns, where the header has them."""
    required = sheets()[header.sheet].required
    cells = {name: f"c{at}" for at, name in header.columns.items() if not is_required or name in required}
    return [cells[name] for name in names if name in cells]


def _named_rows(header: Header, indexed: pl.DataFrame, doubtful: pl.DataFrame) -> pl.DataFrame:
    """Return the place of rows that repeat the header or hold totals, why, and the cell that says so."""
    if doubtful.is_empty():
        return pl.DataFrame(schema=_NAMED)
    found = doubtful.with_columns(_repeats(header).alias("repeats"), _label(header).alias("label"))
    named = found.filter(pl.col("repeats") | pl.col("label").is_not_null()).select(
        "at",
        pl.when("repeats").then(pl.lit("header")).otherwise(pl.lit("totals")).alias("why_named"),
        pl.when(~pl.col("repeats")).then("label").alias("sent"),
    )
    others = doubtful.join(named, on="at", how="anti", maintain_order="left")
    return pl.concat([named, _sums(header, indexed, others, named)])


def _repeats(header: Header) -> pl.Expr:
    """Return whether a row repeats most of the header's names in the same columns."""
    names = pl.DataFrame({"name": header.cells}, schema={"name": pl.String}).select(_as_name(pl.col("name")))
    same = [
        (_as_name(pl.col(f"c{at}")) == name).fill_null(value=False)
        for at, name in enumerate(names["name"])
        if name
    ]
    return pl.sum_horizontal(same) >= _SAME_NAMES * len(same)


def _as_name(text: pl.Expr) -> pl.Expr:
    return text.str.to_lowercase().str.replace_all(r"[^\p{L}\p{N}]+", "")


def _label(header: Header) -> pl.Expr:
    """Return the cell by which a row calls itself totals, null for any other row.

    The row lacks its plot or its day. The cell stands in the first column or where the garden, the plot or
    the day should; elsewhere it counts only in a row that names none of them, for a note may well begin
    with `total`.
    """
    named = _keys(header, "site", "plot", "date")
    near = list(dict.fromkeys(["c0", *named]))
    far = [f"c{at}" for at in range(len(header.cells)) if f"c{at}" not in near]
    said = {cell: pl.when(pl.col(cell).str.contains(_TOTALS)).then(pl.col(cell)) for cell in [*near, *far]}
    keys = _keys(header, "plot", "date", is_required=True)
    lacks_key = pl.any_horizontal([pl.col(key).is_null() | said[key].is_not_null() for key in keys])
    anywhere = pl.coalesce([*(said[cell] for cell in far), pl.lit(None, pl.String)])
    is_nameless = pl.all_horizontal([pl.col(cell).is_null() for cell in named])
    found = pl.coalesce([*(said[cell] for cell in near), pl.when(is_nameless).then(anywhere)])
    return pl.when(lacks_key).then(found)


def _sums(header: Header, indexed: pl.DataFrame, doubtful: pl.DataFrame, named: pl.DataFrame) -> pl.DataFrame:
    """Return the rows without garden, plot and day whose numbers are the sums of those above."""
    kinds = {column.name: column.kind for column in sheets()[header.sheet].columns}
    cells = [f"c{at}" for at, name in header.columns.items() if kinds[name] in NUMBER_KINDS]
    is_nameless = pl.all_horizontal([pl.col(key).is_null() for key in _keys(header, "site", "plot", "date")])
    nameless = doubtful.filter(is_nameless)
    if nameless.is_empty() or not cells:
        return pl.DataFrame(schema=_NAMED)
    around = indexed.join(nameless, on="table", how="semi", maintain_order="left")
    around = around.join(named, on="at", how="anti", maintain_order="left")
    number = {cell: pl.col(cell).cast(pl.Float64, strict=False) for cell in cells}
    above = {
        cell: (value.fill_null(0).cum_sum() - value.fill_null(0)).over("table")
        for cell, value in number.items()
    }
    fits = [
        pl.col(cell).is_null()
        | ((number[cell] - above[cell]).abs() <= _SAME_SUM * above[cell].abs()).fill_null(value=False)
        for cell in cells
    ]
    holds_some = pl.any_horizontal([(number[cell] != 0).fill_null(value=False) for cell in cells])
    checked = around.with_columns((pl.all_horizontal(fits) & holds_some).alias("is_sum"))
    sums = checked.filter("is_sum").join(nameless, on="at", how="semi", maintain_order="left")
    return sums.select("at", pl.lit("totals").alias("why_named"), pl.coalesce(cells).alias("sent"))
