"""Marketable weight of every plot adding up through the season, and what most gardens had by then."""

import pandas as pd

#: Columns that name a plot.
_PLOT = ["site", "plot"]
#: Quantiles of the middle half.
_LOW, _HIGH = 0.25, 0.75
#: How long a total still stands after the garden's last picking: to the end of that week.
_WEEK = pd.Timedelta(days=6)
#: Other gardens from which a middle half can be told without pointing at one of them.
LEAST_OTHERS = 5


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


def middle_half(curves: pd.DataFrame, without: str) -> pd.DataFrame:
    """Return between what two weights the middle half of the other gardens lay, week by week.

    `curves` has site, treatment, date and marketable_kg_per_plant (a frame of harvest curves); a garden
    stands for the mean of its treatments. `without` is the garden that is compared. Columns: date, low,
    high. A garden counts from its first weighed picking to its last; a week with fewer than `LEAST_OTHERS`
    other gardens is left out, and the frame is empty where there is none.
    """
    nothing = pd.DataFrame({"date": pd.Series(dtype="datetime64[us]"), "low": [], "high": []})
    others = curves[curves["site"] != without]
    if others.empty:
        return nothing
    weekly = pd.date_range(others["date"].min(), others["date"].max(), freq="7D", unit="us")
    dates = weekly.union([others["date"].max()])
    totals = _totals_on(others, dates)
    has_enough = totals.notna().sum(axis=1) >= LEAST_OTHERS
    known = totals[has_enough]
    if known.empty:
        return nothing
    low, high = (known.quantile(share, axis=1) for share in (_LOW, _HIGH))
    return pd.DataFrame({"date": known.index, "low": low.to_numpy(), "high": high.to_numpy()})


def _totals_on(curves: pd.DataFrame, dates: pd.DatetimeIndex) -> pd.DataFrame:
    """Return each garden's total on each date, blank before its first weighed picking and after its last."""
    daily = curves.pivot_table(
        index="date", columns=["site", "treatment"], values="marketable_kg_per_plant", aggfunc="mean"
    )
    seen = daily.reindex(daily.index.union(dates)).ffill()
    mean = seen.T.groupby(level="site").mean().T.reindex(dates)
    last = curves.groupby("site")["date"].max().reindex(mean.columns)
    inside = dates.to_numpy()[:, None] <= (last + _WEEK).to_numpy()[None, :]
    return mean.where(inside)
