"""The middle half of the other gardens: between what weights half of them lay, week by week, unnamed."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import pandas as pd
from numpy.typing import NDArray

#: Quantiles of the middle half.
_LOW, _HIGH = 0.25, 0.75
#: How long a total still stands after the garden's last picking: to the end of that week.
_WEEK = pd.Timedelta(days=6)
#: Other gardens from which a middle half can be told without pointing at one of them.
LEAST_OTHERS = 5


@dataclass(frozen=True)
class GardenTotals:
    """What every garden had given by each week, in order, so that any one of them is left out at once.

    `ordered` has a row per date and in it the gardens' totals, kg per plant, the least first and blanks last.
    `rank` says where in the row each of `gardens` stands, −1 where it is blank. `without` holds the totals of
    the others for a garden that alone was the first or the last to pick: without it the weeks are other ones.
    """

    dates: pd.DatetimeIndex
    gardens: pd.Index
    ordered: NDArray[np.float64]
    rank: NDArray[np.int32]
    without: Mapping[str, "GardenTotals"] = field(default_factory=dict)

    def rank_of(self, site: str) -> NDArray[np.int32]:
        """Return where a garden stands on each date, −1 where it has no total."""
        if site not in self.gardens:
            return np.full(len(self.dates), -1, dtype=np.int32)
        own: NDArray[np.int32] = self.rank[:, self.gardens.get_loc(site)]
        return own


def garden_totals(curves: pd.DataFrame) -> GardenTotals:
    """Return what every garden had given by each week, from its first weighed picking to its last.

    `curves` has site, treatment, date and marketable_kg_per_plant (a frame of harvest curves); a garden
    stands for the mean of its treatments. Weeks are counted from the first picking of all gardens; the day of
    the last one ends them.
    """
    whole = _by_week(curves)
    others = {site: _by_week(curves[curves["site"] != site]) for site in _alone_at_an_end(curves)}
    return GardenTotals(whole.dates, whole.gardens, whole.ordered, whole.rank, others)


def middle_half(totals: GardenTotals, without: str) -> pd.DataFrame:
    """Return between what two weights the middle half of the other gardens lay, week by week.

    `without` is the garden that is compared. Columns: date, low, high, kg per plant. A week with fewer than
    `LEAST_OTHERS` other gardens is left out, and the frame is empty where there is none.
    """
    weeks = totals.without.get(without, totals)
    own = weeks.rank_of(without)
    others = np.isfinite(weeks.ordered).sum(axis=1) - (own >= 0)
    enough = others >= LEAST_OTHERS
    low, high = (
        _quantile(weeks.ordered[enough], own[enough], others[enough], share) for share in (_LOW, _HIGH)
    )
    return pd.DataFrame({"date": weeks.dates[enough], "low": low, "high": high})


def _quantile(
    ordered: NDArray[np.float64], own: NDArray[np.int32], others: NDArray[np.intp], share: float
) -> NDArray[np.float64]:
    """Return a quantile of each row without its own value (Hyndman and Fan 1996, definition 7)."""
    at = share * (others - 1)
    below = np.floor(at).astype(np.intp)

    def other(place: NDArray[np.intp]) -> NDArray[np.float64]:
        skipped = (own >= 0) & (place >= own)
        values: NDArray[np.float64] = ordered[np.arange(len(ordered)), place + skipped]
        return values

    low, high = other(below), other(np.minimum(below + 1, others - 1))
    return low + (high - low) * (at - below)


def _alone_at_an_end(curves: pd.DataFrame) -> set[str]:
    """Return the gardens that no other picked as early as, or as late as."""
    days = curves.groupby("site")["date"].agg(["min", "max"])
    ends = (days.index[days["min"] == days["min"].min()], days.index[days["max"] == days["max"].max()])
    return {str(sites[0]) for sites in ends if len(sites) == 1}


def _by_week(curves: pd.DataFrame) -> GardenTotals:
    if curves.empty:
        nothing = np.empty((0, 0))
        return GardenTotals(
            pd.DatetimeIndex([], dtype="datetime64[us]"), pd.Index([]), nothing, nothing.astype(np.int32)
        )
    totals = _totals_on(curves, _weeks(curves))
    values = totals.to_numpy()
    order = values.argsort(axis=1)
    rank = order.argsort(axis=1).astype(np.int32)
    return GardenTotals(
        pd.DatetimeIndex(totals.index),
        totals.columns,
        np.take_along_axis(values, order, axis=1),
        np.where(np.isnan(values), np.int32(-1), rank),
    )


def _weeks(curves: pd.DataFrame) -> pd.DatetimeIndex:
    first, last = curves["date"].min(), curves["date"].max()
    return pd.date_range(first, last, freq="7D", unit="us").union([last])


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
