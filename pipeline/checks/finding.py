"""What a finding is: where it stands, which check made it, and what its message needs."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Protocol

import polars as pl

from pipeline.checks.check import Level, Say
from pipeline.checks.context import Context
from pipeline.checks.lookup import looked_up, looked_up_at, with_blanks, with_same

#: Columns of a findings frame. `row` is the row's place in the frame that was checked, `details` what the
#: message needs, as JSON.
FINDINGS: dict[str, type[pl.DataType]] = {
    "file": pl.UInt32,
    "tab": pl.String,
    "sheet": pl.String,
    "row": pl.UInt32,
    "line": pl.UInt32,
    "column": pl.String,
    "check": pl.String,
    "level": pl.String,
    "site": pl.String,
    "garden": pl.String,
    "plot": pl.String,
    "season": pl.String,
    "sent": pl.String,
    "details": pl.String,
}

#: A findings frame without findings.
NO_FINDINGS = pl.DataFrame(schema=FINDINGS)

#: Digits of a weight that a finding keeps.
SURE_DIGITS = 9

#: What every finding takes from its row.
OF_ROW = ("file", "tab", "row", "line", "site", "plot", "season")

#: What messages may need besides, looked up for the rows found: by plot, by crop, by trial and by garden.
_OF_PLOT = ("block", "trial", "crop", "control", "in_ground", "assigned")
_OF_CROP = ("crop_en", "crop_es", "one_en", "many_en", "one_es", "many_es")
_OF_GARDEN = ("garden_plots",)


class Named(Protocol):
    """A check of any kind."""

    @property
    def name(self) -> str:
        """The name of its words."""

    @property
    def level(self) -> Level:
        """How serious it is."""


@dataclass(frozen=True)
class Details:
    """What a message needs, as one JSON text, and the columns that it is made of."""

    expression: pl.Expr
    roots: frozenset[str]


def details_of(say: Mapping[str, Say], name: str) -> Details:
    """Return what a check says about a column."""
    said = [_encoded(each, name).alias(word) for word, each in say.items()]
    if not said:
        return Details(pl.lit("{}"), frozenset())
    whole = pl.struct(said)
    return Details(whole.struct.json_encode(), frozenset(whole.meta.root_names()))


def _encoded(say: Say, name: str) -> pl.Expr:
    """Return a value as it is kept: with its word in both languages where it is counted or named."""
    value = say.value(name)
    if say.kind == "fruits":
        nouns = [
            pl.when(value == 1).then(f"one_{language}").otherwise(f"many_{language}").alias(language)
            for language in ("en", "es")
        ]
        return pl.when(value.is_not_null()).then(pl.struct(value.alias("n"), *nouns))
    if say.kind == "crop":
        return pl.struct(pl.col("crop_en").alias("en"), pl.col("crop_es").alias("es"))
    if say.kind == "date":
        return value.cast(pl.Date).dt.to_string("iso")
    if say.kind == "weight":
        # Sums and medians of the same rows are the same on any machine to this many digits.
        return value.cast(pl.Float64).round_sig_figs(SURE_DIGITS)
    return value


def with_words(found: pl.DataFrame, needed: Collection[str], context: Context) -> pl.DataFrame:
    """Return the rows found with the words that their messages need: of plot, crop, trial and garden."""
    kinds = {"plot": pl.String, "season": pl.String, "plot_at": pl.UInt32}
    found = with_blanks(found, {name: kind for name, kind in kinds.items() if name not in found.columns})
    lacking = set(needed) - set(found.columns)
    asks_crop, asks_tags = not lacking.isdisjoint(_OF_CROP), "trial_tags" in lacking
    leads_on = {"crop": asks_crop, "trial": asks_tags}
    of_plot = [name for name in _OF_PLOT if name in lacking or leads_on.get(name, False)]
    if lacks := [name for name in of_plot if name not in found.columns]:
        found = looked_up_at(found, context.layout[lacks], "plot_at")
    if asks_crop:
        found = looked_up(found, context.crops, ["crop"])
    if not lacking.isdisjoint(_OF_GARDEN):
        found = looked_up(found, context.gardens[["site", *_OF_GARDEN]], ["site"])
    return looked_up(found, context.trial_tags, ["trial"]) if asks_tags else found


def as_findings(
    found: pl.DataFrame, check: Named, sheet: str, name: str | None, details: pl.Expr
) -> pl.DataFrame:
    """Return rows found as findings; the name of their garden is still to be looked up."""
    said = found.select("line", details.alias("details"))
    own = {"sheet": sheet, "column": name or None, "check": check.name, "level": check.level, "garden": None}
    same = with_same(said, own, pl.String)
    if "sent" not in found.columns:
        same = with_blanks(same, {"sent": pl.String})
    return pl.DataFrame(
        [(same if column in same.columns else found).get_column(column) for column in FINDINGS]
    )


def with_gardens(findings: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return findings with the names of their gardens."""
    named = [context.names.get(site) for site in findings["site"].to_list()]
    return findings.with_columns(pl.Series("garden", named, pl.String))
