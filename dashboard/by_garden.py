"""The rows of a frame, found by the garden that they are about: a page of one garden reads no other's."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray


@dataclass(frozen=True)
class ByGarden:
    """A frame, and where the rows of each garden stand in it.

    `starts` has, for each of `gardens` and one past the last, where its positions begin in `order`; `order`
    is None where the rows of each garden stand together in the frame, as they mostly do.
    """

    rows: pd.DataFrame
    gardens: pd.Index
    starts: NDArray[np.intp]
    order: NDArray[np.int32] | None

    def of(self, site: str) -> pd.DataFrame:
        """Return the rows of a garden, in the order of the frame; none where it has none."""
        if site not in self.gardens:
            return self.rows.iloc[:0]
        at = self.gardens.get_loc(site)
        own = slice(self.starts[at], self.starts[at + 1])
        return self.rows.iloc[own] if self.order is None else self.rows.take(self.order[own])

    def of_several(self, sites: Iterable[str]) -> pd.DataFrame:
        """Return the rows of several gardens, garden by garden as they are named."""
        known = [at for at in self.gardens.get_indexer(list(sites)) if at >= 0]
        if not known:
            return self.rows.iloc[:0]
        if self.order is None and known == list(range(known[0], known[0] + len(known))):
            # Neighbours in the frame are one stretch of it, which need not be copied.
            return self.rows.iloc[self.starts[known[0]] : self.starts[known[-1] + 1]]
        positions = np.concatenate([np.arange(self.starts[at], self.starts[at + 1]) for at in known])
        return self.rows.take(positions if self.order is None else self.order[positions])


def by_garden(rows: pd.DataFrame) -> ByGarden:
    """Return `rows` by their `site`, or by each garden that their `sites` name; the frame itself is kept."""
    named = _named(rows)
    codes, gardens = pd.factorize(named)
    known = codes >= 0
    sorted_at = codes[known].argsort(kind="stable")
    order = named.index.to_numpy()[known][sorted_at]
    starts = codes[known][sorted_at].searchsorted(np.arange(len(gardens) + 1))
    stand_together = np.array_equal(order, np.arange(len(rows)))
    return ByGarden(rows, pd.Index(gardens), starts, None if stand_together else order.astype(np.int32))


def _named(rows: pd.DataFrame) -> pd.Series:
    """Return the gardens that the rows name, by the position of the row."""
    if "site" in rows:
        return rows["site"].reset_index(drop=True)
    words = rows["sites"].reset_index(drop=True).str.replace(",", " ").str.split().explode()
    return words[~words.reset_index().duplicated().to_numpy()]
