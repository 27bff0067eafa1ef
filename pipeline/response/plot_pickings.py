"""The pickings of plots: which of them count, what they add up to, how complete they are."""

import numpy as np
import pandas as pd

#: A plot of one trial and season, by these columns.
PLOT = ["site", "plot"]

#: The event of the picking that strips a plot at the season's end.
LAST = "last"


def counting_pickings(harvest: pd.DataFrame, plots: pd.DataFrame) -> pd.DataFrame:
    """Return the harvest rows of `plots` that count, with `is_last` and the plot's block.

    A last picking takes every fruit, ripe or not. It counts only where every plot of its block that was
    picked this season was stripped on that day; else it would favour the plots that were.
    """
    rows = harvest.merge(plots[[*PLOT, "block"]], on=PLOT, how="inner", validate="many_to_one")
    event = rows["event"].fillna("") if "event" in rows else pd.Series("", index=rows.index)
    rows = rows.assign(is_last=(event == LAST).to_numpy())
    weighed = rows[rows["marketable_weight"].notna()]
    in_block = weighed.groupby(["site", "block"])["plot"].nunique()
    stripped = weighed[weighed["is_last"]].groupby(["site", "block", "date"])["plot"].nunique()
    whole = stripped == in_block.reindex(stripped.index.droplevel("date")).to_numpy()
    days = pd.MultiIndex.from_frame(rows[["site", "block", "date"]])
    return rows[~rows["is_last"] | days.isin(whole.index[whole])].reset_index(drop=True)


def picking_counts(pickings: pd.DataFrame, plots: pd.DataFrame, early_days: int) -> pd.DataFrame:
    """Return for each plot the picking days of its garden and those on which it was weighed.

    `plots` has `dead_on`, the day from which no plant lived: after it nothing can be picked, so these days
    are not waited for. The same is counted for the garden's early days. Columns: site, plot,
    pickings_expected, pickings_received, early_expected, early_received, early_kg.
    """
    days = pickings.assign(is_early=early(pickings, early_days))[["site", "date", "is_early"]]
    expected = plots[[*PLOT, "dead_on"]].merge(days.drop_duplicates(), on="site", how="inner")
    living = expected[expected["dead_on"].isna() | (expected["date"] < expected["dead_on"])]
    weighed = pickings[pickings["marketable_weight"].notna()]
    weighed_early = weighed[early(pickings, early_days).reindex(weighed.index)]
    counts = {
        "pickings_expected": living.groupby(PLOT)["date"].nunique(),
        "pickings_received": weighed.groupby(PLOT)["date"].nunique(),
        "early_expected": living[living["is_early"]].groupby(PLOT)["date"].nunique(),
        "early_received": weighed_early.groupby(PLOT)["date"].nunique(),
        "early_kg": weighed_early.groupby(PLOT)["marketable_weight"].sum(min_count=1),
    }
    return plots[PLOT].join(pd.DataFrame(counts).astype("float64"), on=PLOT)


def early(pickings: pd.DataFrame, early_days: int) -> pd.Series:
    """Return which pickings are of the first days after their garden's first marketable one."""
    bears = (pickings["marketable_weight"] > 0) | (pickings["marketable_count"] > 0)
    first = pickings["date"].where(bears).groupby(pickings["site"]).transform("min")
    return pickings["date"] < first + pd.Timedelta(days=early_days)


def picking_totals(pickings: pd.DataFrame) -> pd.DataFrame:
    """Return each plot's sums over its recorded pickings, never scaled up; what has no record is missing.

    Columns: site, plot, marketable_kg, marketable_fruits, last_kg, mean_fruit_mass_g, marketable_share,
    first_harvest.
    """
    weight, count = pickings["marketable_weight"], pickings["marketable_count"]
    both = weight.notna() & (count > 0)
    culled = pickings["cull_weight"].notna() & weight.notna()
    table = pickings[PLOT].assign(
        marketable_kg=weight,
        marketable_fruits=count,
        last_kg=weight.where(pickings["is_last"]),
        kg_of_counted=weight.where(both),
        fruits_of_weighed=count.where(both),
        kg_beside_culls=weight.where(culled),
        cull_kg=pickings["cull_weight"].where(culled),
        first_harvest=pickings["date"].where((weight > 0) | (count > 0)),
    )
    by_plot = table.groupby(PLOT)
    sums = by_plot[[name for name in table.columns if name not in (*PLOT, "first_harvest")]].sum(min_count=1)
    sums["first_harvest"] = by_plot["first_harvest"].min()
    share = sums["kg_beside_culls"] / (sums["kg_beside_culls"] + sums["cull_kg"])
    return sums.assign(
        mean_fruit_mass_g=1000 * sums["kg_of_counted"] / sums["fruits_of_weighed"],
        marketable_share=share.replace([np.inf, -np.inf], np.nan),
    ).reset_index()


def usual_stage(pickings: pd.DataFrame, harvest_stage: str) -> pd.DataFrame:
    """Return for each plot the maturity at which it was picked most often: site, plot, stage.

    A blank stage is the trial's own. Of two equally frequent stages the first in the alphabet stands.
    """
    stage = pickings["stage"].fillna("") if "stage" in pickings else pd.Series("", index=pickings.index)
    said = pickings[PLOT].assign(stage=stage.where(stage != "", harvest_stage).to_numpy())
    times = said.groupby([*PLOT, "stage"]).size().rename("times").reset_index()
    times = times.sort_values([*PLOT, "times", "stage"], ascending=[True, True, False, True])
    return times.drop_duplicates(PLOT)[[*PLOT, "stage"]]
