"""What an address means on a page: the reader's choices where they made any, the page's own where not."""

from collections.abc import Container, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import pandas as pd

from dashboard import data
from dashboard.address import Address
from dashboard.by_garden import ByGarden, by_garden
from dashboard.data import TrialSeason, View
from dashboard.figures.gradient_rows import ROW_AXIS
from dashboard.figures.row import around
from dashboard.figures.template import Screen
from dashboard.records import records
from dashboard.wording.measures import AXES, OUTCOMES
from pipeline.publish.frames import GARDENS, TREATMENTS
from sites.errors import InputError

#: The weather axes that a running season can be laid out by, where they were measured.
USUAL_AXES = (ROW_AXIS, "degree_days_c", "hot_days", "rain_mm")
#: Gardens that figures show side by side; of a longer row, `NEIGHBOURS` around the chosen garden: three lines
#: of small panels, which a reader has before the eyes at once.
MOST_SIDE_BY_SIDE, NEIGHBOURS = 40, 24
_NO_GARDENS, _NO_TREATMENTS = GARDENS.empty(), TREATMENTS.empty()
_NONE_BY_SITE = by_garden(_NO_GARDENS)


@dataclass(frozen=True)
class Selection:
    """What a page shows: one trial season, its gardens west to east, and the choices made there.

    `placed` are the gardens that have a place, fit to draw. `garden` is the garden chosen; None while nobody
    has chosen, unless the page always reads one out. `by_site` finds the row of a garden.
    """

    address: Address
    trials: Sequence[TrialSeason]
    trial: TrialSeason | None
    gardens: pd.DataFrame
    placed: pd.DataFrame
    by_site: ByGarden
    garden: str | None
    treatments: pd.DataFrame
    treatment: str = ""
    outcomes: Sequence[str] = ()
    outcome: str = ""
    axes: Sequence[str] = ()
    axis: str = ROW_AXIS

    def garden_named(self, site: Any) -> dict[str, Any] | None:
        """Return what is known of a garden by its short name; None for one that is not in the row."""
        found = records(self.by_site.of(site))
        return found[0] if found else None

    @property
    def for_any_garden(self) -> "Selection":
        """The same choices while no garden is chosen."""
        return replace(self, garden=None, address=self.address.choosing(garden=None))

    @cached_property
    def neighbours(self) -> pd.DataFrame:
        """The gardens that have room side by side: all, or of a long row those around the chosen one."""
        most = MOST_SIDE_BY_SIDE if len(self.placed) <= MOST_SIDE_BY_SIDE else NEIGHBOURS
        return around(self.placed, self.garden, most)

    @cached_property
    def compared(self) -> pd.DataFrame:
        """The treatments compared with the control."""
        return self.treatments[~self.treatments["is_control"]]

    @cached_property
    def control_label(self) -> str:
        """How figures name the control."""
        labels = self.treatments.loc[self.treatments["is_control"], "label"]
        return str(labels.iloc[0]) if len(labels) else ""

    @cached_property
    def treatment_label(self) -> str:
        """How figures name the treatment chosen."""
        labels = self.treatments.loc[self.treatments["treatment"] == self.treatment, "label"]
        return str(labels.iloc[0]) if len(labels) else ""


def select(view: View, address: Address, screen: Screen, *, prefer: str) -> Selection:
    """Return the trial season and the garden that an address means; `prefer` is running or closed.

    Raises InputError where the address names something that the snapshot does not hold.
    """
    trials = data.trial_seasons(view)
    trial = _trial(trials, address, prefer)
    gardens = data.row_of_gardens(view, trial, screen.paper)
    treatments = data.treatments(view, trial)
    placed = view.once(
        ("fit to draw", trial, screen.paper),
        lambda: data.drawable(gardens, ["position_km", "across_km"]).rows,
    )
    by_site = view.once(("row of gardens by site", trial, screen.paper), lambda: by_garden(gardens))
    garden = _chosen(address, "garden", by_site.gardens, "", "garden") or None
    return Selection(address, trials, trial, gardens, placed, by_site, garden, treatments)


def without_row(address: Address) -> Selection:
    """Return the selection of a page that shows neither a trial of the network nor its gardens."""
    return Selection(address, (), None, _NO_GARDENS, _NO_GARDENS, _NONE_BY_SITE, None, _NO_TREATMENTS)


def measure(selection: Selection, outcomes: Sequence[str]) -> Selection:
    """Return the selection with its measure and its treatment, of the measures that the page can show."""
    trial = selection.trial
    known = [outcome for outcome in OUTCOMES if outcome in outcomes]
    primary = trial.primary_outcome if trial else ""
    usual = primary if primary in known else (known[0] if known else "")
    outcome = _chosen(selection.address, "outcome", known, usual, "measure")
    names = selection.compared["treatment"].tolist()
    treatment = _chosen(selection.address, "treatment", names, names[0] if names else "", "treatment")
    return replace(selection, outcomes=known, outcome=outcome, treatment=treatment)


def lay_out(selection: Selection, axes: Sequence[str]) -> Selection:
    """Return the selection with its horizontal axis, of those that the season can be laid out by."""
    known = [axis for axis in AXES if axis in axes or axis == ROW_AXIS]
    return replace(selection, axes=known, axis=_chosen(selection.address, "axis", known, ROW_AXIS, "axis"))


def _chosen(address: Address, key: str, known: Container[str], usual: str, what: str) -> str:
    named = address.get(key)
    if named is None or (key == "outcome" and named in OUTCOMES and named not in known):
        # Pages offer different measures and keep the choice between them.
        return usual
    if named not in known:
        raise InputError(f"There is no {what} “{named}” here. Choose another one, or leave it to the page.")
    return named


def _trial(trials: Sequence[TrialSeason], address: Address, prefer: str) -> TrialSeason | None:
    trial, season = address.get("trial"), address.get("season")
    matching = [one for one in trials if trial in (None, one.trial) and season in (None, one.season)]
    if not matching and (trial or season):
        named = " ".join(word for word in (trial, season) if word)
        raise InputError(f"There is no trial “{named}”. Choose another one, or leave it to the page.")
    for state in (prefer, "running", "closed"):
        for one in matching:
            if one.state == state:
                return one
    return matching[0] if matching else None


def with_garden(selection: Selection) -> Selection:
    """Return the selection with a garden: the one chosen, else the one in the middle of the row."""
    sites = selection.gardens["site"]
    if selection.garden or sites.empty:
        return selection
    return replace(selection, garden=sites.iloc[len(sites) // 2])
