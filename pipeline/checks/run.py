"""Running checks over rows: findings out, and which rows they hold.

The same function serves one file or the files of a whole night: one file is a batch of one.
"""

from collections.abc import Iterator, Sequence
from typing import Protocol

import polars as pl

from pipeline.checks.check import Check, Level, Say
from pipeline.checks.context import Context
from pipeline.intake.sheets import NUMBER_KINDS, sheets

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

#: What every finding takes from its row.
_OF_ROW = ("file", "tab", "row", "line", "site", "plot", "plot_at", "season")
#: What is looked up for the rows found, by garden, by plot and by crop.
_OF_PLOT = ("block", "trial", "crop", "control", "in_ground", "assigned")


class Named(Protocol):
    """A check of any kind."""

    @property
    def name(self) -> str:
        """The name of its words."""

    @property
    def level(self) -> Level:
        """How serious it is."""


def find(
    sheet: str, rows: pl.DataFrame, pool: pl.DataFrame, checks: Sequence[Check], context: Context
) -> pl.DataFrame:
    """Return the findings of all checks over the rows of one kind of sheet, in the order of the rows.

    `rows` are typed rows in their place and with what is usual; `pool` has the rows that count already beside
    them. All conditions are evaluated in one pass.
    """
    pairs = list(_applying(sheet, rows, checks))
    if not pairs or rows.is_empty():
        return pl.DataFrame(schema=FINDINGS)
    conditions = [
        check.condition(name).fill_null(value=False).alias(str(at)) for at, (check, name) in enumerate(pairs)
    ]
    hits = rows.lazy().select(conditions).collect()
    hit = hits.select(pl.all().any()).row(0)
    found = [
        _findings(sheet, rows.filter(hits[str(at)]), pool, check, name, context)
        for at, (check, name) in enumerate(pairs)
        if hit[at]
    ]
    if not found:
        return pl.DataFrame(schema=FINDINGS)
    return pl.concat(found).sort("file", "tab", "line", maintain_order=True)


def _applying(sheet: str, rows: pl.DataFrame, checks: Sequence[Check]) -> Iterator[tuple[Check, str]]:
    """Yield the checks of a sheet with each column that they try, where the reader gives what they need."""
    for check in checks:
        for name in check.columns.get(sheet, ()):
            if all(needed.format(name) in rows.columns for needed in check.needs):
                yield check, name


def _findings(
    sheet: str, found: pl.DataFrame, pool: pl.DataFrame, check: Check, name: str, context: Context
) -> pl.DataFrame:
    """Return the findings of one check on one column."""
    if check.once_per:
        sent = pl.col(f"sent_{name}") if name else pl.lit(None, pl.String)
        found = found.with_columns(sent.alias("sent"))
        found = found.unique(check.once_per, keep="first", maintain_order=True)
    if check.more is not None:
        found = check.more(found, pool)
    missing = [pl.lit(None, pl.String).alias(each) for each in ("plot",) if each not in found.columns]
    missing += [pl.lit(None, pl.UInt32).alias("plot_at")] if "plot_at" not in found.columns else []
    worded = with_words(found.with_columns(missing), context)
    return finished(worded, check, sheet, name, _with_reading(sheet, check, name))


def with_words(found: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows found with the words that messages use: of the garden, the plot and the crop."""
    wanted = [name for name in _OF_PLOT if name not in found.columns]
    layout = context.layout.select("plot_at", *wanted)
    crops = context.crops.select("crop", *(name for name in context.crops.columns if name != "crop"))
    return (
        found.join(layout, on="plot_at", how="left", maintain_order="left")
        .join(context.gardens.drop("lon", "lat"), on="site", how="left", maintain_order="left")
        .join(crops, on="crop", how="left", maintain_order="left")
        .join(context.trial_tags, on="trial", how="left", maintain_order="left")
    )


def _with_reading(sheet: str, check: Check, name: str) -> dict[str, Say]:
    """Return what a check says; of a number it is always said how it was read."""
    kinds = {column.name: column.kind for column in sheets()[sheet].columns}
    if "read" in check.say or kinds.get(name) not in (*NUMBER_KINDS, "date"):
        return dict(check.say)
    read = Say(lambda column: pl.col(column), "date" if kinds[name] == "date" else "cell")
    return dict(check.say) | {"read": read}


def finished(
    found: pl.DataFrame, check: Named, sheet: str, name: str | None, say: dict[str, Say]
) -> pl.DataFrame:
    """Return rows found as findings."""
    said = [_encoded(each, name or "").alias(word) for word, each in say.items()]
    details = pl.struct(said).struct.json_encode() if said else pl.lit("{}")
    sent = f"sent_{name}"
    return found.select(
        "file",
        "tab",
        pl.lit(sheet).alias("sheet"),
        "row",
        "line",
        pl.lit(name or None, pl.String).alias("column"),
        pl.lit(check.name).alias("check"),
        pl.lit(check.level).alias("level"),
        "site",
        "garden",
        "plot",
        "season",
        (pl.col(sent) if sent in found.columns else pl.lit(None, pl.String)).alias("sent"),
        details.alias("details"),
    )


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
    return value


def held_rows(findings: pl.DataFrame) -> pl.Series:
    """Return the places of rows that are not used until mended."""
    return findings.filter(pl.col("level") == "held")["row"].unique()
