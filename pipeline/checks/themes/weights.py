"""Weights of pickings against their counts, the crop and the garden's own rows."""

import polars as pl

from pipeline.checks.check import Check, Condition, Say, always, column, tried, word
from pipeline.checks.doubtful import LEAST_FACTOR
from pipeline.checks.picking_days import FEW_CULLS
from pipeline.checks.themes.looks_at import only
from pipeline.checks.usual import COUNT_OF, DAYS_AROUND, each_kg

#: Spreads from what day and treatment make likely, and the rows a garden needs for that. Common practice, no
#: source.
FAR_SPREADS, ENOUGH_FOR_FAR = 5.0, 20

_WEIGHTS = {"harvest": tuple(COUNT_OF)}
_MARKETABLE = only("marketable_weight", "harvest")


def _count(weight: str) -> pl.Expr:
    return pl.col(COUNT_OF[weight])


def _doubt(check: str) -> Condition:
    return lambda name: (pl.col(f"doubt_{name}") == check) & ~pl.col(f"switched_{name}")


def _is_far(_: str) -> pl.Expr:
    # A picking of one small fruit is far below the others, and as right as any: a low weight is only asked
    # about where nobody counted.
    apart = pl.when(pl.col("marketable_count") > 0).then("odds").otherwise(pl.col("odds").abs())
    return (
        (pl.col("odds_n") >= ENOUGH_FOR_FAR)
        & (apart > FAR_SPREADS * pl.col("odds_spread"))
        & pl.col("doubt_marketable_weight").is_null()
        & ~pl.col("switched_marketable_weight")
        & pl.col("kinds").fill_null(1).eq(1)
    )


def _with_the_day(found: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return the rows found with what the garden's other plots gave that day."""
    others = found.select("row", "garden_at", "date").join(
        pool.select("garden_at", "date", "row", "marketable_weight"),
        on=["garden_at", "date"],
        how="inner",
        suffix="_other",
    )
    others = others.filter((pl.col("row") != pl.col("row_other")).fill_null(value=True))
    return _with_range(found, others)


def _with_others(found: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return the rows found with what the treatment's pickings around that day gave.

    Where the row lies among them its weight is odd for its count only: then nothing is said of the others.
    """
    others = found.select("row", "arm_at", "date", "marketable_weight").join(
        pool.select("arm_at", "date", "row", "marketable_weight"), on="arm_at", how="inner", suffix="_other"
    )
    near = (pl.col("date") - pl.col("date_other")).dt.total_days().abs() <= DAYS_AROUND
    others = others.filter(near & (pl.col("row") != pl.col("row_other")).fill_null(value=True))
    weights = others.select("row", pl.col("marketable_weight_other").alias("marketable_weight"))
    said = _with_range(found, weights)
    inside = pl.col("marketable_weight").is_between("others_low", "others_high")
    return said.with_columns(
        pl.when(~inside).then(name).alias(name) for name in ("others_low", "others_high")
    )


def _with_range(found: pl.DataFrame, others: pl.DataFrame) -> pl.DataFrame:
    weight = pl.col("marketable_weight").filter(pl.col("marketable_weight") > 0)
    ranges = others.group_by("row").agg(weight.min().alias("others_low"), weight.max().alias("others_high"))
    return found.join(ranges, on="row", how="left", maintain_order="left")


_DATE = {"date": Say(column("date"), "date")}
_CROP = {
    "crop": Say(always(pl.lit(None)), "crop"),
    "low": Say(column("each_low_kg"), "weight"),
    "high": Say(column("each_high_kg"), "weight"),
}
_COUNTED = _DATE | {
    "fruits": Say(_count, "fruits"),
    "each": Say(each_kg, "weight"),
}
_READ = {"read": Say(tried(), "weight")}


def _as_typed(name: str) -> pl.Expr:
    """Return a weight as it was typed, with the unit that a bare number was read in."""
    bare = pl.col(f"unit_{name}").is_null()
    with_unit = pl.concat_str(f"sent_{name}", f"meant_{name}", separator=" ")
    return pl.when(bare).then(with_unit).otherwise(f"sent_{name}")


_CHOICES = {"sent": Say(_as_typed), "suggest": Say(tried("choices_"), "choices")}
_DOUBTED = ("doubt_{}",)


def _slipped_count(weight: str, count: str) -> Check:
    """Return the check of a count whose point slipped: its weight fits the day as it is."""
    meant = pl.col(f"count_meant_{weight}")
    return Check(
        "decimal-slip",
        "question",
        only(count, "harvest"),
        lambda _: _doubt("decimal-slip")(weight) & meant.is_not_null(),
        _CROP
        | _DATE
        | {
            "sent": Say(always(_as_typed(weight))),
            "fruits": Say(tried(), "fruits"),
            "each": Say(always(each_kg(weight)), "weight"),
            "suggest": Say(always(meant), "fruits"),
        },
        needs=(f"count_meant_{weight}",),
    )


CHECKS = (
    Check(
        "columns-swapped",
        "question",
        _WEIGHTS,
        lambda name: pl.col(f"switched_{name}"),
        _CROP | {"fruits": Say(_count, "fruits"), "read": Say(tried(), "weight")},
        once_per=("file", "tab"),
        needs=("switched_{}",),
    ),
    Check(
        "weight-unit-slip",
        "held",
        _WEIGHTS,
        _doubt("weight-unit-slip"),
        _COUNTED | _CROP | _CHOICES,
        needs=_DOUBTED,
    ),
    Check(
        "weight-unit-maybe",
        "question",
        _WEIGHTS,
        _doubt("weight-unit-maybe"),
        _DATE
        | _READ
        | _CHOICES
        | {"low": Say(column("others_low"), "weight"), "high": Say(column("others_high"), "weight")},
        more=_with_others,
        needs=_DOUBTED,
    ),
    Check(
        "decimal-slip",
        "question",
        _WEIGHTS,
        lambda name: _doubt("decimal-slip")(name) & pl.col(f"count_meant_{name}").is_null(),
        _COUNTED | _CROP | _CHOICES,
        needs=_DOUBTED,
    ),
    *(_slipped_count(weight, count) for weight, count in COUNT_OF.items()),
    Check(
        "fruit-mass-odd",
        "question",
        _MARKETABLE,
        _doubt("fruit-mass-odd"),
        _COUNTED | _CROP | _READ,
        needs=_DOUBTED,
    ),
    Check(
        "fruit-mass-unlike-own",
        "question",
        _MARKETABLE,
        _doubt("fruit-mass-unlike-own"),
        _COUNTED
        | _READ
        | {
            "low": Say(always(pl.col("own_mid_marketable_weight").exp() / LEAST_FACTOR), "weight"),
            "high": Say(always(pl.col("own_mid_marketable_weight").exp() * LEAST_FACTOR), "weight"),
        },
        needs=_DOUBTED,
    ),
    Check(
        "fruit-mass-impossible",
        "held",
        _WEIGHTS,
        _doubt("fruit-mass-impossible"),
        _COUNTED | _CROP | _READ,
        needs=_DOUBTED,
    ),
    Check(
        "weight-far-from-usual",
        "question",
        _MARKETABLE,
        _is_far,
        _DATE
        | _READ
        | {
            "direction": Say(
                always(
                    pl.when(pl.col("odds") > 0)
                    .then(word("above", "por encima de"))
                    .otherwise(word("below", "por debajo de"))
                ),
                "word",
            ),
            "low": Say(column("others_low"), "weight"),
            "high": Say(column("others_high"), "weight"),
        },
        more=_with_the_day,
        needs=("odds",),
    ),
    Check(
        "weight-blank",
        "question",
        _MARKETABLE,
        lambda name: (pl.col("marketable_count") > 0) & (pl.col(f"how_{name}") == "blank"),
        _DATE | {"fruits": Say(_count, "fruits")},
    ),
    # Culls are often counted and not weighed: a 0 there is no reason to hold the good fruit.
    Check(
        "fruit-without-weight",
        "held",
        _MARKETABLE,
        lambda name: (_count(name) > 0) & (pl.col(name) == 0),
        _DATE | {"fruits": Say(_count, "fruits")},
    ),
    Check(
        "weight-without-fruit",
        "question",
        _WEIGHTS,
        lambda name: (_count(name) == 0) & (pl.col(name) > 0),
        _DATE | _READ,
    ),
    Check(
        "culls-many",
        "question",
        only("cull_count", "harvest"),
        lambda _: pl.col("others_culled") < FEW_CULLS,
        _DATE
        | {
            "sent": Say(always(pl.coalesce("sent_cull_count", "sent_cull_weight"))),
            "other": Say(always(pl.coalesce("sent_marketable_count", "sent_marketable_weight"))),
        },
        needs=("others_culled",),
    ),
)
