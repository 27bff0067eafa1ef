"""Findings with one cause taken together, the most important questions first.

A column that is off in 412 rows is one thing to mend, not 412.
"""

from dataclasses import dataclass
from typing import Any

import polars as pl

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.check import Level
from pipeline.checks.names import column_name
from pipeline.checks.pairs import without_mirrored
from pipeline.checks.words import quoted
from pipeline.words import translate

#: Questions that are put first; the rest are counted and listed. A volunteer answers a few, not a page.
FIRST_QUESTIONS = 5

#: Findings of a group that are shown.
SHOWN = 5

#: Checks whose cause is the word that was sent: the same unknown garden in all rows is one cause.
_BY_WORD = (
    *("site-unknown", "site-read-as", "plot-unknown", "plot-of-other-garden", "plot-turned-date"),
    *("tag-unknown", "stage-unread", "unit-unknown", "column-unknown", "formula-broken"),
)
_LEVELS: dict[Level, int] = {"held": 0, "question": 1, "note": 2}
_WHOLE = frozenset(check.name for check in CATALOGUE if "file" in check.once_per)
_CAUSE = ["file", "tab", "sheet", "check", "column", "cause", "garden_of_it"]


@dataclass(frozen=True)
class Group:
    """Findings with one cause.

    `findings` are the first of them, as rows of a findings frame, `n` is how many there are. `cause` is the
    word that was sent where that is the cause, else blank. `is_first` tells whether the group is among the
    few that are put first.
    """

    check: str
    level: Level
    file: int | None
    tab: str | None
    sheet: str | None
    column: str | None
    cause: str
    n: int
    findings: tuple[dict[str, Any], ...]
    is_first: bool


def group(findings: pl.DataFrame) -> list[Group]:
    """Return the groups of a findings frame, the most important first.

    Rows that wait come before questions and these before notes; what is asked once for a whole file before
    single rows, then what touches more rows, then the order of the file. At most five groups that want an
    answer are first. Findings without a file are grouped by garden. Two findings that name each other's lines
    are one question; the first stands for both.
    """
    findings = without_mirrored(findings, ["file", "tab", "sheet"])
    by_word = pl.when(pl.col("check").is_in(_BY_WORD)).then(pl.col("sent").str.to_lowercase())
    told = findings.with_columns(
        by_word.fill_null("").alias("cause"),
        pl.when(pl.col("file").is_null()).then("site").alias("garden_of_it"),
        pl.col("level").replace_strict(_LEVELS, return_dtype=pl.Int64).alias("rank"),
        pl.col("check").is_in(_WHOLE).alias("is_whole"),
    ).with_row_index("at")
    groups = told.group_by(_CAUSE, maintain_order=True).agg(
        pl.len().alias("n"),
        pl.col("at").head(SHOWN),
        pl.col("rank", "level", "is_whole", "sent").first(),
    )
    order = ["rank", "is_whole", "n"]
    ordered = groups.sort(order, descending=[False, True, True], maintain_order=True)
    wanted = pl.col("rank") < _LEVELS["note"]
    ordered = ordered.with_columns((wanted & (wanted.cum_sum() <= FIRST_QUESTIONS)).alias("is_first"))
    return [_group(row, findings) for row in ordered.to_dicts()]


def _group(row: dict[str, Any], findings: pl.DataFrame) -> Group:
    shared = {
        name: row[name] for name in ("check", "level", "file", "tab", "sheet", "column", "n", "is_first")
    }
    cause = row["sent"] if row["cause"] else ""
    return Group(**shared, cause=cause, findings=tuple(findings[at].to_dicts()[0] for at in row["at"]))


def heading(group: Group, language: str = "en") -> str:
    """Return the line above the findings of a group: what they share and how many there are."""
    named = column_name(group.column, language) if group.column else ""
    what = " ".join(part for part in (named, f"“{quoted(group.cause)}”" if group.cause else "") if part)
    said = translate(language)
    if group.n > len(group.findings):
        line = said.gettext("{what}: {n} rows, the first {shown} are below.")
    else:
        line = said.ngettext("{what}: 1 row, shown below.", "{what}: {n} rows, shown below.", group.n)

    return line.format(
        what=what or said.gettext("the same thing"), n=f"{group.n:,}", shown=len(group.findings)
    )
