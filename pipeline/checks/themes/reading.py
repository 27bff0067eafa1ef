"""Cells that could not be read, that could be read in two ways, or that were read in a way to be told."""

import polars as pl

from pipeline.checks.check import Check, Say, always, column, tried, word
from pipeline.checks.themes.looks_at import (
    LOST,
    ODD_CELL,
    PLOT_SHEETS,
    columns_but,
    columns_of,
    only,
    whole_rows,
)
from pipeline.intake.sheets import NUMBER_KINDS, sheets

#: What a spreadsheet shows in a cell whose formula it cannot work out.
FORMULA_COMPLAINTS = ("#DIV/0!", "#REF!", "#VALUE!", "#NAME?", "#NAME", "#N/A", "#NUM!", "#NULL!", "#SPILL!")

#: What is left in a text whose letters were decoded in another way than they were written: the replacement
#: character, or the two letters that UTF-8 makes of an accented one when it is read as Latin-1.
_GARBLED = "\ufffd|Ã[\u0080-\u00bf]"

#: An e-mail address, ten digits of a telephone number, the number and name of a street.
_PRIVATE = (
    r"[\w.+-]+@[\w-]+\.\w+|\+?1?[\s.(-]*\d{3}[\s.)-]*\d{3}[\s.-]*\d{4}\b"
    r"|(?i)\b\d{1,5}\s+(?:[nsew]\.?\s+)?\w+\s+(?:st|street|ave|avenue|rd|road|ln|lane|dr|drive|ct|court|blvd|calle|avenida)\b"
)
#: Two capitalised words in a row: on the sheet of a school it may be a child's name.
_NAME = r"\b\p{Lu}\p{Ll}+\s+\p{Lu}\p{Ll}+\b"

#: Rows with a percentage of a file that must all be 1 or less before we ask whether they are parts of one.
#: Common practice, no source.
ENOUGH_SHARES = 3

_REQUIRED = {
    name: tuple(each for each in sheet.required if each != "marketable_weight")
    for name, sheet in sheets().items()
}
_TEXTS, _NAMES = columns_of("text", "note"), columns_of("site", "plot")


def _is_complaint(name: str) -> pl.Expr:
    return pl.col(f"sent_{name}").str.to_uppercase().is_in(FORMULA_COMPLAINTS).fill_null(value=False)


def _is_unreadable(name: str) -> pl.Expr:
    return pl.col(f"how_{name}") == "unreadable"


def _are_shares(name: str) -> pl.Expr:
    """Return whether a file's non-zero percentages are all 1 or less and not all whole."""
    used = pl.when(pl.col(name) > 0).then(pl.col(name))
    by_file = ("file", "tab")
    return (
        (used.max().over(by_file) <= 1)
        & (used.count().over(by_file) >= ENOUGH_SHARES)
        & (used < 1).any().over(by_file)
        & (used < 1)
    )


CHECKS = (
    Check(
        "row-too-wide",
        "held",
        whole_rows(),
        lambda _: pl.col("is_too_wide"),
        needs=("is_too_wide",),
    ),
    Check(
        "column-twice",
        "held",
        columns_but(),
        lambda name: pl.col(f"twice_{name}").is_not_null(),
        {"other": Say(tried("twice_"))},
        needs=("twice_{}",),
    ),
    Check(
        "formula-no-result",
        "held",
        columns_but("note"),
        lambda name: pl.col(f"has_no_result_{name}"),
        needs=("has_no_result_{}",),
    ),
    Check(
        "formula-broken",
        "held",
        columns_of(*NUMBER_KINDS, "date"),
        _is_complaint,
        among=ODD_CELL,
    ),
    Check("formula-broken", "held", columns_of("site", "plot"), _is_complaint, among=LOST),
    Check("needed-cell-blank", "held", _REQUIRED, lambda name: pl.col(f"sent_{name}").is_null()),
    Check(
        "number-unreadable",
        "held",
        columns_of(*NUMBER_KINDS),
        lambda name: _is_unreadable(name) & ~_is_complaint(name),
        among=ODD_CELL,
    ),
    Check(
        "number-two-ways",
        "held",
        columns_of(*NUMBER_KINDS),
        lambda name: pl.col(f"how_{name}") == "two ways",
        {"read": Say(tried("first_"), "cell"), "other": Say(tried("other_"), "cell")},
        among=ODD_CELL,
    ),
    Check(
        "number-read-as",
        "note",
        columns_of(*NUMBER_KINDS),
        lambda name: pl.col(f"how_{name}") == "read as",
        among=ODD_CELL,
    ),
    Check(
        "percent-as-share",
        "question",
        columns_of("percent"),
        _are_shares,
        {"suggest": Say(lambda name: pl.col(name) * 100, "number")},
        once_per=("file", "tab"),
        needs=("{}",),
    ),
    *(
        Check(
            "letters-garbled",
            "note",
            columns,
            lambda name: pl.col(f"sent_{name}").str.contains(_GARBLED),
            once_per=("file", "tab"),
            needs=("sent_{}",),
            among=among,
        )
        for columns, among in ((_TEXTS, ""), (_NAMES, LOST))
    ),
    Check(
        "note-kept-private",
        "note",
        columns_of("note"),
        lambda name: pl.col(f"sent_{name}").str.contains(_PRIVATE),
        needs=("sent_{}",),
    ),
    Check(
        "note-kept-private",
        "note",
        {"outreach": ("note",)},
        lambda name: (
            pl.col("is_school")
            & pl.col(f"sent_{name}").str.contains(_NAME)
            & ~pl.col(f"sent_{name}").str.contains(_PRIVATE)
        ),
        needs=("sent_{}",),
    ),
)

#: Words for the order of a date, most significant for the reader first.
_FIRST = {"mdy": ("month", "mes"), "dmy": ("day", "día"), "ymd": ("year", "año")}


def _first_part(order: str) -> pl.Expr:
    """Return the part that comes first in an order of dates, in both languages."""
    return pl.coalesce(
        pl.when(pl.col(order) == name).then(word(english, spanish))
        for name, (english, spanish) in _FIRST.items()
    )


_DATE = columns_of("date")
_DAYS = {"date": Say(column("date"), "date"), "other": Say(tried("other_"), "date")}

DATES = (
    Check(
        "date-unreadable",
        "held",
        _DATE,
        lambda name: _is_unreadable(name) & ~_is_complaint(name),
        {"suggest": Say(column("today"), "date")},
        among=ODD_CELL,
    ),
    Check(
        "dates-other-order",
        "question",
        _DATE,
        lambda _: pl.col("file_order") != pl.col("usual_order"),
        {
            "order": Say(always(_first_part("file_order")), "word"),
            "usual": Say(always(_first_part("usual_order")), "word"),
        },
        once_per=("file", "tab"),
        needs=("file_order", "usual_order"),
    ),
    Check(
        "date-two-ways",
        "question",
        _DATE,
        lambda name: pl.col("is_order_mixed") & pl.col(f"other_{name}").is_not_null(),
        _DAYS,
        once_per=("file", "tab"),
        needs=("is_order_mixed", "other_{}"),
    ),
    Check(
        "date-other-way",
        "note",
        only("date", *PLOT_SHEETS),
        lambda name: pl.col(f"settled_{name}") == "season",
        _DAYS | {"start": Say(column("start"), "date"), "end": Say(column("close"), "date")},
        needs=("settled_{}",),
    ),
    Check(
        "date-two-digit-year",
        "note",
        _DATE,
        lambda name: (
            (pl.col(f"form_{name}") == "two digit year") & pl.col(f"sent_{name}").str.contains(r"\d\D+\d{2}$")
        ),
        {"date": Say(column("date"), "date")},
        once_per=("file", "tab"),
        among=ODD_CELL,
    ),
    Check(
        "date-from-number",
        "note",
        _DATE,
        lambda name: pl.col(f"form_{name}") == "serial",
        {"date": Say(column("date"), "date")},
        once_per=("file", "tab"),
        among=ODD_CELL,
    ),
)
