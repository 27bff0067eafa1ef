"""The checks of a season, run over all rows that count."""

from collections.abc import Mapping, Sequence

import polars as pl

from pipeline.checks.context import Context
from pipeline.checks.finding import FINDINGS, as_findings, details_of, with_gardens, with_words
from pipeline.checks.lookup import looked_up
from pipeline.checks.season import crossings, gardens, missing, network, plots, scales, stages
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows, season_rows

SEASON_CATALOGUE: tuple[SeasonCheck, ...] = (
    *scales.CHECKS,
    *plots.CHECKS,
    *missing.CHECKS,
    *crossings.CHECKS,
    *stages.CHECKS,
    *gardens.CHECKS,
    *network.CHECKS,
)

#: What a cause that is asked about in a garden explains there: one cause is one question.
_EXPLAINS = {
    "weights-keep-growing": "plant-yield-high plant-fruits-high copied-down plots-cross-over control-far-off",
    "bucket-in-weight": "weight-kg-for-lb-season weight-scale-changed plant-yield-high control-far-off",
    "weight-kg-for-lb-season": "weight-scale-changed plant-yield-high control-far-off",
    "weight-scale-changed": "plant-yield-high control-far-off",
}

_PLACES = {"file": pl.UInt32, "tab": pl.String, "line": pl.UInt32}


def find_season(
    rows_by_sheet: Mapping[str, pl.DataFrame],
    context: Context,
    *,
    held: pl.DataFrame | None = None,
    checks: Sequence[SeasonCheck] = SEASON_CATALOGUE,
) -> pl.DataFrame:
    """Return the findings over all rows that count, one for each cause and garden or plot of a season.

    `rows_by_sheet` holds, by kind of sheet, the sheet's columns with season, weights in kg and lengths in cm;
    file, tab and line where they are known. `held` has site, season, plot and date of rows that wait: a plot
    with one is not missing. Columns are those of `checks.run.FINDINGS`; file, tab, row and line are null
    where no one row shows it, `row` is the place in the frame of its sheet. The same rows give the same
    findings in the same order, whatever their own order: site, season, check and plot name a finding.
    """
    rows = season_rows(rows_by_sheet, context, held)
    found = [pl.DataFrame(schema=FINDINGS)]
    for check in checks:
        cases = check.cases(rows)
        if not cases.is_empty():
            found.append(_findings(cases, check, rows, rows_by_sheet))
    told = with_gardens(pl.concat(found), context).sort(
        "site", "season", "check", "plot", nulls_last=True, maintain_order=True
    )
    return _without_explained(told)


def _without_explained(found: pl.DataFrame) -> pl.DataFrame:
    """Return the findings without those that another one about the same garden and season explains."""
    pairs = [(cause, effect) for cause, effects in _EXPLAINS.items() for effect in effects.split()]
    explains = pl.DataFrame(pairs, schema=["cause", "check"], orient="row")
    causes = found.select("site", "season", pl.col("check").alias("cause")).unique()
    explained = causes.join(explains, on="cause", how="inner").drop("cause")
    return found.join(explained, on=["site", "season", "check"], how="anti", maintain_order="left")


def _findings(
    cases: pl.DataFrame, check: SeasonCheck, rows: SeasonRows, sent: Mapping[str, pl.DataFrame]
) -> pl.DataFrame:
    placed = _with_row(_with_plot(cases, rows), sent.get(check.sheet))
    details = details_of(check.say, check.column or "")
    worded = with_words(placed, details.roots, rows.context)
    return as_findings(worded, check, check.sheet, check.column, details.expression)


def _with_plot(cases: pl.DataFrame, rows: SeasonRows) -> pl.DataFrame:
    """Return the cases with garden, season and plot, from the plot or from the trial of a garden."""
    layout = rows.context.layout
    if "plot_at" in cases.columns:
        told = layout.select("plot_at", "site", "season", pl.col("layout_plot").alias("plot"))
        return looked_up(cases.drop("site", "season", "plot", strict=False), told, ["plot_at"])
    first = layout.unique("garden_at", keep="first", maintain_order=True)
    told = first.select("garden_at", "site", "season", "crop", "trial")
    blank = [pl.lit(None, pl.UInt32).alias("plot_at"), pl.lit(None, pl.String).alias("plot")]
    whole = looked_up(cases.drop("site", "season", strict=False), told, ["garden_at"])
    return whole.with_columns(each for each in blank if each.meta.output_name() not in cases.columns)


def _with_row(cases: pl.DataFrame, sent: pl.DataFrame | None) -> pl.DataFrame:
    """Return the cases with the file and line of the row that shows them, where one does."""
    if "row" not in cases.columns or sent is None:
        blank = {"row": pl.UInt32, **_PLACES}
        return cases.with_columns(pl.lit(None, kind).alias(name) for name, kind in blank.items())
    place = sent.drop("row", strict=False).with_row_index("row")
    known = [name for name, kind in _PLACES.items() if name in place.columns and _fits(place[name], kind)]
    told = place.select("row", *(pl.col(name).cast(_PLACES[name]) for name in known))
    missing = [pl.lit(None, kind).alias(name) for name, kind in _PLACES.items() if name not in known]
    return looked_up(cases, told, ["row"]).with_columns(missing)


def _fits(values: pl.Series, kind: type[pl.DataType]) -> bool:
    return values.dtype.is_integer() if kind == pl.UInt32 else values.dtype == pl.String
