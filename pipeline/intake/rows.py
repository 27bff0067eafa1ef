"""Rows as sent, in; the same rows with every cell read, out.

A frame holds the rows of any number of files. For each column of the sheet it has the value as read, in
SI units, and beside it what is needed to ask about it:

    marketable_weight          the value: number, day or text; null where blank, not read or in two ways
    sent_marketable_weight     the cell as sent; null where blank
    how_marketable_weight      numbers and days: plain, blank, read as, two ways (numbers only), unreadable, unit
                               unknown, broken formula, no result (a formula never worked out), two columns
    first_, other_             numbers in two ways: the one value and the second
    unit_                      weights, lengths, hours, amounts: the unit in the cell (`lb oz` for both)
    meant_                     weights and lengths: the unit that the number was read in
    has_unit_                  weights and lengths: whether the row or the header names a unit
    header_unit_               weights and lengths: the unit in the header
    row_unit                   the unit of weight that the row names; null also where nobody knows it
    form_date                  how a day was written: iso, ordered, month name, serial, two digit year, no year
    settled_date               a day that can be read in two ways: what settled it (network, file, season or
                               nothing), with the second day in `other_date`; else null
    file_order, usual_order    where a day can be read in one order only and shows that its file writes days
                               in another order than the network: that order, and the network's
    is_order_mixed             a day that can be read in two ways in a file that shows both orders

These are there only where some row needs them:

    twice_marketable_weight    what a second column for the same thing says instead; then nothing is read
    has_no_result_             the cell holds a formula that was never worked out
    is_too_wide                the line holds cells beyond the header's columns

`table` numbers the tables of the batch; `file`, `tab` and `line` say where the row stands; `other_columns`
keeps what nobody knew, as JSON.
"""

from collections.abc import Callable, Sequence

import polars as pl

from pipeline.intake.days import with_days
from pipeline.intake.dates import Season
from pipeline.intake.marks import Marks, decimal_marks, settled_by_others
from pipeline.intake.measures import read_amount, read_hours, read_length, read_weight
from pipeline.intake.numbers import Mark, Reading, read_number, read_percent
from pipeline.intake.sheets import NUMBER_KINDS, Sheet, SheetColumn
from pipeline.intake.units import CM_PER_UNIT, KG_PER_UNIT, POUNDS_AND_OUNCES, weight_unit

#: A number as most people write it; everything else goes through the full grammar.
_PLAIN_NUMBER = r"^[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)$"
#: Sheets whose days lie in a trial's season, so that a day out of season may be one read the wrong way.
_SEASONAL = frozenset(["planting", "harvest", "condition", "care"])
#: What failed formulas show, in English and Spanish and in older and newer spreadsheets.
COMPLAINTS = (
    *("#DIV/0!", "#REF!", "#VALUE!", "#NAME?", "#N/A", "#NUM!", "#NULL!", "#SPILL!", "#CALC!", "#FIELD!"),
    *("#¡DIV/0!", "#¡REF!", "#¡VALOR!", "#¿NOMBRE?", "#N/D", "#¡NUM!", "#¡NULO!"),
    *("Err:501", "Err:502", "Err:503", "Err:504", "Err:508", "Err:509", "Err:511", "Err:519", "Err:522"),
)
_READERS: dict[str, Callable[[str, Mark | None], Reading]] = {
    "count": read_number,
    "number": read_number,
    "percent": read_percent,
    "hours": read_hours,
    "amount": read_amount,
}


def typed_rows(
    sheet: Sheet, sent: pl.DataFrame, *, order: str, bare_weight: str, seasons: Sequence[Season] = ()
) -> pl.DataFrame:
    """Return the rows of one kind of sheet with every cell read.

    `order` is that of the network's dates, `bare_weight` the unit of a weight without one, `seasons` the
    first and last days of the trials. The order of rows is kept.
    """
    frame = _with_formulas(sheet, _whole(sheet, sent))
    marks = decimal_marks(sheet, frame)
    if sheet.of_kind("unit"):
        frame = _with_row_unit(frame)
    for column in sheet.columns:
        if column.kind == "date":
            frame = with_days(frame, column.name, order, seasons if sheet.name in _SEASONAL else ())
        elif column.kind in ("weight", "length"):
            frame = _with_measure(frame, column, bare_weight, marks)
        elif column.kind in NUMBER_KINDS:
            frame = _with_numbers(frame, column, marks)
    return _with_texts(sheet, frame)


def _whole(sheet: Sheet, sent: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the columns that their files may have lacked."""
    texts = [
        *(f"header_unit_{name}" for name in sheet.of_kind("weight", "length")),
        *("header_order", "other_columns"),
    ]
    missing = [pl.lit(None, pl.String).alias(name) for name in texts if name not in sent.columns]
    if "is_1904" not in sent.columns:
        missing.append(pl.lit(None, pl.Boolean).alias("is_1904"))
    if "is_too_wide" in sent.columns:
        missing.append(pl.col("is_too_wide").fill_null(value=False))
    return sent.with_columns(missing)


def _with_formulas(sheet: Sheet, frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with `how_` where a number or day is a formula, its complaint, or two things at once.

    A note may begin with an equals sign; in any other cell it is a formula that was never worked out.
    """
    names = [column.name for column in sheet.columns if column.kind != "note"]
    begins = {mark: [_begins(name, mark) for name in names] for mark in ("=", "#", "Err:")}
    holds = {mark: frame.select(begin.any() for begin in each).row(0) for mark, each in begins.items()}
    read = sheet.of_kind(*NUMBER_KINDS, "date")
    exprs: list[pl.Expr] = []
    for at, name in enumerate(names):
        if holds["="][at]:
            exprs.append(_begins(name, "=").fill_null(value=False).alias(f"has_no_result_{name}"))
        if name in read:
            hows = {
                "broken formula": pl.col(f"sent_{name}").is_in(COMPLAINTS)
                if holds["#"][at] or holds["Err:"][at]
                else None,
                "no result": _begins(name, "=") if holds["="][at] else None,
                "two columns": pl.col(f"twice_{name}").is_not_null()
                if f"twice_{name}" in frame.columns
                else None,
            }
            said = [pl.when(is_so).then(pl.lit(how)) for how, is_so in hows.items() if is_so is not None]
            exprs.append(pl.coalesce([*said, pl.lit(None, pl.String)]).alias(f"how_{name}"))
    return frame.with_columns(exprs)


def _begins(name: str, mark: str) -> pl.Expr:
    return pl.col(f"sent_{name}").str.starts_with(mark)


def _with_row_unit(frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the unit of weight that each of them names, as people know it."""
    named = frame["sent_unit"].drop_nulls().unique(maintain_order=True).to_list()
    if not named:
        return frame.with_columns(pl.lit(None, pl.String).alias("row_unit"))
    units = [weight_unit(text) for text in named]
    return frame.with_columns(
        pl.col("sent_unit")
        .replace_strict(named, units, default=None, return_dtype=pl.String)
        .alias("row_unit")
    )


def _odd_cells(frame: pl.DataFrame, name: str, marks: Marks) -> pl.Expr:
    """Return which cells are not plain numbers and not settled yet."""
    cell = pl.col(f"sent_{name}")
    plain = cell.str.contains(_PLAIN_NUMBER)
    if (doubtful := marks.doubtful_points(cell)) is not None:
        plain = plain & ~doubtful
    return cell.is_not_null() & pl.col(f"how_{name}").is_null() & ~plain


def _with_readings(
    frame: pl.DataFrame,
    name: str,
    marks: Marks,
    plain_value: pl.Expr,
    read: Callable[[str, str | None, Mark | None], Reading],
    unit: pl.Expr | None = None,
) -> pl.DataFrame:
    """Return the frame with plain cells read at once and the others, each once, by the full grammar."""
    sent = f"sent_{name}"
    odd = frame.select(
        pl.int_range(pl.len(), dtype=pl.UInt32).alias("at"),
        "table",
        pl.col(sent).alias("cell"),
        (pl.lit(None, pl.String) if unit is None else unit).alias("of"),
        _odd_cells(frame, name, marks).alias("is_odd"),
    ).filter("is_odd")
    how = pl.when(pl.col(sent).is_null()).then(pl.lit("blank"))
    if odd.is_empty():
        settled = pl.coalesce(f"how_{name}", how.otherwise(pl.lit("plain")))
        return frame.with_columns(
            pl.when(pl.col(f"how_{name}").is_null()).then(plain_value).alias(name),
            settled.alias(f"how_{name}"),
            *(pl.lit(None, pl.Float64).alias(f"{part}_{name}") for part in ("first", "other")),
            pl.lit(None, pl.String).alias(f"unit_{name}"),
        )
    read_cells = _read_distinct(marks.beside(odd), read).rename(
        {part: f"{part}_{name}" for part in ("odd", "odd_how", "first", "other", "unit")}
    )
    joined = frame.with_row_index("at").join(read_cells, on="at", how="left", maintain_order="left")
    is_plain = pl.col(f"odd_how_{name}").is_null() & pl.col(f"how_{name}").is_null()
    whole = joined.with_columns(
        pl.when(is_plain).then(plain_value).otherwise(pl.col(f"odd_{name}")).alias(name),
        pl.coalesce(f"how_{name}", f"odd_how_{name}", how.otherwise(pl.lit("plain"))).alias(f"how_{name}"),
    )
    return settled_by_others(whole.drop("at", f"odd_{name}", f"odd_how_{name}"), name)


def _read_distinct(
    odd: pl.DataFrame, read: Callable[[str, str | None, Mark | None], Reading]
) -> pl.DataFrame:
    """Return the readings of cells, each distinct cell (with its unit and its file's mark) read once."""
    keys = ["cell", "of", "mark"]
    distinct = odd.select(keys).unique(maintain_order=True)
    found = [read(cell, of, mark) for cell, of, mark in distinct.rows()]
    readings = distinct.with_columns(
        pl.Series("odd", [one.value if one.how != "two ways" else None for one in found], pl.Float64),
        pl.Series("odd_how", [one.how for one in found], pl.String),
        pl.Series("first", [one.value if one.how == "two ways" else None for one in found], pl.Float64),
        pl.Series("other", [one.other for one in found], pl.Float64),
        pl.Series("unit", [one.unit for one in found], pl.String),
    )
    joined = odd.join(readings, on=keys, how="left", nulls_equal=True, maintain_order="left")
    return joined.select("at", "odd", "odd_how", "first", "other", "unit")


def _number_of(name: str) -> pl.Expr:
    """Return plain cells as numbers; one with more digits than a number holds is none."""
    value = pl.col(f"sent_{name}").cast(pl.Float64, strict=False)
    return pl.when(value.is_finite()).then(value)


def _with_numbers(frame: pl.DataFrame, column: SheetColumn, marks: Marks) -> pl.DataFrame:
    reader = _READERS[column.kind]

    def read(cell: str, _unit: str | None, mark: Mark | None) -> Reading:
        return reader(cell, mark)

    return _with_readings(frame, column.name, marks, _number_of(column.name), read)


def _with_measure(frame: pl.DataFrame, column: SheetColumn, bare_weight: str, marks: Marks) -> pl.DataFrame:
    """Return the frame with weights in kilograms or lengths in centimetres.

    The unit nearest the number wins: cell, then row, then header, then the network's.
    """
    name, is_weight = column.name, column.kind == "weight"
    sizes, reader = (KG_PER_UNIT, read_weight) if is_weight else (CM_PER_UNIT, read_length)
    header = pl.col(f"header_unit_{name}")
    named = pl.coalesce("row_unit", header) if is_weight else header
    frame = frame.with_columns(
        named.is_not_null().alias(f"has_unit_{name}"),
        named.fill_null(bare_weight if is_weight else "cm").alias("given"),
    )

    def read(cell: str, unit: str | None, mark: Mark | None) -> Reading:
        return reader(cell, unit, mark)

    factor = _factor(frame["given"].unique().to_list(), sizes)
    whole = _with_readings(frame, name, marks, _number_of(name) * factor, read, pl.col("given"))
    typed = pl.coalesce(f"unit_{name}", "given")
    meant = pl.when(typed == POUNDS_AND_OUNCES).then(pl.lit("lb")).otherwise(typed)
    return whole.with_columns(meant.alias(f"meant_{name}")).drop("given")


def _factor(units: Sequence[str], sizes: dict[str, float]) -> pl.Expr:
    """Return what a number in its unit is in the base unit."""
    by_unit = {unit: sizes["lb" if unit == POUNDS_AND_OUNCES else unit] for unit in units}
    if len(by_unit) == 1:
        return pl.lit(next(iter(by_unit.values())), pl.Float64)
    return pl.col("given").replace_strict(by_unit, return_dtype=pl.Float64)


def _with_texts(sheet: Sheet, frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with the cells that are words, codes and units."""
    values = []
    for column in sheet.columns:
        cell = pl.col(f"sent_{column.name}")
        if column.kind == "unit":
            values.append(pl.coalesce("row_unit", cell).alias("unit"))
        elif column.name == "unit":
            values.append(pl.coalesce(cell, "unit_amount").alias("unit"))
        elif f"says_{column.name}" in frame.columns:
            values.append(pl.coalesce(cell, f"says_{column.name}").alias(column.name))
        elif column.kind not in (*NUMBER_KINDS, "date"):
            values.append(cell.alias(column.name))
    return frame.with_columns(values)
