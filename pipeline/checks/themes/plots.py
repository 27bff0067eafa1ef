"""Pickings and looks against what became of the plot: planted, alive, dead, replaced."""

import polars as pl

from pipeline.checks.check import Check, Say, always, column, tried
from pipeline.checks.looks import ENOUGH_PLOTS, MEASURED
from pipeline.checks.themes.looks_at import only

#: Days after the last living plant on which fruit may still be picked. Common practice, no source.
LAST_FRUIT_DAYS = 7

#: A first picking is very soon before this share of the crop's fewest days. Common practice, no source.
SOON_SHARE = 0.6

#: Points by which the sick part may fall between two looks, and the days between them. Common practice, no
#: source.
HEALED_POINTS, HEALED_DAYS = 30.0, 21

#: Beyond this no plant of the crops in the table is measured in a garden; and the height of a graft union.
#: Common practice, no source.
TALLEST_CM, HIGHEST_UNION_CM = 300.0, 20.0

#: Spreads from the garden's other plots that day beyond which a height is odd, and within which another unit
#: must bring it. Common practice, no source.
ODD_SPREADS, NEAR_SPREADS = 4.0, 2.0

#: What a height may be off by: inches for centimetres, millimetres for centimetres, and back.
_LENGTH_SLIPS = (2.54, 0.1, 1 / 2.54, 10.0)

_DATE = {"date": Say(column("date"), "date")}


def _bears() -> pl.Expr:
    return (pl.col("marketable_weight") > 0) | (pl.col("marketable_count") > 0)


def _is_before_planting(_: str) -> pl.Expr:
    # A day far outside the season is asked about as such.
    in_season = pl.col("days_outside") <= pl.col("days_outside_allowed")
    return in_season & (pl.col("date") < pl.col("planted_on"))


def _fewest_days() -> pl.Expr:
    return pl.when("is_sown").then("days_sown_low").otherwise("days_set_out_low")


def _most_days() -> pl.Expr:
    return pl.when("is_sown").then("days_sown_high").otherwise("days_set_out_high")


def _days_grown() -> pl.Expr:
    return (pl.col("date") - pl.col("planted_on")).dt.total_days()


def _is_soon(_: str) -> pl.Expr:
    is_first = pl.col("date") == pl.col("first_picked")
    return is_first & _bears() & _days_grown().is_between(0, SOON_SHARE * _fewest_days(), closed="left")


def _is_after_death(_: str) -> pl.Expr:
    return _bears() & (pl.col("date") > pl.col("died_on") + pl.duration(days=LAST_FRUIT_DAYS))


def _planted_plants() -> pl.Expr:
    return pl.coalesce("planted_plants", "plants_per_plot")


def _is_rising(_: str) -> pl.Expr:
    replaced = pl.col("replanted").fill_null(value=False) | pl.col("replaced").fill_null(value=False)
    return (pl.col("alive") > pl.col("before_alive")) & ~replaced & ~_is_over_planted("")


def _is_over_planted(_: str) -> pl.Expr:
    return pl.col("alive") > _planted_plants()


def _is_healed(_: str) -> pl.Expr:
    days = (pl.col("date") - pl.col("scored_on")).dt.total_days()
    fallen = pl.col("before_severity_pct") - pl.col("severity_pct")
    return (fallen > HEALED_POINTS) & (days <= HEALED_DAYS) & pl.col("sent_note").is_null()


def _length_meant(name: str) -> pl.Expr:
    """Return the length in the unit that brings it near the garden's other plots, null where none does."""
    near = NEAR_SPREADS * pl.col(f"day_spread_{name}")
    readings = [pl.col(name) * factor for factor in _LENGTH_SLIPS]
    return pl.coalesce(
        pl.when((reading - pl.col(f"day_mid_{name}")).abs() <= near).then(reading) for reading in readings
    )


def _is_odd_length(name: str) -> pl.Expr:
    apart = (pl.col(name) - pl.col(f"day_mid_{name}")).abs()
    odd = (apart > ODD_SPREADS * pl.col(f"day_spread_{name}")) & (pl.col(f"day_n_{name}") > ENOUGH_PLOTS)
    return (pl.col(name) > TALLEST_CM) | (odd & _length_meant(name).is_not_null())


_LENGTH = _DATE | {"column": Say(lambda name: pl.lit(name), "column"), "read": Say(tried(), "length")}

CHECKS = (
    Check(
        "harvest-before-planting",
        "held",
        only("date", "harvest"),
        _is_before_planting,
        _DATE | {"date_b": Say(column("planted_on"), "date")},
        needs=("planted_on",),
    ),
    # A planting day is only held against pickings that count already: of a batch that brings both, one is
    # asked about.
    Check(
        "harvest-before-planting",
        "held",
        only("date", "planting"),
        lambda _: pl.col("is_planting") & (pl.col("date") > pl.col("kept_first_picked")),
        {"date": Say(column("kept_first_picked"), "date"), "date_b": Say(column("date"), "date")},
        needs=("kept_first_picked",),
    ),
    Check(
        "first-picking-early",
        "question",
        only("date", "harvest"),
        _is_soon,
        _DATE
        | {
            "crop": Say(always(pl.lit(None)), "crop"),
            "date_b": Say(column("planted_on"), "date"),
            "n": Say(always(_days_grown()), "number"),
            "low": Say(always(_fewest_days()), "number"),
            "high": Say(always(_most_days()), "number"),
        },
        once_per=("plot_at",),
        needs=("planted_on",),
    ),
    Check(
        "harvest-after-death",
        "question",
        only("date", "harvest"),
        _is_after_death,
        _DATE | {"date_b": Say(column("died_on"), "date")},
        needs=("died_on",),
    ),
    Check(
        "alive-over-planted",
        "held",
        only("alive", "condition"),
        _is_over_planted,
        _DATE | {"other": Say(always(_planted_plants()), "number")},
    ),
    Check(
        "plants-rising",
        "question",
        only("alive", "condition"),
        _is_rising,
        _DATE | {"date_b": Say(column("counted_on"), "date"), "other": Say(column("before_alive"), "number")},
    ),
    Check(
        "sick-part-falls",
        "question",
        only("severity_pct", "condition"),
        _is_healed,
        _DATE
        | {
            "read": Say(tried(), "number"),
            "date_b": Say(column("scored_on"), "date"),
            "other": Say(column("before_severity_pct"), "number"),
        },
    ),
    Check(
        "height-odd",
        "question",
        {"condition": MEASURED},
        _is_odd_length,
        _LENGTH
        | {
            "low": Say(tried("day_low_"), "length"),
            "high": Say(tried("day_high_"), "length"),
            "suggest": Say(_length_meant, "length"),
        },
    ),
    Check(
        "height-odd",
        "question",
        {"planting": ("height_cm", "union_cm")},
        lambda name: pl.col(name) > (HIGHEST_UNION_CM if name == "union_cm" else TALLEST_CM),
        _LENGTH
        | {
            "low": Say(always(pl.lit(None, pl.Float64)), "length"),
            "high": Say(always(pl.lit(None, pl.Float64)), "length"),
            "suggest": Say(always(pl.lit(None, pl.Float64)), "length"),
        },
    ),
)
