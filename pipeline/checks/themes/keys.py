"""Rows that say the same thing twice, or two things about one picking."""

import polars as pl

from pipeline.checks.check import Check, Say, column
from pipeline.checks.lookup import looked_up_by_number, with_blanks
from pipeline.checks.pool import is_of_plots
from pipeline.checks.themes.looks_at import only
from pipeline.intake.sheets import sheets

#: Values of a picking: where they are equal, a row is a copy, whoever wrote it and whatever is noted.
PICKED = ("marketable_count", "marketable_weight", "cull_count", "cull_weight", "stage")

_NOT_VALUES = ("recorded_by", "note", "scale")


def with_repeats(sheet: str, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with what else their file says under the same key; null where it says nothing else.

    `first_line` is the line of the first row with the key, `same_line` that of the first one with the same
    values too, `kinds` how many different rows there are.
    """
    key = ["file", "tab", *_key(sheet)]
    is_placed = pl.all_horizontal(pl.col(_key(sheet)[0], "date").is_not_null())
    whole = rows.select("row", *key).filter(is_placed)
    # Equal keys have equal hashes, which are cheap to compare; only rows that share one are looked at.
    shared = whole.select("row", pl.struct(key).hash().is_duplicated().alias("shared")).filter("shared")
    if shared.is_empty():
        return without_repeats(rows)
    values = list(PICKED if sheet == "harvest" else _values(sheet))
    told = rows.select(list(dict.fromkeys(["row", "line", *key, *values])))
    suspects = told.filter(pl.col("row").is_in(shared["row"].implode())).sort("file", "tab", "line")
    repeats = suspects.select(
        "row",
        pl.col("line").first().over(key).alias("first_line"),
        pl.col("line").first().over([*key, *values]).alias("same_line"),
        pl.struct(key).is_duplicated().alias("is_in_key"),
        pl.struct(values).n_unique().over(key).alias("kinds"),
    ).filter("is_in_key")
    return looked_up_by_number(rows, repeats.drop("is_in_key"), "row")


def without_repeats(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows of a batch in which no key comes more than once, as `with_repeats` would."""
    return with_blanks(rows, dict.fromkeys(["first_line", "same_line", "kinds"], pl.UInt32))


def _key(sheet: str) -> list[str]:
    """Return the columns of a key, the first of which names the plot or the garden.

    A number stands for garden and plot: it is quicker to compare than two names.
    """
    if not is_of_plots(sheets()[sheet]):
        return list(sheets()[sheet].key)
    return ["plot_at", *(name for name in sheets()[sheet].key if name not in ("site", "plot"))]


def _values(sheet: str) -> list[str]:
    """Return the columns of a sheet that say something beyond the key."""
    return [name for name in sheets()[sheet].column_names if name not in _NOT_VALUES]


def _with_the_other(found: pl.DataFrame, _: pl.DataFrame) -> pl.DataFrame:
    """Return rows of one picking with the other one: the last, for the last the first."""
    key = ["file", "tab", *sheets()["harvest"].key]

    def other(name: str) -> pl.Expr:
        is_last = pl.col("line") == pl.col("line").last().over(key)
        return pl.when(is_last).then(pl.col(name).first().over(key)).otherwise(pl.col(name).last().over(key))

    return found.with_columns(other("line").alias("other"), other("marketable_weight").alias("read_b"))


CHECKS = (
    Check(
        "picking-twice-in-file",
        "held",
        only("plot", "harvest"),
        lambda _: pl.col("kinds") > 1,
        {
            "date": Say(column("date"), "date"),
            "read": Say(column("marketable_weight"), "weight"),
            "read_b": Say(column("read_b"), "weight"),
            "other": Say(column("other")),
        },
        more=_with_the_other,
        needs=("kinds",),
    ),
    Check(
        "row-repeated",
        "note",
        {name: ("plot",) if "plot" in sheet.required else ("site",) for name, sheet in sheets().items()},
        lambda _: pl.col("line") > pl.col("same_line"),
        {"other": Say(column("same_line"))},
        needs=("same_line",),
    ),
)
