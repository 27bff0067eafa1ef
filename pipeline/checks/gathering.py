"""Everything that checks look at, gathered before any of them is asked.

Rows get their place, what the garden's other rows say and what its other sheets say.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

import polars as pl

from pipeline.checks.buckets import without_bucket_doubts
from pipeline.checks.context import Context
from pipeline.checks.looks import with_looks
from pipeline.checks.lookup import looked_up, looked_up_at, looked_up_by_number, with_same
from pipeline.checks.picking_days import with_culls, with_zero_days
from pipeline.checks.placing import with_places
from pipeline.checks.plot_history import first_pickings, is_planting, plot_histories
from pipeline.checks.pool import Pools, make_pools
from pipeline.checks.run import Told
from pipeline.checks.runs import with_runs
from pipeline.checks.stages import with_stages
from pipeline.checks.swapped_tags import with_swapped_tags
from pipeline.checks.switched import with_switched
from pipeline.checks.themes.keys import with_repeats, without_repeats
from pipeline.checks.two_readings import with_settled_weights
from pipeline.checks.usual import COUNT_OF, with_usual
from pipeline.checks.weight_doubts import with_doubts
from pipeline.intake.sheets import NUMBER_KINDS, sheets
from pipeline.intake.units import KG_PER_UNIT

#: Share of a garden's weights in pounds and ounces from which a point may stand for the two. Common practice,
#: no source.
OUNCES_SHARE = 0.2


@dataclass(frozen=True)
class Gathered:
    """The rows of a batch by kind of sheet, ready to be checked, and the pools they are held against.

    `told` has, by kind of sheet, what messages about few rows need (`run.find`).
    """

    rows: Mapping[str, pl.DataFrame]
    pools: Pools
    told: Mapping[str, Told]


@dataclass(frozen=True)
class _Beside:
    """What is known besides the rows of one kind."""

    pools: Pools
    plots: pl.DataFrame
    context: Context


def gather(typed: Mapping[str, pl.DataFrame], context: Context) -> Gathered:
    """Return typed rows, by kind of sheet, with everything that checks look at; their order is kept."""
    placed = {name: with_places(sheets()[name], rows, context) for name, rows in typed.items()}
    if "harvest" in placed:
        placed["harvest"] = with_settled_weights(placed["harvest"])
    pools = make_pools(placed, context)
    beside = _Beside(pools, plot_histories(pools), context)
    completed = {name: _completed(name, rows, beside) for name, rows in placed.items()}
    return Gathered(
        {name: rows for name, (rows, _) in completed.items()},
        pools,
        {name: told for name, (_, told) in completed.items()},
    )


def _completed(name: str, rows: pl.DataFrame, beside: _Beside) -> tuple[pl.DataFrame, Told]:
    whole = with_repeats(name, rows) if name in beside.pools.repeating else without_repeats(rows)
    whole = whole.with_columns(_has_odd_cell(name))
    if name == "harvest":
        return _harvest(whole, beside)
    return (_OF_SHEET[name](whole, beside) if name in _OF_SHEET else whole), {}


@cache
def _has_odd_cell(name: str) -> pl.Expr:
    """Return whether a row has a cell that is neither blank nor a number or a day as most people write it."""
    read = sheets()[name].of_kind(*NUMBER_KINDS, "date")
    plain = [(pl.col(f"how_{column}") == "plain") | (pl.col(f"how_{column}") == "blank") for column in read]
    return (~pl.all_horizontal(*plain)).alias("has_odd_cell")


def _harvest(rows: pl.DataFrame, beside: _Beside) -> tuple[pl.DataFrame, Told]:
    pool = looked_up_by_number(beside.pools.of("harvest"), beside.plots, "plot_at")
    plan = beside.context.layout[["plants_per_plot", "each_low_kg", "each_high_kg"]]
    pool = looked_up_at(pool, plan, "plot_at").with_columns(
        pl.coalesce("planted_plants", "plants_per_plot").alias("plants")
    )
    rows = with_stages(looked_up_by_number(rows, beside.plots, "plot_at"))
    rows = _with_ounces(rows.with_columns(_UNITS_KG))
    doubted, choices = with_doubts(with_usual(with_switched(rows), pool))
    rows = with_culls(with_zero_days(without_bucket_doubts(doubted, pool), pool), pool)
    return with_runs(rows, "marketable_weight", ["marketable_count"]), choices


def _condition(rows: pl.DataFrame, beside: _Beside) -> pl.DataFrame:
    rows = looked_up_by_number(rows, beside.plots, "plot_at")
    rows = with_looks(rows, beside.pools.of("condition"), beside.pools.of("planting"))
    return with_runs(with_runs(rows, "severity_pct"), "height_cm")


def _planting(rows: pl.DataFrame, beside: _Beside) -> pl.DataFrame:
    kept = beside.pools.of("harvest").filter(pl.col("row").is_null())
    picked = first_pickings(kept).rename({"first_picked": "kept_first_picked"})
    rows = looked_up_by_number(looked_up_by_number(rows, beside.plots, "plot_at"), picked, "plot_at")
    rows = looked_up(rows, beside.context.late_freeze(), ["site", "season"])
    return with_swapped_tags(rows.with_columns(is_planting().alias("is_planting")))


def _outreach(rows: pl.DataFrame, beside: _Beside) -> pl.DataFrame:
    year = pl.col("date").dt.year().alias("year")
    picked = (
        beside.pools.of("harvest")
        .group_by("site", year)
        .agg(pl.col("marketable_weight").sum().alias("picked_kg"))
        .drop_nulls()
    )
    schools = beside.context.gardens.select("site", (pl.col("kind") == "school").alias("is_school"))
    return looked_up(looked_up(rows.with_columns(year), picked, ["site", "year"]), schools, ["site"])


def _with_ounces(rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows with `writes_ounces`: the garden writes many weights as pounds and ounces."""
    if not (rows["unit_marketable_weight"] == "lb oz").any():
        return with_same(rows, {"writes_ounces": False})
    both = pl.col("unit_marketable_weight") == "lb oz"
    share = pl.when(pl.col("marketable_weight").is_not_null()).then(both.fill_null(value=False)).mean()
    writes = share.over("site", "season") >= OUNCES_SHARE
    return rows.with_columns(writes.fill_null(value=False).alias("writes_ounces"))


def _unit_kg(weight: str) -> pl.Expr:
    """Return the kilograms in the unit that a number was read in."""
    unit = pl.col(f"meant_{weight}").replace_strict(KG_PER_UNIT, default=None, return_dtype=pl.Float64)
    return unit.alias(f"unit_kg_{weight}")


_UNITS_KG = [_unit_kg(weight) for weight in COUNT_OF]

_OF_SHEET: dict[str, Callable[[pl.DataFrame, _Beside], pl.DataFrame]] = {
    "condition": _condition,
    "planting": _planting,
    "outreach": _outreach,
}
