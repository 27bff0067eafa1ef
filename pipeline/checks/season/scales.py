"""What a garden's scale gives away over a season: pounds for kilograms, a change, a bucket, round numbers.

Single weights hide a pound among kilograms: fruits differ by more. All of a garden's fruits, held against
those of other gardens, do not.
"""

import math

import numpy as np
import polars as pl

from pipeline.checks.buckets import buckets
from pipeline.checks.check import Say, column, word
from pipeline.checks.lookup import looked_up, looked_up_by_number
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows
from pipeline.checks.usual import LEAST_SPREAD, MAD_TO_SPREAD
from pipeline.intake.units import KG_PER_UNIT

#: Factors between which a pound was read as a kilogram (2.2046); and those for a month or a treatment by
#: itself, which has fewer rows. Limits: common practice, no source.
TWICE, ABOUT_TWICE = (math.log(1.8), math.log(2.7)), (math.log(1.6), math.log(3.0))

#: Rows of a garden, and of one month or treatment in it, that must agree. Common practice, no source.
LEAST_ROWS, LEAST_PART = 15, 5

#: Picking days that must lie on either side of a change, and the spreads by which it must stand out. Common
#: practice, no source.
LEAST_DAYS, CHANGE_SPREADS = 4, 4.0

#: Weights of a garden and the share of them that must be round. Common practice, no source.
LEAST_WEIGHTS, ROUND_SHARE = 30, 0.8


def _parts_agree(apart: pl.DataFrame, part: str, sign: pl.Expr) -> pl.DataFrame:
    """Return the gardens whose every month, or every treatment, is off by about the same factor."""
    parts = apart.group_by("garden_at", part).agg(pl.col("apart").median(), pl.len().alias("n"))
    whole = parts.filter(pl.col("n") >= LEAST_PART)
    return whole.group_by("garden_at").agg(
        (pl.col("apart") * sign).is_between(*ABOUT_TWICE).all().alias("agree")
    )


def _kilograms_for_pounds(rows: SeasonRows) -> pl.DataFrame:
    apart = rows.fruits.filter(pl.col("apart").is_not_null())
    unit = (
        pl.col("meant_marketable_weight").mode().sort().first()
        if "meant_marketable_weight" in apart.columns
        else pl.lit(None, pl.String)
    )
    gardens = apart.group_by("garden_at").agg(
        pl.len().alias("n"),
        pl.col("apart").median().alias("off"),
        pl.col("each").median().exp().alias("read"),
        pl.col("peers_low").median().exp().alias("low"),
        pl.col("peers_high").median().exp().alias("high"),
        unit.alias("unit"),
    )
    odd = gardens.filter((pl.col("n") >= LEAST_ROWS) & pl.col("off").abs().is_between(*TWICE))
    suspects = looked_up(
        apart.join(odd, on="garden_at", how="semi"), odd.select("garden_at", "off"), ["garden_at"]
    )
    sign = pl.col("apart").median().sign()
    for part in ("month", "arm_at"):
        agree = _parts_agree(suspects, part, sign).filter("agree")
        odd = odd.join(agree, on="garden_at", how="semi")
    # Heavy fruit is a pound read as a kilogram: the sheet says kg and the scale shows lb.
    is_heavy = pl.col("off") > 0
    meant = pl.when(is_heavy).then(pl.lit("kg")).otherwise(pl.lit("lb"))
    fits = odd.filter(pl.col("unit").is_null() | (pl.col("unit") == meant))
    return fits.with_columns(
        meant.alias("unit"),
        pl.when(is_heavy).then(pl.lit("lb")).otherwise(pl.lit("kg")).alias("other"),
        _ratio(is_heavy).alias("ratio"),
    ).sort("garden_at")


def _ratio(is_heavy: pl.Expr) -> pl.Expr:
    return pl.when(is_heavy).then(word("twice", "el doble")).otherwise(word("half", "la mitad"))


def _changed_scale(rows: SeasonRows) -> pl.DataFrame:
    apart = rows.fruits
    if apart["apart"].null_count():
        own = pl.col("each") - pl.col("each").median().over("arm_at")
        apart = apart.with_columns(pl.coalesce("apart", own).alias("apart"))
    days = _days(apart.join(_moved(apart), on="garden_at", how="semi"))
    found = [
        case
        for (garden,), of_garden in days.group_by("garden_at", maintain_order=True)
        if (case := _change(garden, of_garden)) is not None
    ]
    schema = {
        "garden_at": pl.UInt32,
        "date": pl.Date,
        "low": pl.Float64,
        "high": pl.Float64,
        "off": pl.Float64,
    }
    changed = pl.DataFrame(found, schema=schema, orient="row")
    alike = _arms_alike(apart, changed)
    kept = changed.join(alike, on="garden_at", how="semi")
    return kept.with_columns(_ratio(pl.col("off") > 0).alias("ratio"))


def _moved(apart: pl.DataFrame) -> pl.DataFrame:
    """Return the gardens whose first days differ from their last: only they are looked at day by day."""
    days = pl.col("date").unique()
    gardens = apart.group_by("garden_at").agg(
        days.bottom_k(LEAST_DAYS).max().alias("early"),
        days.top_k(LEAST_DAYS).min().alias("late"),
        pl.col("date").n_unique().alias("n"),
    )
    long = gardens.filter(pl.col("n") >= 2 * LEAST_DAYS)
    ends = looked_up_by_number(apart.select("garden_at", "date", "apart", "each"), long, "garden_at").filter(
        (pl.col("date") <= pl.col("early")) | (pl.col("date") >= pl.col("late"))
    )
    value = pl.col("apart")
    moved = (value.head(LEAST_DAYS).median() - value.tail(LEAST_DAYS).median()).abs().alias("moved")
    return _days(ends).group_by("garden_at").agg(moved).filter(pl.col("moved") > ABOUT_TWICE[0])


def _days(apart: pl.DataFrame) -> pl.DataFrame:
    """Return the middle fruit of each garden and day, in the order of the days."""
    days = apart.group_by("garden_at", "date").agg(pl.col("apart").median(), pl.col("each").median())
    return days.sort("garden_at", "date")


def _change(garden: object, days: pl.DataFrame) -> tuple[object, ...] | None:
    """Return the day from which a garden's fruits weigh about twice or half, None where there is none.

    It is the day that leaves the least of the differences between days unexplained.
    """
    apart, each = days["apart"].to_numpy(), days["each"].to_numpy()
    best, at_best = np.inf, 0
    for at in range(LEAST_DAYS, len(apart) - LEAST_DAYS + 1):
        before, after = apart[:at], apart[at:]
        moved = abs(np.median(after) - np.median(before))
        noise = max(_spread_of(before), _spread_of(after), LEAST_SPREAD)
        if TWICE[0] <= moved <= TWICE[1] and moved > CHANGE_SPREADS * noise:
            left = np.abs(before - np.median(before)).sum() + np.abs(after - np.median(after)).sum()
            best, at_best = min((best, at_best), (left, at))
    if not at_best:
        return None
    off = np.median(apart[at_best:]) - np.median(apart[:at_best])
    low, high = np.exp(np.median(each[:at_best])), np.exp(np.median(each[at_best:]))
    return garden, days["date"][at_best], float(low), float(high), float(off)


def _spread_of(values: np.ndarray) -> float:
    return float(np.median(np.abs(values - np.median(values)))) * MAD_TO_SPREAD


def _arms_alike(apart: pl.DataFrame, changed: pl.DataFrame) -> pl.DataFrame:
    """Return the gardens in which every treatment changed on that day by about the same factor."""
    of_changed = looked_up(
        apart.join(changed, on="garden_at", how="semi"),
        changed.select("garden_at", pl.col("date").alias("changed_on"), "off"),
        ["garden_at"],
    )
    is_after = pl.col("date") >= pl.col("changed_on")
    arms = of_changed.group_by("garden_at", "arm_at").agg(
        pl.col("apart").filter(is_after).median().alias("after"),
        pl.col("apart").filter(~is_after).median().alias("before"),
        pl.col("off").first(),
    )
    moved = (pl.col("after") - pl.col("before")) * pl.col("off").sign()
    return arms.group_by("garden_at").agg(moved.is_between(*ABOUT_TWICE).all().alias("alike")).filter("alike")


def _rounded(rows: SeasonRows) -> pl.DataFrame:
    weighed = rows.harvest.select("garden_at", "marketable_weight").filter(pl.col("marketable_weight") > 0)
    shares = []
    for unit in ("lb", "kg"):
        halves = pl.col("marketable_weight") / KG_PER_UNIT[unit] * 2
        shares.append(((halves - halves.round()).abs() < 1e-6).mean().alias(unit))
    gardens = weighed.group_by("garden_at").agg(pl.len().alias("n"), *shares)
    is_round = pl.max_horizontal("lb", "kg") > ROUND_SHARE
    rounded = gardens.filter((pl.col("n") >= LEAST_WEIGHTS) & is_round).sort("garden_at")
    often = (
        weighed.join(rounded, on="garden_at", how="semi")
        .group_by("garden_at")
        .agg(pl.col("marketable_weight").mode().sort().first().alias("often"))
    )
    return looked_up(rounded, often, ["garden_at"])


_EACH = {"low": Say(column("low"), "weight"), "high": Say(column("high"), "weight")}

CHECKS = (
    SeasonCheck(
        "weight-kg-for-lb-season",
        "question",
        "harvest",
        "marketable_weight",
        _kilograms_for_pounds,
        _EACH
        | {
            "ratio": Say(column("ratio"), "word"),
            "read": Say(column("read"), "weight"),
            "unit": Say(column("unit")),
            "other": Say(column("other")),
        },
    ),
    SeasonCheck(
        "weight-scale-changed",
        "question",
        "harvest",
        "marketable_weight",
        _changed_scale,
        _EACH | {"ratio": Say(column("ratio"), "word"), "date": Say(column("date"), "date")},
    ),
    SeasonCheck(
        "bucket-in-weight",
        "question",
        "harvest",
        "marketable_weight",
        lambda rows: buckets(rows.harvest),
        {
            "fruits": Say(column("fruits"), "fruits"),
            "read": Say(column("read"), "weight"),
            "extra": Say(column("extra"), "weight"),
        },
    ),
    SeasonCheck(
        "weights-rounded",
        "note",
        "harvest",
        "marketable_weight",
        _rounded,
        {"sent": Say(column("often"), "weight")},
    ),
)
