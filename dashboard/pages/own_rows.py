"""One garden's own rows of the snapshot, in the reader's units."""

import re

import pandas as pd

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


def own_plots(view: View, trial: TrialSeason, site: str) -> pd.DataFrame:
    """Return a garden's plots with what they gave, in the order in which people count them."""
    own = data.of_garden(view, "plot_seasons", site, trial)
    order = sorted(range(len(own)), key=lambda at: _as_counted(str(own["plot"].iloc[at])))
    return own.iloc[order].reset_index(drop=True)


def _as_counted(plot: str) -> list[tuple[int, int, str]]:
    parts = [part for part in re.split(r"(\d+)", plot) if part]
    return [(0, int(part), "") if part.isdigit() else (1, 0, part) for part in parts]


def own_season(view: View, trial: TrialSeason, of: Volunteer) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return a garden's curves (plot, date, weight) and the middle half of the others (date, low, high)."""
    own = data.of_garden(view, "plot_curves", of.site, trial)
    per_unit = KG_PER_UNIT[unit_of(of)]
    curves = own.assign(weight=own[_WEIGHT] / per_unit)[["plot", "date", "weight"]]
    middle = data.of_all_gardens(
        view, "harvest_curves", trial, garden_totals, lambda totals: middle_half(totals, without=of.site)
    )
    scaled = middle.assign(low=middle["low"] / per_unit, high=middle["high"] / per_unit)
    return curves.reset_index(drop=True), scaled


def unit_of(of: Volunteer) -> str:
    """Return the unit of weight that the reader sees."""
    return "lb" if of.reader.units == "us" else "kg"


def in_unit(kilograms: float, of: Volunteer) -> str:
    """Return a weight in the reader's unit, kept on one line."""
    return f"{kilograms / KG_PER_UNIT[unit_of(of)]:.1f}{NO_BREAK}{unit_of(of)}"
