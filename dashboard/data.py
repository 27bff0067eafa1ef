"""Queries of the pages: the one place that reads a published snapshot, for one reader at a time."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Protocol

import pandas as pd

from dashboard.access.account import Account
from dashboard.numerals import NOT_RECORDED

if TYPE_CHECKING:
    from dashboard.sending.gate import Gate


class Published(Protocol):
    """A published snapshot: its number, when it came out (UTC), the night it stands for, and its frames."""

    @property
    def id(self) -> int: ...  # noqa: D102

    @property
    def published(self) -> datetime: ...  # noqa: D102

    @property
    def night(self) -> date: ...  # noqa: D102

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame: ...  # noqa: D102


@dataclass(frozen=True)
class View:
    """A snapshot as one account sees it. Every query takes it; rules of access belong in this module.

    `gate` is where this account hands in sheets; None where none are taken.
    """

    published: Published
    account: Account
    gate: "Gate | None" = None


@dataclass(frozen=True)
class TrialSeason:
    """One trial in one season, as the snapshot lists it."""

    trial: str
    season: str
    title: str
    crop_name: str
    control: str
    start: date
    close: date
    state: str
    primary_outcome: str
    gardens: int
    plots: int
    pickings_expected: int
    pickings_received: int

    @property
    def is_closed(self) -> bool:
        """Whether the answer stands."""
        return self.state == "closed"


@dataclass(frozen=True)
class Drawn:
    """Rows fit to draw, and those that lack a value: both are shown, one as marks, one in words."""

    rows: pd.DataFrame
    missing: pd.DataFrame


def drawable(rows: pd.DataFrame, needs: Iterable[str]) -> Drawn:
    """Return `rows` parted into those that have all of `needs` and those that lack one, ready for Plotly.

    Plotly drops rows without a colour, writes "NaT" for a missing date and fails on nullable kinds
    without a word, so blank text reads "not recorded", nullable numbers become plain ones and nullable
    flags text.
    """
    plain = rows.copy()
    for column in plain.columns:
        kind = plain[column].dtype
        if isinstance(kind, pd.BooleanDtype):
            plain[column] = plain[column].map({True: "yes", False: "no"}).astype("str").fillna(NOT_RECORDED)
        elif pd.api.types.is_numeric_dtype(kind) and pd.api.types.is_extension_array_dtype(kind):
            plain[column] = plain[column].astype("float64")
        elif pd.api.types.is_string_dtype(kind):
            plain[column] = plain[column].astype("str").fillna(NOT_RECORDED)
    whole = rows[list(needs)].notna().all(axis=1)
    return Drawn(plain[whole].reset_index(drop=True), plain[~whole].reset_index(drop=True))


def trial_seasons(view: View) -> list[TrialSeason]:
    """Return every trial and season, the newest first."""
    rows = view.published.frame("trials").sort_values(["start", "trial"], ascending=[False, True])
    return [
        TrialSeason(
            trial=row["trial"],
            season=row["season"],
            title=row["title"],
            crop_name=row["crop_name"],
            control=row["control"],
            start=row["start"].date(),
            close=row["close"].date(),
            state=row["state"],
            primary_outcome=row["primary_outcome"],
            gardens=int(row["gardens"]),
            plots=int(row["plots"]),
            pickings_expected=int(row["pickings_expected"]),
            pickings_received=int(row["pickings_received"]),
        )
        for row in rows.to_dict("records")
    ]


def of_season(view: View, name: str, trial: TrialSeason) -> pd.DataFrame:
    """Return a frame that stands once for each trial and season."""
    return view.published.frame(name, trial.trial, trial.season)


def outlines(view: View) -> pd.DataFrame:
    """Return the outlines of the counties and of the region in axis kilometres."""
    return view.published.frame("outlines")


def uploads(view: View) -> pd.DataFrame:
    """Return the data sheets received, newest last."""
    return view.published.frame("uploads")


def row_of_gardens(view: View, trial: TrialSeason | None, paper: str) -> pd.DataFrame:
    """Return one row per garden of the trial, west to east: place, colour on this paper, state and reason.

    Without a trial, or for one that has no gardens yet, every garden of the registry without a state.
    """
    states = view.published.frame("garden_states", trial.trial, trial.season) if trial else pd.DataFrame()
    if states.empty:
        gardens = view.published.frame("gardens")
        states = pd.DataFrame({"site": gardens["site"], "state": "", "reason": ""}, dtype="str")
    return placed(view, states, paper)


def placed(view: View, rows: pd.DataFrame, paper: str) -> pd.DataFrame:
    """Return `rows` with name, county, place and colour of their gardens, west to east.

    Rows of gardens that the snapshot does not know are left out, as they have no place to stand.
    """
    gardens = view.published.frame("gardens").assign(
        colour=lambda frame: frame["colour_dark" if paper == "dark" else "colour_light"]
    )
    place = gardens[["site", "name", "county", "position_km", "across_km", "elevation_m", "colour"]]
    own = [column for column in rows.columns if column == "site" or column not in place.columns]
    joined = rows[own].merge(place, on="site", how="inner", validate="many_to_one")
    return joined.sort_values(["position_km", "site"], kind="stable").reset_index(drop=True)


def sentence(
    view: View, trial: TrialSeason, place: str, outcome: str = "", treatment: str = "", language: str = "en"
) -> tuple[str, str]:
    """Return the night's sentence for a place on a page, and how sure it is; blank where it wrote none.

    A sentence about one treatment goes before one about all.
    """
    rows = of_season(view, "sentences", trial)
    rows = rows[(rows["place"] == place) & (rows["language"] == language)]
    if outcome:
        rows = rows[rows["outcome"].fillna("") == outcome]
    for wanted in dict.fromkeys((treatment, "")):
        match = rows[rows["treatment"].fillna("") == wanted]
        if len(match):
            first = match.iloc[0]
            return tuple("" if pd.isna(first[name]) else str(first[name]) for name in ("sentence", "sure"))  # type: ignore[return-value]
    return "", ""


def treatments(view: View, trial: TrialSeason | None) -> pd.DataFrame:
    """Return the treatments of a trial season, control first; without a trial, none."""
    if trial is None:
        return view.published.frame("treatments")
    return of_season(view, "treatments", trial).sort_values("order").reset_index(drop=True)


def answer(view: View, trial: TrialSeason, outcome: str, treatment: str) -> dict[str, Any] | None:
    """Return the network's answer for a measure and a treatment; None before the trial closes."""
    rows = of_season(view, "network", trial)
    match = rows[(rows["outcome"] == outcome) & (rows["treatment"] == treatment)]
    return match.iloc[0].to_dict() if len(match) else None
