"""Rows as sent, in; the same rows with every cell read, out.

A frame holds the rows of any number of files. For each column of the sheet it has the value as read, in
SI units, and beside it what is needed to ask about it:

    marketable_weight          the value: number, day or text; null where blank, not read or in two ways
    sent_marketable_weight     the cell as sent; null where blank
    how_marketable_weight      numbers and days: plain, blank, read as, two ways (numbers only), unreadable,
                               unit unknown, broken formula, no result (a formula never worked out), two
                               columns
    first_, other_             numbers in two ways: the one value and the second
    unit_                      weights, lengths, hours, amounts: the unit in the cell (`lb oz` for both)
    meant_                     weights and lengths: the unit that the number was read in
    has_unit_                  weights and lengths: whether the row or the header names a unit
    header_unit_               weights and lengths: the unit in the header
    row_unit                   the unit of weight that the row names; null also where nobody knows it
    form_date                  how a day was written: iso, ordered, month name, serial, two digit year, no
                               year
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

from collections.abc import Collection, Mapping, Sequence
from functools import cache

import numpy as np
import polars as pl

from pipeline.intake.column_reading import KnownColumn, read_columns
from pipeline.intake.dates import Season
from pipeline.intake.days import day_readings
from pipeline.intake.marks import decimal_marks, settled_by_others
from pipeline.intake.odd_cells import number_readings
from pipeline.intake.sent import NO_TEXT
from pipeline.intake.sheets import NUMBER_KINDS, Sheet, SheetColumn, sheets
from pipeline.intake.units import weight_unit

#: A number and a day as most people write them; everything else goes through the full grammar.
_PLAIN_NUMBER = r"^[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)$"
_PLAIN_DAY = r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
#: Sheets whose days lie in a trial's season, so that a day out of season may be one read the wrong way.
_SEASONAL = frozenset(["planting", "harvest", "condition", "care"])
_MEASURES = ("weight", "length")


def typed_rows(
    sheet: Sheet, sent: pl.DataFrame, *, order: str, bare_weight: str, seasons: Sequence[Season] = ()
) -> pl.DataFrame:
    """Return the rows of one kind of sheet with every cell read.

    `order` is that of the network's dates, `bare_weight` the unit of a weight without one, `seasons` the
    first and last days of the trials. The order of rows is kept.
    """
    frame = _with_plain_values(sheet, _whole(sheet, sent, bare_weight))
    odd = {column.name: cells for column in sheet.columns if (cells := _odd_cells(frame, column)) is not None}
    days = odd.pop("date", None)
    marks = decimal_marks(sheet, frame, odd)
    for column in marks.columns:
        odd[column] = marks.with_doubtful_points(frame, column, odd.get(column))
    readings = {name: number_readings(_kind(sheet, name), marks.beside(cells)) for name, cells in odd.items()}
    if days is not None:
        days = day_readings(days, order, seasons if sheet.name in _SEASONAL else ())
    read = _with_readings(sheet, frame, readings, days, order)
    for name, found in readings.items():
        if (found["how"] == "two ways").any():
            read = settled_by_others(read, name)
    return read


def _kind(sheet: Sheet, name: str) -> str:
    return next(column.kind for column in sheet.columns if column.name == name)


def _whole(sheet: Sheet, sent: pl.DataFrame, bare_weight: str) -> pl.DataFrame:
    """Return the rows with what their files may have lacked, and the unit of each measure's number."""
    texts = [*(f"header_unit_{name}" for name in sheet.of_kind(*_MEASURES)), "header_order", "other_columns"]
    exprs = [NO_TEXT.alias(name) for name in texts if name not in sent.columns]
    if "is_1904" not in sent.columns:
        exprs.append(pl.lit(None, pl.Boolean).alias("is_1904"))
    if "is_too_wide" in sent.columns:
        exprs.append(pl.col("is_too_wide").fill_null(value=False))
    if sheet.of_kind("unit"):
        exprs.append(_row_unit(sent).alias("row_unit"))
    whole = sent.with_columns(pl.int_range(pl.len(), dtype=pl.UInt32).alias("at"), *exprs)
    given = []
    for column in sheet.columns:
        if column.kind in _MEASURES:
            places = ["row_unit"] if column.kind == "weight" else []
            named = [name for name in (*places, f"header_unit_{column.name}") if _holds_some(whole, name)]
            unit = pl.coalesce(named) if named else NO_TEXT
            bare = bare_weight if column.kind == "weight" else "cm"
            given += [
                (unit.is_not_null() if named else pl.lit(value=False)).alias(f"has_unit_{column.name}"),
                (unit.fill_null(bare) if named else pl.lit(bare)).alias(f"given_{column.name}"),
            ]
    return whole.with_columns(given) if given else whole


def _holds_some(frame: pl.DataFrame, name: str) -> bool:
    return frame[name].null_count() < frame.height


def _row_unit(sent: pl.DataFrame) -> pl.Expr:
    """Return the unit of weight that each row names, null where it names none or one that nobody knows."""
    named = sent["sent_unit"].unique().sort().to_list()
    units = {text: unit for text in named if text is not None and (unit := weight_unit(text)) is not None}
    if not units or len(named) == 1:
        return pl.lit(next(iter(units.values()), None), pl.String)
    return pl.col("sent_unit").replace_strict(units, default=None, return_dtype=pl.String)


def _with_plain_values(sheet: Sheet, frame: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with numbers and days that are written plainly; null everywhere else."""
    # Distinct cells are few, so a column that holds nothing else is soon known and need not be read by row.
    is_plain = frame.select(_are_plain(sheet.name)).row(0, named=True)
    names = frozenset(frame.columns)
    plain = [
        _plain_value(name, form, is_plain=is_plain[name], is_twice=f"twice_{name}" in names)
        for name, form in _plain_forms(sheet.name).items()
    ]
    return frame.with_columns(_read_plainly(sheet.name)).with_columns(plain)


@cache
def _plain_forms(sheet: str) -> Mapping[str, str]:
    """Return how most people write each day and each number of a sheet."""
    days = {column.name: _PLAIN_DAY for column in sheets()[sheet].columns if column.kind == "date"}
    return days | dict.fromkeys(sheets()[sheet].of_kind(*NUMBER_KINDS), _PLAIN_NUMBER)


@cache
def _are_plain(sheet: str) -> list[pl.Expr]:
    return [
        pl.col(f"sent_{name}").drop_nulls().unique().str.contains(form).all().alias(name)
        for name, form in _plain_forms(sheet).items()
    ]


@cache
def _read_plainly(sheet: str) -> list[pl.Expr]:
    return [
        (
            pl.col(f"sent_{name}").str.to_date("%Y-%m-%d", strict=False)
            if form == _PLAIN_DAY
            else pl.col(f"sent_{name}").cast(pl.Float64, strict=False)
        ).alias(name)
        for name, form in _plain_forms(sheet).items()
    ]


@cache
def _plain_value(name: str, form: str, *, is_plain: bool, is_twice: bool) -> pl.Expr:
    """Return what was read of a cell where it is written plainly."""
    conditions = [] if is_plain else [pl.col(f"sent_{name}").str.contains(form)]
    conditions += [] if form == _PLAIN_DAY else [pl.col(name).is_finite()]
    conditions += [pl.col(f"twice_{name}").is_null()] if is_twice else []
    return pl.when(*conditions).then(name).alias(name) if conditions else pl.col(name)


def _odd_cells(frame: pl.DataFrame, column: SheetColumn) -> pl.DataFrame | None:
    """Return the cells that are not written plainly, with their place; None without any."""
    if column.kind != "date" and column.kind not in NUMBER_KINDS:
        return None
    sent = f"sent_{column.name}"
    if frame[column.name].null_count() == frame[sent].null_count():
        return None
    is_odd = pl.col(sent).is_not_null() & pl.col(column.name).is_null()
    if f"twice_{column.name}" in frame.columns:
        is_odd &= pl.col(f"twice_{column.name}").is_null()
    of = pl.col(f"given_{column.name}") if column.kind in _MEASURES else NO_TEXT
    facts = ["is_1904", "header_order"] if column.kind == "date" else []
    return frame.filter(is_odd).select("at", "table", pl.col(sent).alias("cell"), of.alias("of"), *facts)


def _with_readings(
    sheet: Sheet,
    frame: pl.DataFrame,
    readings: dict[str, pl.DataFrame],
    days: pl.DataFrame | None,
    order: str,
) -> pl.DataFrame:
    """Return the rows with the readings of odd cells put beside those of plain ones, in one pass."""
    beside = frame
    odd = readings if days is None else {**readings, "date": days}
    for name, found in odd.items():
        beside = beside.hstack(_in_place(found, name, frame.height))
    names = frozenset(frame.columns)
    known = tuple(_known(frame, column, odd, names) for column in sheet.columns)
    passing = [f"given_{name}" for name in sheet.of_kind(*_MEASURES)]
    whole = beside.with_columns(read_columns(known, order)).select(pl.exclude(r"^odd_.*$", "at", *passing))
    flags = [name for name in whole.columns if name.startswith("has_no_result_") and not whole[name].any()]
    return whole.drop(flags) if flags else whole


def _known(
    frame: pl.DataFrame, column: SheetColumn, readings: Mapping[str, pl.DataFrame], names: Collection[str]
) -> KnownColumn:
    """Return what is known of a column before it is read; `names` are the columns of the frame."""
    blank = frame[f"sent_{column.name}"].null_count()
    return KnownColumn(
        column,
        blanks="none" if blank == 0 else "all" if blank == frame.height else "some",
        has_gaps=column.kind == "date" and frame[column.name].null_count() > 0,
        units=tuple(sorted(frame[f"given_{column.name}"].unique())) if column.kind in _MEASURES else (),
        is_odd=column.name in readings,
        is_twice=f"twice_{column.name}" in names,
        is_said=f"says_{column.name}" in names,
        has_amounts="amount" in readings,
    )


def _in_place(found: pl.DataFrame, name: str, height: int) -> pl.DataFrame:
    """Return the readings of odd cells as columns of all rows, null where a cell is not odd."""
    parts = found.select(pl.exclude("at").name.map(lambda part: f"odd_{part}_{name}"))
    nothing = pl.DataFrame([[None] * parts.width], schema=parts.schema, orient="row")
    # The places of all other rows point to a last row of nulls.
    place = np.full(height, found.height, dtype=np.uint32)
    place[found["at"].to_numpy()] = np.arange(found.height, dtype=np.uint32)
    return pl.concat([parts, nothing])[place]
