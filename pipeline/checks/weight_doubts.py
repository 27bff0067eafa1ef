"""Weights that do not fit: what is odd about each, and which other readings of the typed number would fit.

A weight is held against its count, the crop's usual mass of a fruit and the garden's own rows. Each doubtful
weight gets one explanation at most, the name of the check that asks about it. A number is read again in
grams, kilograms, ounces and pounds, and with its point moved; the readings that fit best are proposed.
"""

import polars as pl

from pipeline.checks.finding import SURE_DIGITS
from pipeline.checks.lookup import Kind, looked_up_by_number, with_blanks
from pipeline.checks.usual import COUNT_OF, ENOUGH_FOR_MIDDLE, ENOUGH_FOR_SPREAD, times
from pipeline.intake.units import KG_PER_UNIT
from sites.crops import HARD_FACTOR

#: Spreads from the garden's own middle beyond which a weight per fruit is odd, where the crop's band says so
#: too; and where the garden's own rows are all that says so. Common practice, no source.
ODD_SPREADS = 4.0
ALONE_SPREADS = 6.0

#: The same, where another unit would fit: a pound for a kilogram is as far as a small fruit from a large one.
#: At 4 spreads even gardens were asked about one sound row in a thousand. Common practice, no source.
UNIT_SPREADS = 5.0

#: A weight per fruit inside the crop's band is never odd within this factor of the garden's own middle. A
#: pound for a kilogram is 2.2. Common practice, no source.
LEAST_FACTOR = 1.7

#: A weight that is this many times off is asked about where another unit brings it within twice the middle.
#: Common practice, no source.
FAR_FACTOR, NEAR_FACTOR = 8.0, 2.0

#: Rows of a treatment in a garden that may say alone that a row is odd. Common practice, no source.
ENOUGH_ALONE = 20

#: Of several readings that fit, those are named that fit nearly as well as the best: within this factor.
#: Common practice, no source.
AS_GOOD_FACTOR = 1.4

#: Fruits that a picking needs for its weight per fruit to be called odd. Common practice, no source.
LEAST_FRUITS = 3

#: How far a point slips: a digit too many or too few, or two.
_DECIMALS = (0.1, 10.0, 0.01, 100.0)


_READING = pl.Struct({"number": pl.Float64, "unit": pl.String, "kg": pl.Float64})
_NO_DOUBT: dict[str, Kind] = {
    "doubt": pl.String,
    "choices": pl.Struct({f"reading_{at}": _READING for at in range(1, len(_DECIMALS) + 1)}),
    "count_meant": pl.Float64,
}


def with_doubts(rows: pl.DataFrame) -> tuple[pl.DataFrame, dict[str, pl.DataFrame]]:
    """Return harvest rows with the doubt about each weight, and apart from them what to choose from.

    Added for each weight: `doubt_`, the name of a check or null; `count_meant_`, where the count is what
    slipped. What there is to choose from is needed for few rows and wide, so it stands apart, by its name:
    `choices_` has, for each `row` with a doubt, the readings that fit better, each a number, its unit and kg.
    """
    doubtful = pl.concat(
        rows.select(roots)[_doubtful_rows(rows, weight)].select(alike) for weight, alike, roots in _ALIKE
    )
    explained = _explained(doubtful)
    choices: dict[str, pl.DataFrame] = {}
    for weight in COUNT_OF:
        of_weight = {name: f"{name}_{weight}" for name in _NO_DOUBT}
        own = explained.filter(pl.col("weight") == weight).drop("weight").rename(of_weight)
        choices[f"choices_{weight}"] = own.select("row", f"choices_{weight}")
        rows = looked_up_by_number(rows, own.drop(f"choices_{weight}"), "row")
    return rows, choices


def _explained(doubtful: pl.DataFrame) -> pl.DataFrame:
    """Return doubtful weights with the doubt about each, where there is one."""
    if doubtful.is_empty():
        return with_blanks(doubtful.select("row", "weight"), _NO_DOUBT)
    read = doubtful.with_columns(_TRUSTED).with_columns(_GAPS).with_columns(_BEST_GAPS)
    explained = read.with_columns(_DOUBT.alias("doubt")).filter(pl.col("doubt").is_not_null())
    return explained.select("row", "weight", "doubt", *_CHOICES)


def each_kg(weight: str) -> pl.Expr:
    """Return the weight of one fruit, null without a count or a weight."""
    count = pl.col(COUNT_OF[weight])
    return pl.when((pl.col(weight) > 0) & (count > 0)).then(pl.col(weight) / count)


def _away(weight: str) -> pl.Expr:
    """Return how far the log weight per fruit is from the garden's own middle."""
    return each_kg(weight).log() - pl.col(f"own_mid_{weight}")


def _own_spread(weight: str) -> pl.Expr:
    """Return the garden's own spread for a row.

    The mean of few fruits varies more than that of many, and a small weight is rounded by a larger share.
    """
    fewer = (pl.col(f"own_count_{weight}") / pl.col(COUNT_OF[weight])).sqrt().clip(1.0)
    rounded = _step(weight) / pl.col(weight)
    has_spread = pl.col(f"own_n_{weight}") >= ENOUGH_FOR_SPREAD
    return pl.when(has_spread).then(((pl.col(f"own_spread_{weight}") * fewer) ** 2 + rounded**2).sqrt())


def _step(weight: str) -> pl.Expr:
    """Return the step to which a weight was rounded, by the decimals that were typed, in kg."""
    decimals = pl.col(f"sent_{weight}").str.extract(r"[.,](\d+)").str.len_chars().fill_null(0)
    return pl.col(f"unit_kg_{weight}") * pl.lit(10.0).pow(-decimals.cast(pl.Float64))


def _is_outside(weight: str, factor: float = 1.0) -> pl.Expr:
    """Return whether a fruit is too heavy or too light for the crop.

    Culls may be as small as they like: undersize is a reason to cull.
    """
    each = each_kg(weight)
    heavy = each > factor * pl.col("each_high_kg")
    return heavy if weight == "cull_weight" else heavy | (each < pl.col("each_low_kg") / factor)


def _doubtful_rows(rows: pl.DataFrame, weight: str) -> pl.Series:
    """Return the rows whose weight may be doubtful: outside the crop's band, or far from their own."""
    told = rows.select("row", *("each_low_kg", "each_high_kg"), *_SCREENS[weight])
    return told.filter(_IS_DOUBTFUL)["row"]


def _screen(weight: str, count: str) -> list[pl.Expr]:
    """Return what tells whether a weight may be doubtful."""
    uncounted = pl.col(count).is_null() & (weight == "marketable_weight")
    odd_from = ODD_SPREADS * pl.col(f"own_spread_{weight}")
    return [
        each_kg(weight).alias("each"),
        _away(weight).abs().alias("apart"),
        odd_from.clip(times(LEAST_FACTOR), times(FAR_FACTOR)).alias("odd_from"),
        (uncounted & _is_far_around()).fill_null(value=False).alias("is_far_around"),
    ]


def _around() -> pl.Expr:
    """Return how far a weight without a count is from the rows around it."""
    weight = pl.col("marketable_weight")
    return pl.when(weight > 0).then(weight.log()) - pl.col("around_mid")


def _is_far_around() -> pl.Expr:
    return (_around().abs() > times(FAR_FACTOR)) & (pl.col("around_n") >= ENOUGH_FOR_MIDDLE)


def _alike(weight: str, count: str) -> list[pl.Expr]:
    """Return what an explanation is made of, by names that are the same for all weights."""
    return [
        pl.col("row"),
        pl.lit(weight).alias("weight"),
        pl.col(weight).alias("kg"),
        pl.col(count).alias("fruits"),
        pl.col(f"meant_{weight}").alias("unit"),
        pl.col(f"unit_kg_{weight}").alias("unit_kg"),
        (pl.col(f"unit_{weight}").fill_null("") != "lb oz").alias("is_one_number"),
        each_kg(weight).alias("each"),
        pl.col("each_low_kg"),
        pl.col("each_high_kg"),
        _is_outside(weight).alias("is_outside"),
        _is_outside(weight, HARD_FACTOR).alias("is_beyond"),
        pl.when(pl.col(f"own_n_{weight}") >= ENOUGH_FOR_MIDDLE).then(_away(weight)).alias("away"),
        pl.col(f"own_mid_{weight}").exp().alias("own_each"),
        pl.col(f"own_n_{weight}").alias("own_n"),
        _own_spread(weight).alias("spread"),
        pl.when(_is_far_around()).then(_around()).alias("around"),
        pl.when(pl.col("odds_n") >= ENOUGH_FOR_SPREAD).then("odds").alias("odds"),
        pl.lit(weight == "marketable_weight").alias("is_marketable"),
    ]


#: A garden whose own middle is no weight of a fruit of this crop has slipped in all its rows.
_TRUSTED = pl.when(
    pl.col("own_each").is_between(pl.col("each_low_kg"), pl.col("each_high_kg")).fill_null(value=True)
).then("away")


def _reading_gap(factor: pl.Expr) -> pl.Expr:
    """Return how far a reading would be from the garden's own middle, null where it does not fit.

    Without a middle of its own the crop's band decides; without a count the rows around do.
    """
    fits = (pl.col("each") * factor).is_between(pl.col("each_low_kg"), pl.col("each_high_kg"))
    by_own = (pl.coalesce("away", "around") + factor.log()).abs()
    near = pl.when(by_own <= times(NEAR_FACTOR)).then(by_own)
    is_known = pl.coalesce("away", "around").is_not_null()
    return pl.when(~fits.fill_null(value=True)).then(None).when(is_known).then(near).when(fits).then(0.0)


#: How well each other reading of the number fits: in other units, and with its point moved.
_UNIT_GAPS = {
    unit: pl.when((pl.col("unit") != unit) & pl.col("is_one_number")).then(
        _reading_gap(kg / pl.col("unit_kg"))
    )
    for unit, kg in KG_PER_UNIT.items()
}
_DECIMAL_GAPS = {str(factor): _reading_gap(pl.lit(factor)) for factor in _DECIMALS}
_GAPS = [gap.alias(f"gap_{name}") for name, gap in (_UNIT_GAPS | _DECIMAL_GAPS).items()]
_BEST_GAPS = [
    pl.min_horizontal([f"gap_{unit}" for unit in _UNIT_GAPS]).alias("unit_gap"),
    pl.min_horizontal([f"gap_{factor}" for factor in _DECIMAL_GAPS]).alias("decimal_gap"),
]


def _explanation() -> pl.Expr:
    """Return the name of the check that asks about a doubtful weight, null where there is nothing to ask."""
    apart = pl.col("away").abs()
    odd = (apart > ODD_SPREADS * pl.col("spread")).fill_null(value=False)
    alone = (
        (pl.col("own_n") >= ENOUGH_ALONE)
        & (apart > pl.max_horizontal(ALONE_SPREADS * pl.col("spread"), times(LEAST_FACTOR)))
        & (pl.col("fruits") >= LEAST_FRUITS)
        & pl.col("is_marketable")
    )
    has_unit, has_decimal = pl.col("unit_gap").is_not_null(), pl.col("decimal_gap").is_not_null()
    decimal_is_nearer = has_decimal & (
        ~has_unit | (pl.col("decimal_gap") + times(AS_GOOD_FACTOR) / 2 < pl.col("unit_gap"))
    )
    near = pl.col("unit_gap") <= pl.max_horizontal(2 * pl.col("spread"), 0.25)
    # Culls are of any size: only the garden's own good fruit says that a cull was weighed in another unit.
    surely_odd = (pl.col("own_n") >= ENOUGH_ALONE) & pl.col("is_marketable")
    surely_odd &= apart > pl.max_horizontal(UNIT_SPREADS * pl.col("spread"), times(LEAST_FACTOR))
    unit_maybe = has_unit & (
        (surely_odd & near).fill_null(value=False)
        | (apart > times(FAR_FACTOR)).fill_null(value=False)
        | pl.col("around").is_not_null()
    )
    asks_mass = (
        pl.col("is_marketable") & (pl.col("fruits") >= LEAST_FRUITS) & (odd | pl.col("spread").is_null())
    )
    decimal_maybe = decimal_is_nearer & (odd | pl.col("away").is_null()) & pl.col("is_outside")
    return (
        pl.when(pl.col("is_beyond") & decimal_is_nearer)
        .then(pl.lit("decimal-slip"))
        .when(pl.col("is_beyond") & has_unit)
        .then(pl.lit("weight-unit-slip"))
        .when(pl.col("is_beyond"))
        .then(pl.lit("fruit-mass-impossible"))
        .when(unit_maybe & ~decimal_is_nearer)
        .then(pl.lit("weight-unit-maybe"))
        .when(decimal_maybe)
        .then(pl.lit("decimal-slip"))
        .when(pl.col("is_outside") & asks_mass)
        .then(pl.lit("fruit-mass-odd"))
        .when(alone & ~pl.col("is_outside"))
        .then(pl.lit("fruit-mass-unlike-own"))
    )


def _choices() -> list[pl.Expr]:
    """Return the readings to choose from, and the count where that is what slipped."""
    is_decimal = pl.col("doubt") == "decimal-slip"
    units = [
        _choice(f"gap_{unit}", "unit_gap", pl.col("kg") / pl.col("unit_kg"), pl.lit(unit), kg)
        for unit, kg in KG_PER_UNIT.items()
    ]
    decimals = [
        _choice(f"gap_{factor}", "decimal_gap", pl.col("kg") / pl.col("unit_kg") * factor, pl.col("unit"))
        for factor in _DECIMALS
    ]
    slipped = pl.coalesce(
        pl.when(pl.col(f"gap_{factor}") == pl.col("decimal_gap")).then(factor) for factor in _DECIMALS
    )
    fruits = pl.col("fruits") / slipped
    # The weight fits its day as it is, so the count is what slipped.
    weight_fits = pl.col("odds").abs() < (pl.col("odds") + slipped.log()).abs()
    count_slipped = is_decimal & weight_fits & (fruits >= 1) & (fruits == fruits.round())
    return [
        pl.struct(
            pl.when(is_decimal).then(decimal).otherwise(unit).alias(f"reading_{at}")
            for at, (decimal, unit) in enumerate(zip(decimals, units, strict=True), start=1)
        ).alias("choices"),
        pl.when(count_slipped).then(fruits).alias("count_meant"),
    ]


def _choice(gap: str, best: str, number: pl.Expr, unit: pl.Expr, unit_kg: float | None = None) -> pl.Expr:
    """Return a reading, null where another fits clearly better."""
    is_as_good = pl.col(gap) <= pl.col(best) + times(AS_GOOD_FACTOR)
    kg = number * (pl.col("unit_kg") if unit_kg is None else unit_kg)
    # Quotients of the same numbers may differ in their last digits with the rows that stand beside them.
    sure = [value.round_sig_figs(SURE_DIGITS).alias(name) for name, value in (("number", number), ("kg", kg))]
    return pl.when(is_as_good).then(pl.struct(sure[0], unit.alias("unit"), sure[1]))


_DOUBT, _CHOICES = _explanation(), _choices()
_SCREENS = {weight: _screen(weight, count) for weight, count in COUNT_OF.items()}
_IS_DOUBTFUL = (
    ~pl.col("each").is_between("each_low_kg", "each_high_kg")
    | (pl.col("apart") > pl.col("odd_from"))
    | pl.col("is_far_around")
)
#: For each weight what an explanation is made of, and the columns that this needs.
_ALIKE = [
    (weight, alike, sorted({name for part in alike for name in part.meta.root_names()}))
    for weight, count in COUNT_OF.items()
    for alike in [_alike(weight, count)]
]
