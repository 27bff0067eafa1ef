"""Running checks over rows: findings out, and which rows they hold.

The same function serves one file or the files of a whole night: one file is a batch of one.
"""

from collections.abc import Iterator, Sequence

import polars as pl

from pipeline.checks.check import Check

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


def find(sheet: str, rows: pl.DataFrame, checks: Sequence[Check]) -> pl.DataFrame:
    """Return the findings of all checks over the rows of one kind of sheet, in the order of the rows.

    `rows` are typed rows with their context. All conditions are evaluated in one pass.
    """
    pairs = list(_applying(sheet, checks))
    if not pairs or rows.is_empty():
        return pl.DataFrame(schema=FINDINGS)
    hits = rows.select(
        [
            check.condition(name).fill_null(value=False).alias(str(at))
            for at, (check, name) in enumerate(pairs)
        ]
    )
    hit = hits.select(pl.all().any()).row(0)
    found = [
        _findings(sheet, rows, hits[str(at)], check, name)
        for at, (check, name) in enumerate(pairs)
        if hit[at]
    ]
    if not found:
        return pl.DataFrame(schema=FINDINGS)
    return pl.concat(found).sort("file", "tab", "line", maintain_order=True)


def _applying(sheet: str, checks: Sequence[Check]) -> Iterator[tuple[Check, str]]:
    for check in checks:
        for name in check.columns.get(sheet, ()):
            yield check, name


def _findings(sheet: str, rows: pl.DataFrame, mask: pl.Series, check: Check, name: str) -> pl.DataFrame:
    """Return the findings of one check on one column; values over groups are taken over all rows."""
    said = [say.value(name).alias(word) for word, say in check.say.items()]
    details = pl.struct(said).struct.json_encode() if said else pl.lit("{}")
    plot = pl.col("plot") if "plot" in rows.columns else pl.lit(None, pl.String)
    found = rows.select(
        "file",
        "tab",
        pl.lit(sheet).alias("sheet"),
        "row",
        "line",
        pl.lit(name).alias("column"),
        pl.lit(check.name).alias("check"),
        pl.lit(check.level).alias("level"),
        "site",
        "garden",
        plot.alias("plot"),
        "season",
        pl.col(f"sent_{name}").alias("sent"),
        details.alias("details"),
    ).filter(mask)
    return found.unique(check.once_per, keep="first", maintain_order=True) if check.once_per else found


def held_rows(findings: pl.DataFrame) -> pl.Series:
    """Return the places of rows that are not used until mended."""
    return findings.filter(pl.col("level") == "held")["row"].unique()
