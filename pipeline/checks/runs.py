"""Values that stand in row after row, as when a cell is copied down."""

from collections.abc import Sequence

import polars as pl

from pipeline.checks.lookup import looked_up, looked_up_by_number

#: Rows of a run from which we ask. Common practice, no source.
LEAST_RUN = 4

#: A run is only asked about where fewer than one in so many files would have one by chance, given how often
#: its values come up: a scale that rounds to half a pound repeats itself. Common practice, no source.
CHANCE = 0.01

#: Significant digits of a value by itself, or fruits beside it, that make it one that does not repeat.
LEAST_DIGITS, LEAST_COUNT = 2, 3

_FILE = ["file", "tab"]


def with_runs(rows: pl.DataFrame, column: str, beside: Sequence[str] = ()) -> pl.DataFrame:
    """Return the rows with `run_<column>` and `run_end_<column>`, null but where a run begins.

    They are how many rows from here on hold the same value, and the line of the last, of a run that is worth
    a question. `beside` names a count: a value of one digit is told by it. Zero and copies of a whole row
    make no run.
    """
    found = _runs(rows, column, beside)
    named = found.rename({"run": f"run_{column}", "run_end": f"run_end_{column}"})
    return looked_up_by_number(rows, named, "row")


def _runs(rows: pl.DataFrame, column: str, beside: Sequence[str]) -> pl.DataFrame:
    value, count = pl.col(column), pl.col(beside[0]) if beside else pl.lit(0.0)
    same = (value == value.shift(1)) & (value > 0)
    for name in _FILE:
        same &= pl.col(name).eq_missing(pl.col(name).shift(1))
    follows = rows.select(same.fill_null(value=False)).to_series()
    nothing = pl.DataFrame(schema={"row": pl.UInt32, "run": pl.UInt32, "run_end": pl.UInt32})
    if not follows.any():
        return nothing
    has_run = follows & follows.shift(1) & follows.shift(2)
    if not has_run.any():
        return nothing
    files = rows.filter(has_run.fill_null(value=False)).select(_FILE).unique()
    repeated = pl.col("first_line").is_not_null() if "first_line" in rows.columns else pl.lit(value=False)
    of_files = (
        rows.select(
            "row",
            *_FILE,
            "line",
            value.alias("value"),
            count.alias("count"),
            pl.col(f"sent_{column}").alias("sent"),
            repeated.alias("is_copy"),
        )
        .with_columns((~follows).cum_sum().alias("at"))
        .join(files, on=_FILE, how="semi", nulls_equal=True, maintain_order="left")
    )
    runs = of_files.group_by(*_FILE, "at", maintain_order=True).agg(
        pl.col("row").first(),
        pl.len().alias("run"),
        pl.col("line").last().alias("run_end"),
        pl.col("value").first(),
        pl.col("count").max(),
        pl.col("sent").first(),
        pl.col("is_copy").any(),
    )
    telling = (_digits(pl.col("sent")) >= LEAST_DIGITS) | (pl.col("count") >= LEAST_COUNT)
    return (
        looked_up(runs, _chances(runs), _FILE)
        .filter(
            (pl.col("run") >= LEAST_RUN)
            & telling
            & ~pl.col("is_copy")
            & (pl.col("rows") * pl.col("chance") ** (pl.col("run") - 1) < CHANCE)
        )
        .select("row", pl.col("run").cast(pl.UInt32), pl.col("run_end").cast(pl.UInt32))
    )


def _chances(runs: pl.DataFrame) -> pl.DataFrame:
    """Return for each file how many rows it has and how likely two rows outside runs hold the same value."""
    by_file = runs.group_by(_FILE).agg(pl.col("run").sum().alias("rows"))
    single = runs.filter((pl.col("run") < LEAST_RUN) & (pl.col("value") > 0))
    often = single.group_by(*_FILE, "value").agg(pl.col("run").sum().alias("n"))
    total = pl.col("n").sum()
    chance = often.group_by(_FILE).agg(((pl.col("n") / total) ** 2).sum().alias("chance"))
    return looked_up(by_file, chance, _FILE).with_columns(pl.col("chance").fill_null(0.0))


def _digits(sent: pl.Expr) -> pl.Expr:
    """Return the significant digits of a number as typed."""
    bare = sent.str.replace_all(r"[^0-9]", "")
    return bare.str.strip_chars("0").str.len_chars()
