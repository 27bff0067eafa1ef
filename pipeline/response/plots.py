"""A plot's season: picking rows in, totals with their completeness out.

A season total is the sum of recorded pickings and is never scaled up. Dead plants stay in the
denominator. A plot that was never picked has no total: that is not a zero.
"""

import numpy as np
import pandas as pd

#: A plot of one trial and season, by these columns.
PLOT = ["site", "plot"]


def plot_seasons(
    layout: pd.DataFrame,
    harvest: pd.DataFrame,
    planting: pd.DataFrame,
    *,
    control: str,
    completeness: float = 0.8,
    early_days: int = 21,
) -> pd.DataFrame:
    """Return one row per plot of the layout with its season's totals.

    `layout` has site, block, plot, in_ground and plants_per_plot; `harvest` and `planting` are rows that
    count. Weights are in kg. A plot is `used` where it has a weight on at least the share `completeness`
    of the garden's own picking days and its block has such plots of the control and of a treatment.
    """
    plots = layout[["site", "block", "plot", "in_ground", "plants_per_plot"]].rename(
        columns={"in_ground": "treatment"}
    )
    plots = plots.merge(_planted(planting), on=PLOT, how="left", validate="one_to_one")
    plots["plants"] = plots["plants"].fillna(plots["plants_per_plot"].astype("float64"))
    pickings = harvest.merge(plots[PLOT], on=PLOT, how="inner", validate="many_to_one")
    plots = plots.merge(_pickings(pickings), on=PLOT, how="left", validate="one_to_one")
    plots = plots.merge(_totals(pickings, early_days), on=PLOT, how="left", validate="one_to_one")
    counted = ["pickings_expected", "pickings_received"]
    days = pickings.groupby("site")["date"].nunique()
    plots["pickings_expected"] = plots["site"].map(days)
    plots[counted] = plots[counted].fillna(0).astype("Int64")
    plots["marketable_kg_per_plant"] = plots["marketable_kg"] / plots["plants"]
    plots["marketable_fruits_per_plant"] = plots["marketable_fruits"] / plots["plants"]
    plots["early_kg_per_plant"] = plots["early_kg"] / plots["plants"]
    plots["days_to_first_harvest"] = (plots["first_harvest"] - plots["planted_on"]).dt.days.astype("float64")
    plots["why_not"] = _why_not(plots, control, completeness)
    plots["used"] = plots["why_not"] == ""
    return plots.sort_values(["site", "block", "plot"], ignore_index=True)


def _planted(planting: pd.DataFrame) -> pd.DataFrame:
    """Return when each plot was planted and with how many plants; later replacements add none."""
    first = planting[~planting["event"].fillna("").isin(["replaced", "thinned"])]
    return (
        first.groupby(PLOT)
        .agg(planted_on=("date", "min"), plants=("plants", "first"))
        .reset_index()
        .astype({"plants": "float64", "planted_on": "datetime64[us]"})
    )


def _pickings(pickings: pd.DataFrame) -> pd.DataFrame:
    """Return on how many days each plot has a weight; a visit without a weight is not one of them."""
    weighed = pickings[pickings["marketable_weight"].notna()]
    received = weighed.groupby(PLOT)["date"].nunique().rename("pickings_received")
    return received.reset_index()


def _totals(pickings: pd.DataFrame, early_days: int) -> pd.DataFrame:
    weight, count = pickings["marketable_weight"], pickings["marketable_count"]
    bears = (weight > 0) | (count > 0)
    first = pickings["date"].where(bears).groupby(pickings["site"]).transform("min")
    is_early = pickings["date"] < first + pd.Timedelta(days=early_days)
    both = weight.notna() & (count > 0)
    culled = pickings["cull_weight"].notna() & weight.notna()
    table = pickings[PLOT].assign(
        marketable_kg=weight,
        marketable_fruits=count,
        early_kg=weight.where(is_early | weight.isna(), 0.0),
        kg_of_counted=weight.where(both),
        fruits_of_weighed=count.where(both),
        kg_beside_culls=weight.where(culled),
        cull_kg=pickings["cull_weight"].where(culled),
        first_harvest=pickings["date"].where(bears),
    )
    by_plot = table.groupby(PLOT)
    sums = by_plot[[name for name in table.columns if name not in (*PLOT, "first_harvest")]].sum(min_count=1)
    sums["first_harvest"] = by_plot["first_harvest"].min()
    mass_g = 1000 * sums["kg_of_counted"] / sums["fruits_of_weighed"]
    share = sums["kg_beside_culls"] / (sums["kg_beside_culls"] + sums["cull_kg"])
    return sums.assign(
        mean_fruit_mass_g=mass_g, marketable_share=share.replace([np.inf, -np.inf], np.nan)
    ).reset_index()


def _why_not(plots: pd.DataFrame, control: str, completeness: float) -> pd.Series:
    """Return why a plot does not enter the answer, blank where it does."""
    why = pd.Series("", index=plots.index, dtype="str")
    never = plots["marketable_kg"].isna()
    share = (
        (plots["pickings_received"] / plots["pickings_expected"].replace(0, pd.NA))
        .astype("float64")
        .fillna(0.0)
    )
    few = ~never & (share < completeness)
    why = why.mask(never, "no weight recorded").mask(
        few, f"weighed on fewer than {completeness:.0%} of picking days"
    )
    complete = plots[why == ""]
    block = [complete["site"], complete["block"]]
    has_control = (complete["treatment"] == control).groupby(block).transform("any")
    has_treatment = (complete["treatment"] != control).groupby(block).transform("any")
    return why.mask(
        ~has_control.reindex(plots.index, fill_value=True), "no complete control plot in its block"
    ).mask(~has_treatment.reindex(plots.index, fill_value=True), "no complete treatment plot in its block")


def harvest_curves(plots: pd.DataFrame, harvest: pd.DataFrame) -> pd.DataFrame:
    """Return marketable kg per plant adding up over picking days, the mean of a garden's plots."""
    weighed = harvest[harvest["marketable_weight"].notna()]
    rows = weighed.merge(plots[[*PLOT, "treatment", "plants"]], on=PLOT, how="inner", validate="many_to_one")
    rows = rows.assign(per_plant=rows["marketable_weight"] / rows["plants"])
    counted = plots[plots["marketable_kg"].notna()].groupby(["site", "treatment"])["plot"].nunique()
    daily = rows.groupby(["site", "treatment", "date"])["per_plant"].sum()
    mean = daily / counted.reindex(daily.index.droplevel("date")).to_numpy()
    total = mean.groupby(level=["site", "treatment"]).cumsum()
    return total.rename("marketable_kg_per_plant").reset_index()
