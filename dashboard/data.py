"""Queries of the pages: the one place that reads a published snapshot, for one reader at a time."""

from collections.abc import Callable, Hashable, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any, Protocol, TypeVar

import pandas as pd

from dashboard.access.account import Account
from dashboard.access.rows import Seen
from dashboard.by_garden import by_garden
from dashboard.desk import Desk
from dashboard.numerals import NOT_RECORDED
from dashboard.worked import Worked
from pipeline.publish.releases import Release, Releases
from sites.errors import InputError

if TYPE_CHECKING:
    from dashboard.figures.template import Screen
    from dashboard.selection import Selection
    from dashboard.sending.gate import Gate

Result = TypeVar("Result")


class Published(Protocol):
    """A published snapshot: its number and its run's, when it came out (UTC), its night, and its frames."""

    @property
    def id(self) -> int: ...  # noqa: D102

    @property
    def run(self) -> int: ...  # noqa: D102

    @property
    def published(self) -> datetime: ...  # noqa: D102

    @property
    def night(self) -> date: ...  # noqa: D102

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame: ...  # noqa: D102


@dataclass(frozen=True)
class View:
    """A snapshot as one account sees it for one request. Every query takes it; rules of access belong here.

    `desk` leads from the snapshot to the rows behind it; None where there is no store behind the page.
    `releases` are the network's answers for everybody; None where there is no store behind the pages.
    `gate` is where this account hands in sheets; None where none are taken. `worked` is what was made of the
    snapshot before, for readers with the same rights.
    """

    published: Published
    account: Account
    desk: Desk | None = None
    releases: Releases | None = None
    gate: "Gate | None" = None
    worked: Worked = field(default_factory=Worked)

    def once(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Return what `work` makes of the snapshot, kept under a key that names all it rests on besides."""
        return self.worked.once(key, work)

    @cached_property
    def mark(self) -> Hashable:
        """How the store stood at first sight: another one with every decision, picture typed in and night."""
        return self.desk.mark() if self.desk else None

    def once_decided(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Return what `work` makes of snapshot and store, kept until somebody decides or a night runs."""
        return self.worked.by(self.mark).once(key, work)

    def once_for_all(
        self, part: "Callable[[View, Selection, Screen], Result]", selection: "Selection", screen: "Screen"
    ) -> Result:
        """Return a part of a page that rests on the snapshot and is the same for any garden."""
        chosen = selection.for_any_garden
        key = (part.__module__, part.__qualname__, chosen.address.href, screen)
        return self.once(key, lambda: part(self, chosen, screen))


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


def of_all_gardens(
    view: View,
    name: str,
    trial: TrialSeason,
    totals: Callable[[pd.DataFrame], Result],
    work: Callable[[Result], pd.DataFrame],
) -> pd.DataFrame:
    """Return what `work` makes of the `totals` of all gardens, unnamed, also for who sees only their own."""
    if isinstance(view.published, Seen):
        return view.published.unnamed(name, totals, work, trial.trial, trial.season)
    return work(totals(of_season(view, name, trial)))


def of_garden(view: View, name: str, site: str, trial: TrialSeason | None = None) -> pd.DataFrame:
    """Return the rows of a frame that are about one garden, in the frame's order."""
    place = (trial.trial, trial.season) if trial else (None, None)
    if isinstance(view.published, Seen):
        return view.published.of_garden(name, site, *place)
    return by_garden(view.published.frame(name, *place)).of(site)


def trial_seasons(view: View) -> list[TrialSeason]:
    """Return every trial and season, the newest year first, and in a year as the registry lists them."""
    return view.once("trial seasons", lambda: _trial_seasons(view))


def _trial_seasons(view: View) -> list[TrialSeason]:
    listed = view.published.frame("trials")
    rows = listed.iloc[(-listed["start"].dt.year).argsort(kind="stable")]
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


def meanings(view: View) -> dict[str, str]:
    """Return what the glossary says of each attribute, by its name."""
    return {
        row["name"]: ". ".join(
            part
            for part in (
                f"{row['label_en']}, {row['unit']}" if row["unit"] else row["label_en"],
                row["meaning"],
                f"How: {row['method']}" if row["method"] else "",
                f"From: {row['source']}" if row["source"] else "",
            )
            if part
        )
        + "."
        for row in view.published.frame("glossary").fillna("").to_dict("records")
    }


def stations_in_doubt(view: View) -> list[tuple[str, list[str]]]:
    """Return a sentence for each weather station of which something is left out, and each reason for it."""
    reasons = view.published.frame("station_doubts").groupby("station")["said_en"].agg(list)
    return [
        (str(row["said_en"]), reasons.get(row["station"], []))
        for row in view.published.frame("stations_in_doubt").to_dict("records")
    ]


def places_to_mend(view: View) -> pd.DataFrame:
    """Return the findings about where gardens are said to lie."""

    def about_places() -> pd.DataFrame:
        found = view.published.frame("findings")
        return found[found["sheet"] == "gardens"]

    return view.once("places to mend", about_places)


def close_pairs(view: View, trial: TrialSeason) -> pd.DataFrame:
    """Return the pairs of the trial's gardens that lie too near to each other, a sentence for each."""
    return of_season(view, "close_pairs", trial)


def close_to(view: View, trial: TrialSeason, site: str) -> list[tuple[str, float]]:
    """Return the gardens of the trial that lie too near to a garden, each with its distance in km."""

    def both_ways() -> dict[str, list[tuple[str, float]]]:
        pairs = close_pairs(view, trial)
        near: dict[str, list[tuple[str, float]]] = {}
        for one, other, km in zip(pairs["site"], pairs["neighbour"], pairs["distance_km"], strict=True):
            near.setdefault(one, []).append((other, km))
            near.setdefault(other, []).append((one, km))
        return near

    return view.once(("close to each other", trial), both_ways).get(site, [])


def outlines(view: View) -> pd.DataFrame:
    """Return the outlines of the counties and of the region in axis kilometres."""
    return view.published.frame("outlines")


def outcomes_compared(view: View, trial: TrialSeason) -> list[str]:
    """Return the measures in which the gardens' treatments are compared."""
    return view.once(
        ("outcomes compared", trial), lambda: of_season(view, "effects", trial)["outcome"].unique().tolist()
    )


def gardens(view: View, paper: str) -> pd.DataFrame:
    """Return every garden of the registry, west to east, with its colour on this paper."""
    rows = view.published.frame("gardens")
    return rows.assign(colour=rows["colour_dark" if paper == "dark" else "colour_light"])


def uploads(view: View) -> pd.DataFrame:
    """Return the data sheets received, newest last."""
    return view.published.frame("uploads")


def row_of_gardens(view: View, trial: TrialSeason | None, paper: str) -> pd.DataFrame:
    """Return one row per garden of the trial, west to east: place, colour on this paper, state and reason.

    Without a trial, or for one that has no gardens yet, every garden of the registry without a state.
    """
    return view.once(("row of gardens", trial, paper), lambda: _row_of_gardens(view, trial, paper))


def _row_of_gardens(view: View, trial: TrialSeason | None, paper: str) -> pd.DataFrame:
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
    asked = (trial, place, outcome, treatment, language)
    return view.once(("sentence", *asked), lambda: _sentence(view, *asked))


def _sentence(
    view: View, trial: TrialSeason, place: str, outcome: str, treatment: str, language: str
) -> tuple[str, str]:
    rows = of_season(view, "sentences", trial)
    rows = rows[(rows["place"] == place) & (rows["language"] == language)]
    if outcome:
        rows = rows[rows["outcome"].fillna("") == outcome]
    for wanted in dict.fromkeys((treatment, "")):
        match = rows[rows["treatment"].fillna("") == wanted]
        if len(match):
            first = match.iloc[0]
            said, sure = ("" if pd.isna(first[name]) else str(first[name]) for name in ("sentence", "sure"))
            return said, sure
    return "", ""


def treatments(view: View, trial: TrialSeason | None) -> pd.DataFrame:
    """Return the treatments of a trial season, control first; without a trial, none."""
    if trial is None:
        return view.published.frame("treatments")
    return view.once(
        ("treatments", trial),
        lambda: of_season(view, "treatments", trial).sort_values("order").reset_index(drop=True),
    )


def answer(view: View, trial: TrialSeason, outcome: str, treatment: str) -> dict[str, Any] | None:
    """Return the network's answer for a measure and a treatment; None before the trial closes."""
    rests_on = ("answer", trial, outcome, treatment)
    return view.once(rests_on, lambda: _answer(view, trial, outcome, treatment))


def _answer(view: View, trial: TrialSeason, outcome: str, treatment: str) -> dict[str, Any] | None:
    rows = of_season(view, "network", trial)
    match = rows[(rows["outcome"] == outcome) & (rows["treatment"] == treatment)]
    return match.iloc[0].to_dict() if len(match) else None


def released(view: View) -> list[Release]:
    """Return the answers that everybody may read, the newest first."""
    return view.releases.standing() if view.releases else []


def public(view: View, release: Release, name: str) -> pd.DataFrame:
    """Return a public frame as it was released.

    Raises InputError where the network has no store behind its pages.
    """
    if view.releases is None:
        raise InputError("There is no released answer here.")
    return view.releases.frame(release, name)


def reach(view: View) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the figures of program reach by year, and by year and county."""
    return view.published.frame("reach"), view.published.frame("reach_counties")


def network_name(view: View) -> str:
    """Return how the network is named; blank before the first night."""
    about = view.published.frame("about")
    return str(about["name"].iloc[0]) if len(about) else ""
