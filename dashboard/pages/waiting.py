"""What waits for a decision now: the night's questions without those answered since."""

from dataclasses import dataclass

import pandas as pd

from dashboard import data
from dashboard.by_garden import ByGarden, by_garden
from dashboard.data import TrialSeason, View
from dashboard.selection import Selection


@dataclass(frozen=True)
class Waiting:
    """Questions of one trial and season.

    `open` are findings that nobody has answered, in the order of their groups; `decided` the decisions that
    stand, newest first; `chosen` the finding that the page shows, None where none waits; `is_settled` tells
    that the address names one that has been answered or is not asked any more.
    """

    open: pd.DataFrame
    decided: pd.DataFrame
    chosen: pd.Series | None
    is_settled: bool

    @property
    def groups(self) -> pd.DataFrame:
        """The first finding of every group that waits."""
        return self.open.drop_duplicates("group").reset_index(drop=True)

    def of_chosen(self) -> pd.DataFrame:
        """Return the findings with the same cause as the chosen one."""
        if self.chosen is None:
            return self.open.head(0)
        return self.open[self.open["group"] == self.chosen["group"]].reset_index(drop=True)


def waiting(view: View, selection: Selection, trial: TrialSeason) -> Waiting:
    """Return what waits; of a garden that the reader has chosen only its own."""
    unanswered = _unanswered(view, trial)
    left = unanswered.all
    if selection.garden:
        left = unanswered.by_site.of(selection.garden).reset_index(drop=True)
    named = selection.address.get("question")
    match = left[left["finding"].astype("str") == named] if named else left.head(0)
    chosen = match.iloc[0] if len(match) else left.iloc[0] if len(left) else None
    made = view.once_decided(
        ("decisions made", trial),
        lambda: _of_trial(_decisions(view), data.of_season(view, "questions", trial)),
    )
    return Waiting(left, made, chosen, bool(named) and match.empty)


def questions_of(view: View, trial: TrialSeason, site: str) -> pd.DataFrame:
    """Return the questions of one garden that wait."""
    return _unanswered(view, trial).by_site.of(site)


def waiting_groups(view: View, trial: TrialSeason) -> int:
    """Return how many questions wait, one cause in one file being one question."""
    return _unanswered(view, trial).groups


@dataclass(frozen=True)
class _Unanswered:
    """The questions of a season that nobody has answered yet: all, by garden, and in how many groups."""

    all: pd.DataFrame
    by_site: ByGarden
    groups: int


def _unanswered(view: View, trial: TrialSeason) -> _Unanswered:
    def found() -> _Unanswered:
        asked = data.of_season(view, "questions", trial)
        left = asked[~is_answered(asked, _decisions(view))].reset_index(drop=True)
        return _Unanswered(left, by_garden(left), int(left["group"].nunique()))

    return view.once_decided(("unanswered", trial), found)


def _decisions(view: View) -> pd.DataFrame:
    """Return the decisions that stand, newest first; none where there is no store behind the page."""
    if view.desk is None:
        return pd.DataFrame()
    return view.once_decided("decisions", view.desk.decisions)


def is_answered(asked: pd.DataFrame, decided: pd.DataFrame) -> pd.Series:
    """Return which questions have an answer that stands: about themselves, or about their row."""
    if asked.empty or decided.empty:
        return pd.Series(False, index=asked.index)
    of_rows = decided.dropna(subset=["row_id"])
    rows = set(zip(of_rows["kind"], of_rows["row_id"].astype("int64"), strict=True))
    by_row = [pair in rows for pair in zip(asked["sheet"], asked["row"], strict=True)]
    return asked["finding"].isin(decided["finding_id"].dropna()) | pd.Series(by_row, index=asked.index)


def _of_trial(decided: pd.DataFrame, asked: pd.DataFrame) -> pd.DataFrame:
    """Return the decisions with file, line and day of what they were about, where the snapshot knows it."""
    if decided.empty:
        return decided
    known = asked.dropna(subset=["row"]).drop_duplicates(["sheet", "row"])
    about = known[["sheet", "row", "site", "plot", "file", "line", "date"]]
    joined = decided.drop(columns="site").merge(
        about, left_on=["kind", "row_id"], right_on=["sheet", "row"], how="left"
    )
    joined["site"] = joined["site"].fillna(decided["site"].reset_index(drop=True))
    return joined
