"""Soil tests: parts of a whole, and numbers that a garden's soil seldom has."""

import polars as pl

from pipeline.checks.check import Check, Say, always, column, tried, word
from pipeline.checks.themes.looks_at import only

_PARTS = ("sand_pct", "silt_pct", "clay_pct")

#: Percent by which sand, silt and clay may miss 100 before we say so, and before the row waits. Rounding of
#: three numbers explains 1 (Soil Survey Manual, chapter 3: the three fractions make up the fine earth); 5:
#: common practice, no source.
PARTS_ROUNDED, PARTS_OFF = 1.0, 5.0

#: pH beyond which no soil of a garden goes. Common practice, no source.
PH_LIMITS = (2.0, 11.0)

#: pH that is rare in a garden: below very strongly acid, above strongly alkaline (classes of the Soil Survey
#: Manual, chapter 3, USDA 2017); as limits for a question common practice, no source.
PH_RARE = (4.5, 8.5)
#: pH of most garden soils, for the reader. Common practice, no source.
PH_USUAL = (5.5, 7.5)

#: Percent of organic matter above which we ask, and what soil in the ground mostly has. Common practice, no
#: source.
ORGANIC_HIGH, ORGANIC_USUAL = 25.0, (1.0, 8.0)

#: Parts per million above which a nutrient may be pounds per acre, and what most gardens stay under. Common
#: practice, no source. Pounds per acre are about twice the parts per million of a six-inch sample, as an acre
#: of that depth weighs two million pounds: Liu, Li and Gazula, UF/IFAS Extension, HS1229.
NUTRIENT_HIGH = {"p_ppm": 1000.0, "k_ppm": 3000.0}
NUTRIENT_USUAL = {"p_ppm": 300.0, "k_ppm": 800.0}


def _off() -> pl.Expr:
    """Return how far sand, silt and clay are from 100; null unless all three are given."""
    return (pl.sum_horizontal(_PARTS, ignore_nulls=False) - 100).abs()


_SUM = {"read": Say(always(pl.sum_horizontal(_PARTS)), "number")}
_PH = only("ph", "soil")
_PH_SAYS = {
    "read": Say(tried(), "number"),
    "low": Say(always(pl.lit(PH_USUAL[0])), "number"),
    "high": Say(always(pl.lit(PH_USUAL[1])), "number"),
}

CHECKS = (
    Check("soil-parts-sum", "held", only("sand_pct", "soil"), lambda _: _off() > PARTS_OFF, _SUM),
    Check(
        "soil-parts-near",
        "note",
        only("sand_pct", "soil"),
        lambda _: _off().is_between(PARTS_ROUNDED, PARTS_OFF, closed="right"),
        _SUM,
    ),
    Check(
        "soil-ph-impossible",
        "held",
        _PH,
        lambda name: ~pl.col(name).is_between(*PH_LIMITS),
        _PH_SAYS
        | {
            "direction": Say(
                always(
                    pl.when(pl.col("ph") < PH_LIMITS[0])
                    .then(word("low", "bajo"))
                    .otherwise(word("high", "alto"))
                ),
                "word",
            )
        },
    ),
    Check(
        "soil-ph-unusual",
        "question",
        _PH,
        lambda name: pl.col(name).is_between(*PH_LIMITS) & ~pl.col(name).is_between(*PH_RARE),
        _PH_SAYS,
    ),
    Check(
        "soil-organic-high",
        "question",
        only("organic_matter_pct", "soil"),
        lambda name: pl.col(name).is_between(ORGANIC_HIGH, 100, closed="right"),
        {
            "read": Say(column("organic_matter_pct"), "number"),
            "low": Say(always(pl.lit(ORGANIC_USUAL[0])), "number"),
            "high": Say(always(pl.lit(ORGANIC_USUAL[1])), "percent"),
        },
    ),
    Check(
        "soil-nutrient-high",
        "question",
        {"soil": tuple(NUTRIENT_HIGH)},
        lambda name: pl.col(name) > NUTRIENT_HIGH[name],
        {
            "column": Say(lambda name: pl.lit(name), "column"),
            "read": Say(tried(), "number"),
            "high": Say(lambda name: pl.lit(NUTRIENT_USUAL[name]), "number"),
        },
    ),
)
