"""What is usual in a garden: the middle and the spread of its own rows, which a new row is held against.

Middles are medians and spreads median absolute deviations, so that a slip does not hide itself. Weights are
compared as logarithms: a slip multiplies.
"""

import math

import polars as pl

from pipeline.checks.lookup import in_runs, looked_up, looked_up_by_number, where_known

#: Makes a median absolute deviation the standard deviation of a normal distribution (1 / 0.6745; Rousseeuw &
#: Croux 1993, Journal of the American Statistical Association 88:1273).
MAD_TO_SPREAD = 1.4826

#: Rows that a treatment, or a garden, needs before its own middle and its own spread are trusted. Common
#: practice, no source.
ENOUGH_FOR_MIDDLE = 5
ENOUGH_FOR_SPREAD = 8

#: A spread of logarithms is never taken for less: 5 % is what a scale and its rounding leave. Common
#: practice, no source.
LEAST_SPREAD = 0.05

#: Days around a picking whose rows tell what is usual at that time. Common practice, no source.
DAYS_AROUND = 21

#: Weights and the counts that belong to them.
COUNT_OF = {"marketable_weight": "marketable_count", "cull_weight": "cull_count"}


#: More days than any two rows can be apart.
DAYS_APART = 1_000_000

#: Columns of the pool that middles and spreads are made of.
_LOOKED_AT = [
    *("row", "garden_at", "arm_at", "date", "plants", "each_low_kg", "each_high_kg"),
    *COUNT_OF,
    *COUNT_OF.values(),
]

#: What is told of each weight.
_OWN = ("own_n", "own_mid", "own_spread", "own_count")


def spread(values: pl.Expr) -> pl.Expr:
    """Return the robust spread of values: their scaled median absolute deviation."""
    return (values - values.median()).abs().median() * MAD_TO_SPREAD


def each_kg(weight: str) -> pl.Expr:
    """Return the weight of one fruit, null without a count or a weight."""
    count = pl.col(COUNT_OF[weight])
    return pl.when((pl.col(weight) > 0) & (count > 0)).then(pl.col(weight) / count)


def with_usual(rows: pl.DataFrame, pool: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with what is usual in their garden.

    `pool` has `row`, the place of a new row, and `plants`. Added, for each weight (`cull_` alike):

        own_n_, own_mid_, own_spread_, own_count_     of the log weight per fruit in the rows of the treatment
                          in this garden, or of the whole garden where the treatment has too few: how many,
                          middle, spread, and the middle number of fruits of a row
        around_n, around_mid     of the log weight of the treatment's rows within 21 days
        odds, odds_n, odds_spread    how far the log weight per plant is from what its day and its treatment
                          make likely; in how many rows of the garden; its spread there, which is at least
                          that of counting as few fruits as a plot has that day
    """
    known = where_known(pool[_LOOKED_AT], "garden_at")
    rows = rows.hstack(_own(rows, known))
    return looked_up_by_number(looked_up_by_number(rows, _around(known), "row"), _odds(known), "row")


def _own(rows: pl.DataFrame, pool: pl.DataFrame) -> list[pl.Series]:
    """Return for each row what is usual of a fruit where plants were treated alike; null without a count."""
    own = _by_arm(pool.select("arm_at", "garden_at", *_FRUITS))
    new = pool["row"].drop_nulls()
    # A row that another with its key replaces is asked about as that, and not for its weight.
    is_new = pl.lit(value=True) if new.len() == rows.height else pl.col("row").is_in(new.implode())
    counted = [
        pl.when(is_new & each_kg(weight).is_not_null()).then("arm_at").alias(weight) for weight in COUNT_OF
    ]
    places = rows.select(counted)
    found: list[pl.Series] = []
    for weight in COUNT_OF:
        of_weight = own[["arm_at", *(f"{name}_{weight}" for name in _OWN)]].rename({"arm_at": weight})
        found += looked_up_by_number(places[[weight]], of_weight, weight).get_columns()[1:]
    return found


def _by_arm(fruits: pl.DataFrame) -> pl.DataFrame:
    """Return what is usual by treatment, that of the whole garden where a treatment has too few rows."""
    own = fruits.group_by("arm_at").agg(pl.col("garden_at").first(), *_OF_FRUITS)
    has_few = {weight: pl.col(f"own_n_{weight}") < ENOUGH_FOR_SPREAD for weight in COUNT_OF}
    few = own.filter(pl.any_horizontal(has_few.values()))
    if few.is_empty():
        return own
    gardens = fruits.join(few, on="garden_at", how="semi").group_by("garden_at").agg(_OF_FRUITS)
    beside = looked_up_by_number(
        own, gardens.select("garden_at", pl.exclude("garden_at").name.suffix("_of_garden")), "garden_at"
    )
    names = [(f"{name}_{weight}", has_few[weight]) for weight in COUNT_OF for name in _OWN]
    return beside.select(
        "arm_at", *(pl.when(few).then(f"{name}_of_garden").otherwise(name).alias(name) for name, few in names)
    )


def _around(pool: pl.DataFrame) -> pl.DataFrame:
    """Return what new weights without a count are held against; only they need it."""
    is_uncounted = (pl.col("marketable_weight") > 0) & pl.col("marketable_count").is_null()
    told = pool[["row", "arm_at", "date", "marketable_weight", "marketable_count"]]
    new = told.filter(is_uncounted & pl.col("row").is_not_null())[["row", "arm_at", "date"]]
    if new.is_empty():
        return new.select("row", around_n=pl.lit(0, pl.UInt32), around_mid=pl.lit(None, pl.Float64))
    weighed = pool.join(new.select("arm_at").unique(), on="arm_at", how="semi").filter(
        (pl.col("marketable_weight") > 0) & pl.col("date").is_not_null()
    )
    days = weighed.group_by("arm_at", "date").agg(
        pl.col("marketable_weight").log().median().alias("mid"), pl.len().alias("n")
    )
    period, offset = f"{2 * DAYS_AROUND + 1}d", f"-{DAYS_AROUND + 1}d"
    around = (
        days.sort("arm_at", "date")
        .rolling("date", group_by="arm_at", period=period, offset=offset)
        .agg(pl.col("n").sum().alias("around_n"), pl.col("mid").median().alias("around_mid"))
    )
    return looked_up(new, around, ["arm_at", "date"]).drop("arm_at", "date")


def _odds(pool: pl.DataFrame) -> pl.DataFrame:
    """Return for each new weight how far it is from what its day and its treatment make likely."""
    weighed = pool.select(
        *("row", "garden_at", "arm_at"),
        # One number for garden and day: it is quicker to group by than two.
        (pl.col("garden_at").cast(pl.Int64) * DAYS_APART + pl.col("date").to_physical()).alias("day_at"),
        pl.when(pl.col("marketable_weight") > 0)
        .then((pl.col("marketable_weight") / pl.col("plants")).log())
        .alias("size"),
        (pl.col("plants") / (pl.col("each_low_kg") * pl.col("each_high_kg")).sqrt()).alias("per_kg"),
    ).filter(pl.col("size").is_not_null())
    weighed = weighed.with_columns(in_runs(weighed["day_at"]), in_runs(weighed["garden_at"]))
    day = pl.col("size").median().over("day_at")
    odds = weighed.with_columns(day.alias("day")).with_columns(
        (pl.col("size") - pl.col("day")).alias("by_day")
    )
    by_arm = (pl.col("by_day") - pl.col("by_day").median()).over("arm_at")
    odds = odds.with_columns(by_arm.alias("odds"))
    # A count of k fruits varies by its root, so the log of a weight by one over the root of k.
    counting = (pl.col("day").exp() * pl.col("per_kg")).sqrt() ** -1
    return odds.filter(pl.col("row").is_not_null()).select(
        "row",
        "odds",
        pl.len().over("garden_at").alias("odds_n"),
        pl.max_horizontal(spread(pl.col("odds")).over("garden_at"), counting, pl.lit(LEAST_SPREAD)).alias(
            "odds_spread"
        ),
    )


def times(factor: float) -> float:
    """Return a factor as a distance between logarithms."""
    return math.log(factor)


def _fruits(weight: str) -> list[pl.Expr]:
    """Return the log weight of a fruit and the number of fruits, null without a count or a weight."""
    each = each_kg(weight)
    return [
        each.log().alias(f"each_{weight}"),
        pl.when(each.is_not_null()).then(COUNT_OF[weight]).alias(f"fruits_{weight}"),
    ]


def _of_fruits(weight: str) -> list[pl.Expr]:
    each = pl.col(f"each_{weight}")
    usual = (
        each.count(),
        each.median(),
        spread(each).clip(LEAST_SPREAD),
        pl.col(f"fruits_{weight}").median(),
    )
    return [value.alias(f"{name}_{weight}") for name, value in zip(_OWN, usual, strict=True)]


_FRUITS = [part for weight in COUNT_OF for part in _fruits(weight)]
_OF_FRUITS = [part for weight in COUNT_OF for part in _of_fruits(weight)]
