"""What each figure draws, put together from the queries: fit to draw, west to east."""

from dataclasses import replace

import pandas as pd

from dashboard import data
from dashboard.by_garden import by_garden
from dashboard.data import TrialSeason, View
from dashboard.differences import shown_answer, shown_band, shown_effects, unit_of
from dashboard.figures.compare import CompareRows, means_of
from dashboard.figures.effects import EffectRows
from dashboard.figures.fruit_mass import FruitMassRows
from dashboard.figures.gradient_rows import GradientRows
from dashboard.figures.row import Row, row_over
from dashboard.figures.season import SeasonRows
from dashboard.figures.template import Screen
from dashboard.figures.watch import WatchRows
from dashboard.harvest_curves import SEASON_OUTCOME, curves_of
from dashboard.pages.gradient_line import curve_of, is_curved
from dashboard.pages.over_seasons import effects_over, is_over, over, places_over
from dashboard.selection import Selection
from dashboard.wording.measures import OUTCOMES
from dashboard.words import GRADIENT_WORDS

#: What Compare draws of a plot, of a difference and of a curve.
_OF_PLOT = ["site", "plot", "treatment", "value", "used"]
_OF_EFFECT = ["site", "name", "colour", "percent", "percent_low", "percent_high"]
_OF_CURVE = ["site", "treatment", "date", SEASON_OUTCOME]


def against(selection: Selection) -> str:
    """Return what is compared with what: weight per plant against own-root."""
    name = OUTCOMES[selection.outcome].name
    return GRADIENT_WORDS["against"].format(outcome=name, control=selection.control_label)


def watch_rows(view: View, selection: Selection, trial: TrialSeason) -> WatchRows:
    """Return what Watch draws."""
    gardens, outlines = selection.placed, data.outlines(view)
    weeks = data.of_season(view, "weeks", trial)
    known = weeks[weeks["site"].isin(gardens["site"])]
    return WatchRows(outlines, gardens, known, row_over(outlines, gardens), selection.garden)


def effects_of(view: View, selection: Selection, trial: TrialSeason, paper: str) -> pd.DataFrame:
    """Return the chosen measure's differences, all treatments, with place and colour of their gardens.

    Differences that are not of percent stand in the columns of percents, in the number that is said.
    """
    rests_on = ("effects", trial, selection.outcome, paper)
    return view.once(rests_on, lambda: _effects_of(view, selection, trial, paper))


def _effects_of(view: View, selection: Selection, trial: TrialSeason, paper: str) -> pd.DataFrame:
    effects = data.of_season(view, "effects", trial)
    asked = effects[effects["outcome"] == selection.outcome]
    return data.placed(view, shown_effects(asked, unit_of(selection.outcome)), paper)


def gradient_rows(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> GradientRows:
    """Return what Gradient draws along the chosen axis, of one season or over all closed ones."""
    chosen = (selection.outcome, selection.treatment, selection.axis)
    lines = (selection.address.get("line"), selection.address.get("over"))
    rows = view.once(
        ("gradient", trial, chosen, lines, screen.paper),
        lambda: _gradient_rows(view, selection, trial, screen),
    )
    return replace(rows, chosen=selection.garden)


def _gradient_rows(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> GradientRows:
    together = is_over(view, selection)
    answered = over(trial) if together else trial
    attributes = places_over(view, trial) if together else data.of_season(view, "attributes", trial)
    gardens = data.drawable(data.placed(view, attributes, screen.paper), ["position_km"]).rows
    if together:
        effects = effects_over(view, selection, trial, screen.paper)
    else:
        on_axis = gardens[["site", selection.axis]].rename(columns={selection.axis: "x"})
        effects = effects_of(view, selection, trial, screen.paper).merge(on_axis, on="site")
    unit, bands = unit_of(selection.outcome), _lines(view, selection, answered)
    straight = bands[bands["treatment"] == selection.treatment].iloc[:0]
    if is_curved(view, selection, answered):
        is_focus = bands["treatment"] == selection.treatment
        straight = bands[is_focus]
        bands = pd.concat([bands[~is_focus], curve_of(view, selection, answered)], ignore_index=True)
    return GradientRows(
        outlines=data.outlines(view),
        gardens=gardens,
        effects=data.drawable(effects, ["x", "percent"]).rows,
        bands=shown_band(bands, unit),
        straight=shown_band(straight, unit),
        treatments=selection.compared,
        row=row_over(data.outlines(view), gardens),
        axis=selection.axis,
        focus=selection.treatment,
        chosen=None,
        against=against(selection),
        is_closed=trial.is_closed,
        meanings=data.meanings(view),
        unit=unit,
    )


def _lines(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the lines of all treatments with their bands; none before the close."""
    bands = data.of_season(view, "gradient_band", trial)
    is_shown = (bands["outcome"] == selection.outcome) & (bands["axis"] == selection.axis)
    return bands[is_shown & trial.is_closed]


def plots_of(view: View, selection: Selection, trial: TrialSeason, paper: str) -> data.Drawn:
    """Return the plots with `value` in the unit shown, and those that have none."""
    rests_on = ("plots", trial, selection.outcome, paper)
    return view.once(rests_on, lambda: _plots_of(view, selection, trial, paper))


def _plots_of(view: View, selection: Selection, trial: TrialSeason, paper: str) -> data.Drawn:
    plots = data.placed(view, data.of_season(view, "plot_seasons", trial), paper)
    scale = OUTCOMES[selection.outcome].scale
    return data.drawable(plots.assign(value=plots[selection.outcome] * scale), ["value", "position_km"])


def compare_rows(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> CompareRows:
    """Return what the first figure of Compare draws."""
    gardens = selection.neighbours
    rests_on = (trial, selection.outcome, screen.paper)
    plots = view.once(
        ("plots by garden", rests_on),
        lambda: by_garden(_compared(plots_of(view, selection, trial, screen.paper).rows, selection)),
    )
    means = view.once(("means by garden", rests_on), lambda: by_garden(means_of(plots.rows)))
    return CompareRows(
        gardens=gardens,
        plots=plots.of_several(gardens["site"]),
        means=means.of_several(gardens["site"]),
        treatments=selection.treatments,
        outcome=OUTCOMES[selection.outcome],
        row=_row_of(view, selection),
        chosen=selection.garden,
    )


def _compared(plots: pd.DataFrame, selection: Selection) -> pd.DataFrame:
    """Return what is drawn of the plots of the treatments that the trial lists."""
    known = plots["treatment"].isin(selection.treatments["treatment"])
    return plots.loc[known, _OF_PLOT].reset_index(drop=True)


def _row_of(view: View, selection: Selection) -> Row:
    """Return the row that shows the region and all gardens of the selection."""
    return view.once(
        ("row over all", selection.trial), lambda: row_over(data.outlines(view), selection.placed)
    )


def effect_rows(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> EffectRows:
    """Return what the second figure of Compare draws."""
    gardens, unit = selection.neighbours, unit_of(selection.outcome)
    effects = view.once(
        ("effects by garden", trial, selection.outcome, selection.treatment, screen.paper),
        lambda: by_garden(_of_treatment(view, selection, trial, screen.paper)),
    )
    orders = zip(selection.treatments["treatment"], selection.treatments["order"], strict=True)
    return EffectRows(
        gardens=gardens,
        effects=effects.of_several(gardens["site"]),
        network=shown_answer(data.answer(view, trial, selection.outcome, selection.treatment), unit),
        order=int(dict(orders)[selection.treatment]),
        against=against(selection),
        row=_row_of(view, selection),
        chosen=selection.garden,
        unit=unit,
    )


def _of_treatment(view: View, selection: Selection, trial: TrialSeason, paper: str) -> pd.DataFrame:
    """Return what is drawn of the chosen treatment's differences."""
    effects = data.drawable(effects_of(view, selection, trial, paper), ["percent"]).rows
    is_chosen = effects["treatment"] == selection.treatment
    return effects.loc[is_chosen, _OF_EFFECT].reset_index(drop=True)


def season_rows(view: View, selection: Selection, trial: TrialSeason) -> SeasonRows | None:
    """Return what the last figure of Compare draws; None while nothing has been picked."""
    gardens = selection.neighbours
    every = view.once(
        ("harvest curves by garden", trial),
        lambda: by_garden(data.of_season(view, "harvest_curves", trial)[_OF_CURVE]),
    )
    picked = every.of_several(gardens["site"])
    first = picked.loc[picked[SEASON_OUTCOME].notna(), "date"].min()
    curves = curves_of(picked, first)
    if not curves:
        return None
    return SeasonRows(
        gardens=gardens,
        curves=curves,
        gains=view.once(
            ("gains", trial, selection.treatment), lambda: _gains(view, trial, selection.treatment)
        ),
        treatments=selection.treatments,
        first=first.date(),
        last_day=max(curve.days[-1] for curve in curves.values()),
        chosen=selection.garden,
    )


def _gains(view: View, trial: TrialSeason, treatment: str) -> dict[str, float]:
    """Return by how many percent each garden's season's weight is more than its control's."""
    effects = data.of_season(view, "effects", trial)
    is_gain = (effects["outcome"] == SEASON_OUTCOME) & (effects["treatment"] == treatment)
    known = effects[is_gain].dropna(subset=["percent"])
    return dict(zip(known["site"], known["percent"], strict=True))


def fruit_mass_rows(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> FruitMassRows:
    """Return the mean fruit of every plot that counts, west to east."""
    plots = data.placed(view, data.of_season(view, "plot_seasons", trial), screen.paper)
    known = plots[plots["used"] & plots["treatment"].isin(selection.treatments["treatment"])]
    drawn = data.drawable(known.assign(mass_g=known["mean_fruit_mass_g"]), ["mass_g", "position_km"])
    return FruitMassRows(drawn.rows, selection.treatments)
