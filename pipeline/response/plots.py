"""A plot's season: picking rows and looks in, totals with their completeness out.

A season total is the sum of recorded pickings and is never scaled up. Dead plants stay in the
denominator. A plot that was never picked has no total: that is not a zero, unless its plants were seen dead
of something that the treatment might have prevented.
"""

from typing import Any

import pandas as pd

from pipeline.response.loss_causes import NOT_THE_TREATMENT
from pipeline.response.plot_looks import plot_looks, survival
from pipeline.response.plot_pickings import (
    PLOT,
    counting_pickings,
    picking_counts,
    picking_totals,
    usual_stage,
)
from pipeline.settings import Answer

#: Looks of a season in which nobody looked.
NO_LOOKS = pd.DataFrame(
    {
        "site": pd.Series(dtype="str"),
        "plot": pd.Series(dtype="str"),
        "date": pd.Series(dtype="datetime64[us]"),
        "alive": pd.Series(dtype="float64"),
        "height_cm": pd.Series(dtype="float64"),
        "severity_pct": pd.Series(dtype="float64"),
        "problem": pd.Series(dtype="str"),
    }
)


def plot_seasons(
    layout: pd.DataFrame,
    harvest: pd.DataFrame,
    planting: pd.DataFrame,
    condition: pd.DataFrame = NO_LOOKS,
    *,
    control: str,
    completeness: float = 0.8,
    early_days: int = 21,
    harvest_stage: str = "mature",
) -> pd.DataFrame:
    """Return one row per plot of the layout with its season's totals.

    `layout` has site, block, plot, in_ground, plants_per_plot and, where it is known, treatment (as
    assigned); `harvest`, `planting` and `condition` are rows that count. Weights are in kg, heights in cm. A
    plot is `used` where it has a weight on at least the share `completeness` of the garden's own picking
    days and its block has such plots of the control and of a treatment. `stages_differ` says that the
    garden's treatments were not picked at the same maturity, `harvest_stage` where a row names none.
    """
    plots = _laid_out(layout)
    plots = plots.merge(_planted(planting), on=PLOT, how="left", validate="one_to_one")
    plots["plants"] = plots["plants"].fillna(plots["plants_per_plot"].astype("float64"))
    plots = plots.merge(plot_looks(condition), on=PLOT, how="left", validate="one_to_one")
    plots["lost_to"] = plots["lost_to"].fillna("").astype("str")
    pickings = counting_pickings(harvest, plots)
    for part in (
        picking_counts(pickings, plots, early_days),
        picking_totals(pickings),
        usual_stage(pickings, harvest_stage),
    ):
        plots = plots.merge(part, on=PLOT, how="left", validate="one_to_one")
    counted = ["pickings_expected", "pickings_received"]
    plots[counted] = plots[counted].fillna(0).astype("Int64")
    plots = _outcomes(_with_dead_plots(plots), completeness)
    plots["stages_differ"] = _stages_differ(plots)
    plots["why_not"] = _why_not(plots, control, completeness)
    plots["used"] = plots["why_not"] == ""
    return plots.sort_values(["site", "block", "plot"], ignore_index=True)


def season_plots(
    trial: Any,
    answer: Answer,
    layout: pd.DataFrame,
    *,
    harvest: pd.DataFrame,
    planting: pd.DataFrame,
    condition: pd.DataFrame,
) -> pd.DataFrame:
    """Return `plot_seasons` by the network's settings; `trial` is a row of the registry's trials."""
    return plot_seasons(
        layout,
        harvest,
        planting,
        condition,
        control=trial.control,
        completeness=answer.completeness,
        early_days=answer.early_days,
        harvest_stage=trial.harvest_stage,
    )


def _laid_out(layout: pd.DataFrame) -> pd.DataFrame:
    plots = layout[["site", "block", "plot", "in_ground", "plants_per_plot"]]
    plots = plots.rename(columns={"in_ground": "treatment"})
    assigned = layout["treatment"] if "treatment" in layout else layout["in_ground"]
    return plots.assign(assigned=assigned)


def _planted(planting: pd.DataFrame) -> pd.DataFrame:
    """Return when each plot was planted and with how many plants; later replacements add none."""
    first = planting[~planting["event"].fillna("").isin(["replaced", "thinned"])]
    return (
        first.groupby(PLOT)
        .agg(planted_on=("date", "min"), plants=("plants", "first"))
        .reset_index()
        .astype({"plants": "float64", "planted_on": "datetime64[us]"})
    )


def _with_dead_plots(plots: pd.DataFrame) -> pd.DataFrame:
    """Return the plots with a yield of 0 where all plants were dead before the garden's first picking.

    Leaving such plots out would credit a treatment with its survivors only.
    """
    began = plots.groupby("site")["first_harvest"].transform("min")
    dead = (plots["dead_on"] <= began) & ~plots["lost_to"].isin(NOT_THE_TREATMENT)
    gave_nothing = dead & plots["marketable_kg"].isna()
    totals = ("marketable_kg", "marketable_fruits", "early_kg")
    zero = {name: plots[name].mask(gave_nothing, 0.0) for name in totals}
    return plots.assign(**zero)


def _outcomes(plots: pd.DataFrame, completeness: float) -> pd.DataFrame:
    early = _share(plots, "early_received", "early_expected") >= completeness
    return plots.assign(
        marketable_kg_per_plant=plots["marketable_kg"] / plots["plants"],
        marketable_kg_per_survivor=(plots["marketable_kg"] / plots["alive"]).where(plots["alive"] > 0),
        marketable_fruits_per_plant=plots["marketable_fruits"] / plots["plants"],
        early_kg_per_plant=(plots["early_kg"] / plots["plants"]).where(early),
        days_to_first_harvest=(plots["first_harvest"] - plots["planted_on"]).dt.days.astype("float64"),
        survival=survival(plots),
        last_share=(plots["last_kg"].fillna(0.0) / plots["marketable_kg"]).where(plots["marketable_kg"] > 0),
    )


def _share(plots: pd.DataFrame, received: str, expected: str) -> pd.Series:
    """Return the share of expected picking days received: 1 where a dead plot had none to wait for."""
    waited = plots[expected].astype("float64").fillna(0.0)
    share = plots[received].astype("float64").fillna(0.0) / waited.where(waited > 0)
    return share.mask((waited == 0) & plots["dead_on"].notna(), 1.0).fillna(0.0)


def _stages_differ(plots: pd.DataFrame) -> pd.Series:
    """Return whether the treatments of the plot's garden were picked at different stages most of the time."""
    picked = plots[plots["stage"].notna()]
    times = picked.groupby(["site", "treatment", "stage"]).size().rename("times").reset_index()
    order = ["site", "treatment", "times", "stage"]
    usual = times.sort_values(order, ascending=[True, True, False, True])
    usual = usual.drop_duplicates(["site", "treatment"])
    first = usual.groupby("site")["stage"].transform("first")
    return plots["site"].isin(usual["site"][usual["stage"] != first])


def _why_not(plots: pd.DataFrame, control: str, completeness: float) -> pd.Series:
    """Return why a plot does not enter the answer, blank where it does."""
    why = pd.Series("", index=plots.index, dtype="str")
    never = plots["marketable_kg"].isna()
    few = ~never & (_share(plots, "pickings_received", "pickings_expected") < completeness)
    why = why.mask(never, "no weight recorded").mask(
        few, f"weighed on fewer than {completeness:.0%} of picking days"
    )
    for cause in NOT_THE_TREATMENT:
        why = why.mask(plots["lost_to"] == cause, f"lost to {cause}")
    complete = plots[why == ""]
    block = [complete["site"], complete["block"]]
    has_control = (complete["treatment"] == control).groupby(block).transform("any")
    has_treatment = (complete["treatment"] != control).groupby(block).transform("any")
    return why.mask(
        ~has_control.reindex(plots.index, fill_value=True), "no complete control plot in its block"
    ).mask(~has_treatment.reindex(plots.index, fill_value=True), "no complete treatment plot in its block")


def without_last_pickings(plots: pd.DataFrame) -> pd.DataFrame:
    """Return the plots with the weight of routine pickings only, for the answer without the last picking."""
    left = (1 - plots["last_share"]).fillna(1.0)
    return plots.assign(marketable_kg_per_plant=plots["marketable_kg_per_plant"] * left)


def harvest_curves(plots: pd.DataFrame, harvest: pd.DataFrame) -> pd.DataFrame:
    """Return marketable kg per plant adding up over picking days, the mean of a garden's plots."""
    weighed = counting_pickings(harvest, plots)
    weighed = weighed[weighed["marketable_weight"].notna()]
    rows = weighed.merge(plots[[*PLOT, "treatment", "plants"]], on=PLOT, how="inner", validate="many_to_one")
    rows = rows.assign(per_plant=rows["marketable_weight"] / rows["plants"])
    counted = plots[plots["marketable_kg"].notna()].groupby(["site", "treatment"])["plot"].nunique()
    daily = rows.groupby(["site", "treatment", "date"])["per_plant"].sum()
    mean = daily / counted.reindex(daily.index.droplevel("date")).to_numpy()
    total = mean.groupby(level=["site", "treatment"]).cumsum()
    return total.rename("marketable_kg_per_plant").reset_index()
