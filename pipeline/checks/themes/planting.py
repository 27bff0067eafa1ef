"""Planting sheets: tags against the map, graft unions, hardening off, planting days, numbers of plants."""

import polars as pl

from pipeline.checks.check import Check, Say, column
from pipeline.checks.themes.looks_at import only

#: Height of a graft union above the soil, cm: 2.5 cm (1 inch) or more keeps it clear of soil and mulch. From
#: memory of grafting guides; the rule never to bury a union is common to all of them.
UNION_CM = 2.5

#: Days in which plants get used to the outdoors, from and to; from memory of grafting guides.
HARDENED_DAYS = (4, 7)

#: Plants by which a plot may differ from the plan in silence. Common practice, no source.
PLANTS_OFF = 1

#: How a note says that young plants are covered, in English and Spanish.
_COVERED = (
    r"(?i)\b(?:cover|cloche|tunnel|fleece|blanket|cold frame|hoop"
    r"|cubiert|cubr|tap(?:ad|amos|é)|manta|t[uú]nel)"
)

_FILE = ("file", "tab")


def _shows(name: str) -> pl.Expr:
    return pl.col("plot_known") & pl.col(f"sent_{name}").is_not_null()


def _is_early() -> pl.Expr:
    return (
        pl.col("is_planting")
        & pl.col("tender")
        & (pl.col("date") < pl.col("late_freeze"))
        & ~pl.col("note").fill_null("").str.contains(_COVERED)
    )


def _is_off_plan(name: str) -> pl.Expr:
    off = (pl.col(name) - pl.col("plants_per_plot")).abs() > PLANTS_OFF
    return pl.col("is_planting") & (off | (pl.col(name) == 0))


def _with_partner(found: pl.DataFrame, rows: pl.DataFrame) -> pl.DataFrame:
    """Return the rows found with the plot that each traded places with, and what its tag shows."""
    partner = rows.select(
        pl.col("row").alias("traded_with"), pl.col("plot").alias("plot_b"), pl.col("treatment").alias("other")
    )
    return found.join(partner, on="traded_with", how="left", maintain_order="left")


_DATE = {"date": Say(column("date"), "date")}
_PLOT = only("treatment", "planting")
_UNION = only("union_cm", "planting")

CHECKS = (
    Check(
        "tag-unknown",
        "question",
        _PLOT,
        lambda name: _shows(name) & pl.col("tag").is_null(),
        {"treatments": Say(column("trial_tags"))},
    ),
    Check(
        "tag-differs",
        "question",
        _PLOT,
        lambda _: (pl.col("tag") != pl.col("in_ground")) & pl.col("traded_with").is_null(),
        {"expected": Say(column("in_ground"))},
    ),
    Check(
        "tags-swapped",
        "question",
        _PLOT,
        lambda _: pl.col("traded_with") > pl.col("row"),
        {"plot_b": Say(column("plot_b")), "other": Say(column("other"))},
        more=_with_partner,
    ),
    Check(
        "union-buried",
        "question",
        _UNION,
        lambda name: pl.col("is_grafted") & (pl.col(name) <= 0),
        {"read": Say(column("union_cm"), "length"), "low": Say(lambda _: pl.lit(UNION_CM), "length")},
    ),
    Check(
        "union-low",
        "note",
        _UNION,
        lambda name: pl.col("is_grafted") & (pl.col(name) > 0) & (pl.col(name) < UNION_CM),
        {"read": Say(column("union_cm"), "length"), "low": Say(lambda _: pl.lit(UNION_CM), "length")},
    ),
    Check(
        "union-missing",
        "question",
        _UNION,
        lambda name: pl.col("is_grafted") & (pl.col(f"how_{name}") == "blank") & pl.col("is_planting"),
        once_per=_FILE,
    ),
    Check(
        "union-on-own-root",
        "question",
        _UNION,
        lambda name: ~pl.col("is_grafted") & (pl.col(name) > 0),
        {"read": Say(column("union_cm"), "length")},
    ),
    Check(
        "hardening-short",
        "question",
        only("hardened_days", "planting"),
        lambda name: pl.col(name).is_between(0, HARDENED_DAYS[0], closed="left"),
        {
            "n": Say(column("hardened_days"), "number"),
            "low": Say(lambda _: pl.lit(HARDENED_DAYS[0]), "number"),
            "high": Say(lambda _: pl.lit(HARDENED_DAYS[1]), "number"),
        },
        once_per=_FILE,
    ),
    Check(
        "planted-before-freeze",
        "question",
        only("date", "planting"),
        lambda _: _is_early(),
        _DATE | {"late": Say(column("late_freeze"), "date")},
        once_per=("site", "season"),
    ),
    Check(
        "planted-twice",
        "question",
        only("date", "planting"),
        lambda _: pl.col("is_planting") & (pl.col("date") > pl.col("planted_on")),
        _DATE | {"date_b": Say(column("planted_on"), "date")},
        once_per=("plot_at",),
    ),
    Check(
        "plants-differ-from-plan",
        "question",
        only("plants", "planting"),
        _is_off_plan,
        {"expected": Say(column("plants_per_plot"), "number"), "n": Say(column("plants"), "number")},
        once_per=_FILE,
    ),
)
