"""Marketable weight of every plot adding up through the season."""

import pandas as pd

#: Columns that name a plot.
_PLOT = ["site", "plot"]


def plot_curves(plots: pd.DataFrame, harvest: pd.DataFrame) -> pd.DataFrame:
    """Return marketable kg per planted plant of each plot, adding up over its weighed pickings.

    Columns: site, plot, date, marketable_kg_per_plant. A picking that was not weighed adds no point: a blank
    is not zero.
    """
    weighed = harvest[harvest["marketable_weight"].notna()]
    rows = weighed.merge(plots[[*_PLOT, "plants"]], on=_PLOT, how="inner", validate="many_to_one")
    daily = (
        (rows["marketable_weight"] / rows["plants"]).groupby([rows[name] for name in (*_PLOT, "date")]).sum()
    )
    total = daily.groupby(level=_PLOT).cumsum()
    return total.rename("marketable_kg_per_plant").reset_index()
