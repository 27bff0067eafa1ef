"""A published snapshot as one account sees it: every frame holds its own rows only.

Pages are given this in place of the snapshot, so that none can forget whose rows it shows.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, TypeVar

import pandas as pd

from dashboard.access.account import Account
from dashboard.access.rules import may, rule_of, sees_all_gardens
from dashboard.by_garden import by_garden
from dashboard.worked import Worked

Totals = TypeVar("Totals")

#: Gardens other than the reader's own from which their spread may be shown: of fewer, one could be guessed.
#: Common practice for small counts, as in the suppression of table cells under 5.
FEWEST_PEERS = 5


@dataclass(frozen=True)
class Seen:
    """A snapshot narrowed down to what `account` may see of it.

    `of_all` is what was worked out before of the rows of all gardens, whoever asked: it leaves this class
    only as a garden's own rows, or unnamed.
    """

    whole: Any
    account: Account
    of_all: Worked = field(default_factory=Worked)

    @property
    def id(self) -> int:
        """The snapshot's number."""
        return int(self.whole.id)

    @property
    def run(self) -> int:
        """The number of the run that made it."""
        return int(self.whole.run)

    @property
    def published(self) -> datetime:
        """When it came out, UTC."""
        moment: datetime = self.whole.published
        return moment

    @property
    def night(self) -> date:
        """The night it stands for."""
        night: date = self.whole.night
        return night

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame:
        """Return the rows of a frame that the account may see; without a rule for it, none."""
        rows: pd.DataFrame = self.whole.frame(name, trial, season)
        if not self._opens(name, trial, season):
            return rows.iloc[:0]
        if sees_all_gardens(self.account, "frame", name):
            return rows
        own = rows["site"].isin(self.account.gardens) if "site" in rows else rows["sites"].map(self._are_own)
        return rows[own.astype(bool)].reset_index(drop=True)

    def of_garden(
        self, name: str, site: str, trial: str | None = None, season: str | None = None
    ) -> pd.DataFrame:
        """Return the rows of a frame about one garden that the account may see, in the frame's order."""
        rows: pd.DataFrame = self.whole.frame(name, trial, season)
        sees_all = sees_all_gardens(self.account, "frame", name)
        if not self._opens(name, trial, season) or not (sees_all or site in self.account.gardens):
            return rows.iloc[:0]
        found = self.of_all.once(("by garden", name, trial, season), lambda: by_garden(rows)).of(site)
        if sees_all or "site" in rows:
            return found
        return found[found["sites"].map(self._are_own).astype(bool)]

    def _opens(self, name: str, trial: str | None, season: str | None) -> bool:
        """Return whether the account may see rows of this frame at all."""
        if not may(self.account, "frame", name):
            return False
        rule = rule_of("frame", name)
        is_shut_until_close = rule is not None and rule.until_close and self.account.role != "lead"
        return not (is_shut_until_close and self._runs(trial, season))

    def _are_own(self, sites: Any) -> bool:
        """Return whether a list of gardens, as text, names some and none but the reader's own."""
        named = set(sites.replace(",", " ").split()) if isinstance(sites, str) else set()
        return bool(named) and named <= set(self.account.gardens)

    def middle_half(
        self, name: str, column: str, by: list[str], trial: str | None = None, season: str | None = None
    ) -> pd.DataFrame:
        """Return the middle half of a column over the gardens that are not the reader's own, unnamed.

        One row per combination of `by`: those columns, `low` and `high` (first and third quartile of the
        gardens' means) and `gardens`, how many stand behind it. A combination with fewer than
        `FEWEST_PEERS` other gardens has no row. The rows of a running trial cannot be parted by treatment.
        """
        rows: pd.DataFrame = self.whole.frame(name, trial, season)
        if not may(self.account, "frame", name) or (
            "treatment" in by and self.account.role != "lead" and self._runs(trial, season)
        ):
            rows = rows.iloc[:0]
        others = rows[~rows["site"].isin(self.account.gardens)].dropna(subset=[column])
        means = others.groupby(["site", *by], as_index=False)[column].mean()
        spread = means.groupby(by)[column].agg(
            low=lambda values: values.quantile(0.25),
            high=lambda values: values.quantile(0.75),
            gardens="size",
        )
        return spread[spread["gardens"] >= FEWEST_PEERS].reset_index()

    def unnamed(
        self,
        name: str,
        totals: Callable[[pd.DataFrame], Totals],
        work: Callable[[Totals], pd.DataFrame],
        trial: str,
        season: str,
    ) -> pd.DataFrame:
        """Return what `work` makes of the `totals` of all gardens, for readers who may see the frame at all.

        `totals` are worked out of the rows once for all readers. `work` must tell nothing of fewer than
        `FEWEST_PEERS` gardens and nothing by treatment. Raises ValueError where its result names gardens or
        treatments.
        """
        rows: pd.DataFrame = self.whole.frame(name, trial, season)
        if may(self.account, "frame", name):
            key = (totals.__module__, totals.__qualname__, name, trial, season)
            made = work(self.of_all.once(key, lambda: totals(rows)))
        else:
            made = work(totals(rows.iloc[:0]))
        if named := {"site", "treatment", "plot"} & set(made.columns):
            raise ValueError(f"What is made of {name} names {', '.join(sorted(named))}.")
        return made

    def _runs(self, trial: str | None, season: str | None) -> bool:
        """Return whether the trial season is not closed."""
        trials = self.whole.frame("trials")
        match = trials[(trials["trial"] == trial) & (trials["season"] == season)]
        return bool((match["state"] != "closed").any()) or match.empty
