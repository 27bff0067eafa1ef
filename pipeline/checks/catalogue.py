"""The checks, in the order in which a reader meets them: reading, registry, keys, ranges, units."""

import polars as pl

from pipeline.checks.check import Check, Say, column, tried
from pipeline.intake.sheets import NUMBER_KINDS, sheets
from pipeline.intake.units import KG_PER_UNIT

#: A value beyond this many times the top of the crop's usual band, or below one in as many of its bottom,
#: cannot be true. Common practice, no source.
HARD_FACTOR = 3.0

_PLOT_SHEETS = tuple(
    name for name, sheet in sheets().items() if sheet.of_kind("plot") and "plot" in sheet.required
)
_COUNTED = tuple(name for name, sheet in sheets().items() if sheet.of_kind("count"))


def _columns(*kinds: str) -> dict[str, tuple[str, ...]]:
    """Return, for each sheet, its columns of these kinds."""
    return {name: of_kind for name, sheet in sheets().items() if (of_kind := sheet.of_kind(*kinds))}


def _only(name: str, *of_sheets: str) -> dict[str, tuple[str, ...]]:
    """Return one column for each of the named sheets."""
    return dict.fromkeys(of_sheets, (name,))


_REQUIRED = {
    name: tuple(required for required in sheet.required if required not in ("marketable_weight",))
    for name, sheet in sheets().items()
}

READING = (
    Check("needed-cell-blank", "held", _REQUIRED, lambda name: pl.col(f"sent_{name}").is_null()),
    Check(
        "number-unreadable",
        "held",
        _columns(*NUMBER_KINDS),
        lambda name: pl.col(f"how_{name}") == "unreadable",
    ),
    Check(
        "number-two-ways",
        "held",
        _columns(*NUMBER_KINDS),
        lambda name: pl.col(f"how_{name}") == "two ways",
        {"read": Say(tried("first_"), "cell"), "other": Say(tried("other_"), "cell")},
    ),
    Check(
        "unit-unknown",
        "held",
        _columns("weight", "length"),
        lambda name: pl.col(f"how_{name}") == "unit unknown",
    ),
    Check(
        "date-unreadable",
        "held",
        _columns("date"),
        lambda name: pl.col(f"how_{name}") == "unreadable",
        {"suggest": Say(column("today"), "date")},
    ),
)

REGISTRY = (
    Check(
        "site-unknown",
        "held",
        _columns("site"),
        lambda _: pl.col("site_how") == "unknown",
        {"nearest": Say(column("site_nearest"))},
    ),
    Check(
        "rows-of-other-garden",
        "held",
        _columns("site"),
        lambda _: ~pl.col("site").is_in(pl.col("sender_gardens")),
        {"other": Say(lambda _: pl.col("sender_gardens").list.join(", "))},
    ),
    Check(
        "plot-unknown",
        "held",
        _only("plot", *_PLOT_SHEETS),
        lambda _: pl.col("site").is_not_null() & pl.col("sent_plot").is_not_null() & ~pl.col("plot_known"),
        {"plots": Say(column("garden_plots"))},
    ),
    Check(
        "tag-unknown",
        "question",
        _only("treatment", "planting"),
        lambda _: pl.col("plot_known") & pl.col("sent_treatment").is_not_null() & pl.col("tag").is_null(),
        {"treatments": Say(column("trial_tags"))},
    ),
    Check(
        "tag-differs",
        "question",
        _only("treatment", "planting"),
        lambda _: pl.col("tag") != pl.col("in_ground"),
        {"expected": Say(column("in_ground"))},
    ),
)

SEASON = (
    Check(
        "date-in-future",
        "held",
        _columns("date"),
        lambda _: pl.col("date") > pl.col("today"),
        {"date": Say(column("date"), "date")},
    ),
    Check(
        "date-out-of-season",
        "held",
        _only("date", *_PLOT_SHEETS),
        lambda _: (
            (pl.col("days_outside") > pl.col("days_outside_allowed")) & (pl.col("date") <= pl.col("today"))
        ),
        {
            "date": Say(column("date"), "date"),
            "start": Say(column("start"), "date"),
            "end": Say(column("close"), "date"),
        },
    ),
)

_SAME_PICKING = ["file", "tab", "site", "plot", "date", "picking"]
_PICKED = ["marketable_count", "marketable_weight", "cull_count", "cull_weight", "stage"]
_NAMED = pl.all_horizontal(pl.col("site", "plot", "date").is_not_null())
_COPY = pl.struct(*_SAME_PICKING, *_PICKED).is_duplicated() & _NAMED
_IN_KEY = pl.struct(*_SAME_PICKING).is_duplicated() & _NAMED
_KINDS_IN_KEY = pl.struct(*_PICKED).n_unique().over(_SAME_PICKING)

KEYS = (
    Check(
        "picking-twice-in-file",
        "held",
        _only("plot", "harvest"),
        lambda _: _IN_KEY & (_KINDS_IN_KEY > 1),
        {
            "date": Say(column("date"), "date"),
            "read": Say(column("marketable_weight"), "weight"),
            "read_b": Say(lambda _: _other_in_key("marketable_weight"), "weight"),
            "other": Say(lambda _: _other_in_key("line")),
        },
    ),
    Check(
        "row-repeated",
        "note",
        _only("plot", "harvest"),
        lambda _: _COPY & (pl.col("line") > pl.col("line").min().over([*_SAME_PICKING, *_PICKED])),
        {"other": Say(lambda _: pl.col("line").min().over([*_SAME_PICKING, *_PICKED]))},
    ),
)


def _other_in_key(name: str) -> pl.Expr:
    """Return the value of another row with the same key: the last one's, for the last the first one's."""
    first, last = pl.col(name).first().over(_SAME_PICKING), pl.col(name).last().over(_SAME_PICKING)
    return pl.when(pl.col("line") == pl.col("line").last().over(_SAME_PICKING)).then(first).otherwise(last)


RANGES = (
    Check(
        "number-negative",
        "held",
        _columns(*NUMBER_KINDS),
        lambda name: pl.col(name) < 0,
        {"read": Say(tried(), "cell")},
    ),
    Check(
        "count-not-whole",
        "held",
        _columns("count"),
        lambda name: (pl.col(name) - pl.col(name).round()).abs() > 0.001,
    ),
    Check(
        "percent-over-hundred",
        "held",
        _columns("percent"),
        lambda name: pl.col(name) > 100,
        {"read": Say(tried(), "number")},
    ),
)

_EACH_KG = pl.col("marketable_weight") / pl.col("marketable_count")
_LOW_KG, _HIGH_KG = pl.col("fruit_mass_low_g") / 1000, pl.col("fruit_mass_high_g") / 1000
_IMPOSSIBLE = (pl.col("marketable_count") > 0) & (
    (_EACH_KG > HARD_FACTOR * _HIGH_KG) | (_EACH_KG < _LOW_KG / HARD_FACTOR)
)


def _fits(meant: str) -> pl.Expr:
    """Return whether the number as typed, read in another unit, gives a usual weight for each fruit."""
    return (_read_in(meant) / pl.col("marketable_count")).is_between(_LOW_KG, _HIGH_KG)


def _read_in(unit: str) -> pl.Expr:
    """Return the weight as if the number had been typed in this unit."""
    written = pl.col("meant_marketable_weight").replace_strict(KG_PER_UNIT, return_dtype=pl.Float64)
    return pl.col("marketable_weight") / written * KG_PER_UNIT[unit]


_UNITS_THAT_FIT = pl.sum_horizontal([_fits(unit).cast(pl.UInt8) for unit in KG_PER_UNIT])
_SUGGESTED_KG = pl.coalesce([pl.when(_fits(unit)).then(_read_in(unit)) for unit in KG_PER_UNIT])

UNITS = (
    Check(
        "weight-no-unit",
        "question",
        _columns("weight"),
        lambda name: (
            pl.col(name).is_not_null() & ~pl.col(f"has_unit_{name}") & pl.col(f"unit_{name}").is_null()
        ),
        {"unit": Say(tried("meant_"))},
        once_per=("file", "tab"),
    ),
    Check(
        "weight-unit-slip",
        "held",
        _only("marketable_weight", "harvest"),
        lambda _: _IMPOSSIBLE & (_UNITS_THAT_FIT == 1) & (pl.col("marketable_weight") > 0),
        {
            "date": Say(column("date"), "date"),
            "crop": Say(column("crop")),
            "fruits": Say(column("marketable_count"), "fruits"),
            "each": Say(lambda _: _EACH_KG, "weight"),
            "low": Say(lambda _: _LOW_KG, "weight"),
            "high": Say(lambda _: _HIGH_KG, "weight"),
            "suggest": Say(lambda _: _SUGGESTED_KG, "weight"),
        },
    ),
)

CATALOGUE: tuple[Check, ...] = READING + REGISTRY + SEASON + KEYS + RANGES + UNITS
