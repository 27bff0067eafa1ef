"""A garden against the others of its network: its control's yield, and whether it picks while they do."""

import numpy as np
import numpy.typing as npt
import polars as pl

from pipeline.checks.check import Say, column
from pipeline.checks.context import Context
from pipeline.checks.lookup import looked_up
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.rows import SeasonRows
from pipeline.checks.usual import MAD_TO_SPREAD
from sites.geography.distances import earth_centred_km

#: Gardens that a network needs for one to be far off, and the spreads that are far. Common practice, no
#: source.
LEAST_GARDENS, FAR_SPREADS = 8, 3.5

#: A spread of log yields between gardens is never taken for less. Common practice, no source.
LEAST_SPREAD = 0.1

#: Gardens for each number that is to explain their yields. Common practice, no source; about ten are asked of
#: a regression that is to be believed, here a rough one is enough.
GARDENS_FOR_EACH = 4

#: Where a robust regression begins to trust a garden less, in spreads (Huber 1964, Annals of Mathematical
#: Statistics 35:73-101; 1.345 keeps 95 % efficiency under normal errors), and its steps.
HUBER, STEPS = 1.345, 30

#: Gardens near one that say whether it is time to pick, and the share of them that must have picked. Common
#: practice, no source.
NEAR_GARDENS, SHARE_PICKING = 10, 0.5

_TRIAL = ["season", "trial"]


def _controls_far_off(rows: SeasonRows) -> pl.DataFrame:
    """Return gardens whose control yields far from what heat, rain and planting day make likely.

    Yields are compared to the same day of the season: each garden's to its own last picking, against the
    middle of the others that picked at least as long.
    """
    yields = _control_yields(rows)
    cases = [
        _far_off(of_trial, rows)
        for _, of_trial in yields.sort(*_TRIAL, "garden_at").group_by(_TRIAL, maintain_order=True)
        if of_trial.height >= LEAST_GARDENS
    ]
    empty = {"garden_at": pl.UInt32, "read": pl.Float64, "low": pl.Float64, "high": pl.Float64}
    return pl.concat([pl.DataFrame(schema=empty), *cases])


def _control_yields(rows: SeasonRows) -> pl.DataFrame:
    """Return for each garden its control's kilograms per plant to its last day, and the others' to then."""
    controls = rows.plots.filter("is_control").select("plot_at", "garden_at", *_TRIAL, "site", "plants")
    plants = controls.group_by("garden_at").agg(pl.col("plants").sum(), pl.col("site", *_TRIAL).first())
    picked = rows.harvest.select("garden_at", "date", "is_control", "marketable_weight")
    daily = (
        picked.filter("is_control")
        .group_by("garden_at", "date")
        .agg(pl.col("marketable_weight").sum().alias("kg"))
    )
    daily = looked_up(daily, plants, ["garden_at"]).filter(pl.col("plants") > 0).sort("garden_at", "date")
    summed = daily.with_columns((pl.col("kg").cum_sum().over("garden_at") / pl.col("plants")).alias("yield"))
    last = summed.group_by("garden_at", maintain_order=True).agg(
        pl.col("yield", "date", "site", *_TRIAL).last()
    )
    days = last.select(*_TRIAL, pl.col("date").alias("day")).unique()
    others = last.select(*_TRIAL, "garden_at", pl.col("date").alias("last")).join(
        days, on=_TRIAL, how="inner"
    )
    others = others.filter(pl.col("last") >= pl.col("day")).sort("day")
    to_day = others.join_asof(
        summed.select("garden_at", "date", "yield").sort("date"),
        left_on="day",
        right_on="date",
        by="garden_at",
        strategy="backward",
        check_sortedness=False,
    )
    middle = to_day.group_by(*_TRIAL, "day").agg(
        pl.col("yield").filter(pl.col("yield") > 0).median().alias("middle"), pl.len().alias("gardens")
    )
    told = looked_up(last.rename({"date": "day"}), middle, [*_TRIAL, "day"])
    return told.filter(
        (pl.col("yield") > 0) & (pl.col("middle") > 0) & (pl.col("gardens") >= LEAST_GARDENS // 2)
    )


def _far_off(gardens: pl.DataFrame, rows: SeasonRows) -> pl.DataFrame:
    apart = (gardens["yield"] / gardens["middle"]).log().to_numpy()
    expected = _expected(apart, _explaining(gardens, rows))
    spread = max(
        MAD_TO_SPREAD * float(np.median(np.abs(apart - expected - np.median(apart - expected)))), LEAST_SPREAD
    )
    middle = gardens["middle"].to_numpy()
    cases = gardens.select("garden_at", pl.col("yield").alias("read")).with_columns(
        pl.Series("low", middle * np.exp(expected - spread)),
        pl.Series("high", middle * np.exp(expected + spread)),
        pl.Series("is_far", np.abs(apart - expected) > FAR_SPREADS * spread),
    )
    return cases.filter("is_far").drop("is_far")


def _explaining(gardens: pl.DataFrame, rows: SeasonRows) -> npt.NDArray[np.float64]:
    """Return what may explain the yields, gardens by numbers, centred; no more than the gardens can bear."""
    planted = rows.plots.group_by("garden_at").agg(
        pl.col("planted_on").min().dt.ordinal_day().cast(pl.Float64).alias("planted")
    )
    told = looked_up(looked_up(gardens, planted, ["garden_at"]), rows.context.weather, ["site", "season"])
    weather = [name for name in rows.context.weather.columns if name not in ("site", "season")]
    columns: list[npt.NDArray[np.float64]] = []
    for name in ("planted", *weather):
        values = told[name].cast(pl.Float64).to_numpy().astype(float)
        away = (
            np.nan_to_num(values - np.nanmedian(values))
            if not np.isnan(values).all()
            else np.zeros(len(values))
        )
        if away.any() and len(values) >= GARDENS_FOR_EACH * (len(columns) + 2):
            columns.append(away / np.abs(away).max())
    return np.column_stack([np.ones(gardens.height), *columns])


def _expected(
    values: npt.NDArray[np.float64], explaining: npt.NDArray[np.float64]
) -> npt.NDArray[np.float64]:
    """Return what a robust regression expects: least squares, reweighted by Huber's weights."""
    weights = np.ones(len(values))
    fitted = np.full(len(values), np.median(values))
    for _ in range(STEPS):
        off = values - fitted
        scale = max(MAD_TO_SPREAD * float(np.median(np.abs(off - np.median(off)))), 1e-9)
        weights = np.minimum(1.0, HUBER * scale / np.maximum(np.abs(off), 1e-12))
        root = np.sqrt(weights)
        solution = np.linalg.lstsq(explaining * root[:, None], values * root, rcond=None)[0]
        fitted = explaining @ solution
    return fitted


def _not_picking(rows: SeasonRows) -> pl.DataFrame:
    """Return gardens that sent no picking for a while, while most gardens near them pick."""
    context = rows.context
    today = context.today
    gardens = rows.plots.group_by("garden_at").agg(pl.col("site", *_TRIAL, "start", "close").first())
    taking_part = context.gardens.filter("takes_part").select("site", "lon", "lat")
    open_now = gardens.join(taking_part, on="site", how="inner").filter(
        pl.lit(today).is_between(pl.col("start"), pl.col("close"))
    )
    picked = rows.harvest.select("garden_at", "date").filter(pl.col("date") <= today)
    days = picked.group_by("garden_at").agg(
        pl.col("date").max().alias("last"), pl.col("date").min().alias("first")
    )
    known = looked_up(open_now, days, ["garden_at"]).sort(*_TRIAL, "garden_at")
    known = known.with_columns(pl.col("first").min().over(_TRIAL).alias("began"))
    cases = [
        _quiet(of_trial, rows)
        for _, of_trial in known.filter(pl.col("began").is_not_null()).group_by(_TRIAL, maintain_order=True)
    ]
    return pl.concat([pl.DataFrame(schema={"garden_at": pl.UInt32, "n": pl.Int64}), *cases])


def _quiet(gardens: pl.DataFrame, rows: SeasonRows) -> pl.DataFrame:
    """Return the gardens of one trial that are quiet without being away, and for how many days."""
    context = rows.context
    today = pl.lit(context.today)
    since = gardens.with_columns(pl.coalesce("last", "began").alias("since"))
    told = looked_up(since, _days_away(since, context), ["garden_at"]).with_columns(
        (today - pl.col("since")).dt.total_days().alias("quiet")
    )
    picks = told.select(pl.col("last").is_not_null() & (pl.col("quiet") < context.late_days)).to_series()
    is_picking = picks.to_numpy()
    share = [float(is_picking[others].mean()) if others else 0.0 for others in _near(told)]
    late = told.with_columns(
        (pl.col("quiet") - pl.col("away").fill_null(0)).cast(pl.Int64).alias("n"),
        pl.Series("share", share, pl.Float64),
    ).filter(
        (pl.col("n") >= context.late_days) & (pl.col("share") >= SHARE_PICKING) & ~context.is_away(today)
    )
    return late.select("garden_at", "n")


def _days_away(since: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return how many of the days since its last picking each garden was away."""
    spans = since.select("garden_at", "site", "since").join(context.absences, on="site", how="inner")
    last = pl.min_horizontal(pl.col("to"), pl.lit(context.today))
    first = pl.max_horizontal(pl.col("from"), pl.col("since").dt.offset_by("1d"))
    days = ((last - first).dt.total_days() + 1).clip(0)
    return spans.group_by("garden_at").agg(days.sum().alias("away"))


def _near(gardens: pl.DataFrame) -> list[list[int]]:
    """Return for each garden the places of those nearest to it; of one without coordinates, all others."""
    from scipy.spatial import cKDTree

    points = earth_centred_km(gardens["lon"].to_numpy(), gardens["lat"].to_numpy())
    placed = np.flatnonzero(np.isfinite(points).all(axis=1))
    near = {at: [other for other in range(gardens.height) if other != at] for at in range(gardens.height)}
    if len(placed) > 1:
        most = min(NEAR_GARDENS + 1, len(placed))
        found = np.asarray(cKDTree(points[placed]).query(points[placed], k=most)[1])
        near |= {
            int(at): [int(other) for other in placed[others] if other != at][:NEAR_GARDENS]
            for at, others in zip(placed, found, strict=True)
        }
    return [near[at] for at in range(gardens.height)]


CHECKS = (
    SeasonCheck(
        "control-far-off",
        "question",
        "harvest",
        "marketable_weight",
        _controls_far_off,
        {
            "read": Say(column("read"), "weight"),
            "low": Say(column("low"), "weight"),
            "high": Say(column("high"), "weight"),
        },
    ),
    SeasonCheck(
        "no-picking-lately", "question", "harvest", "date", _not_picking, {"n": Say(column("n"), "number")}
    ),
)
