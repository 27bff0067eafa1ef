"""One garden's own rows of the snapshot, in the reader's units."""

import re
from datetime import datetime
from typing import NamedTuple

from dashboard import data
from dashboard.data import TrialSeason, View
from dashboard.numerals import NO_BREAK
from dashboard.pages.volunteer import Volunteer
from pipeline.intake.units import KG_PER_UNIT
from pipeline.response.middle_half import garden_totals, middle_half

_WEIGHT = "marketable_kg_per_plant"


def own_trials(view: View, site: str) -> list[TrialSeason]:
    """Return the trials and seasons in which a garden has plots, the newest first."""
    return [
        trial for trial in data.trial_seasons(view) if len(data.of_garden(view, "plot_seasons", site, trial))
    ]


class OwnPlot(NamedTuple):
    """A plot: its number, its treatment, its plants, and the kg that each gave, nan where not weighed."""

    plot: str
    treatment: str
    plants: float
    kg_per_plant: float


def own_plots(view: View, trial: TrialSeason, site: str) -> list[OwnPlot]:
    """Return a garden's plots with what they gave, in the order in which people count them."""
    own = data.of_garden(view, "plot_seasons", site, trial)
    cells = zip(*(own[name] for name in ("plot", "treatment", "plants", _WEIGHT)), strict=True)
    return sorted((OwnPlot(*row) for row in cells), key=lambda one: _as_counted(one.plot))


def _as_counted(plot: str) -> list[tuple[int, int, str]]:
    parts = [part for part in re.split(r"(\d+)", plot) if part]
    return [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts]


def own_curves(view: View, trial: TrialSeason, of: Volunteer) -> dict[str, list[tuple[datetime, float]]]:
    """Return the days and weights of each of a garden's plots, adding up, in the reader's unit."""
    own = data.of_garden(view, "plot_curves", of.site, trial)
    curves: dict[str, list[tuple[datetime, float]]] = {}
    for plot, day, weight in zip(own["plot"], own["date"], own[_WEIGHT] / _per_unit(of), strict=True):
        curves.setdefault(plot, []).append((day, weight))
    return dict(sorted(curves.items(), key=lambda curve: _as_counted(curve[0])))


def middle_of_others(view: View, trial: TrialSeason, of: Volunteer) -> list[tuple[datetime, float, float]]:
    """Return days and between what weights the middle half of the other gardens lay, in the reader's unit."""
    middle = data.of_all_gardens(
        view, "harvest_curves", trial, garden_totals, lambda totals: middle_half(totals, without=of.site)
    )
    low, high = (middle[name] / _per_unit(of) for name in ("low", "high"))
    return list(zip(middle["date"], low, high, strict=True))


def _per_unit(of: Volunteer) -> float:
    return KG_PER_UNIT[unit_of(of)]


def unit_of(of: Volunteer) -> str:
    """Return the unit of weight that the reader sees."""
    return "lb" if of.reader.units == "us" else "kg"


def in_unit(kilograms: float, of: Volunteer) -> str:
    """Return a weight in the reader's unit, kept on one line."""
    return f"{kilograms / _per_unit(of):.1f}{NO_BREAK}{unit_of(of)}"
