"""My garden: one garden's own plots, what is next, what waits for an answer, and what was sent."""

from collections.abc import Sequence
from dataclasses import replace
from math import isnan
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.choice import choice
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.components.mark import icon
from dashboard.components.plain import part
from dashboard.data import TrialSeason, View
from dashboard.figures.own_season import OwnSeason, own_season_figure
from dashboard.figures.template import Screen
from dashboard.pages.my_garden_next import next_ledger
from dashboard.pages.my_garden_notes import season_notes
from dashboard.pages.my_garden_open import answered, given_answers, open_slips
from dashboard.pages.my_garden_sent import away_form, sent_sheets
from dashboard.pages.own_rows import (
    OwnPlot,
    in_unit,
    middle_of_others,
    own_curves,
    own_plots,
    own_trials,
    unit_of,
)
from dashboard.pages.page import Content
from dashboard.pages.volunteer import (
    Volunteer,
    choose_garden,
    sheet_of_paper,
    site_of,
    volunteer_of,
    volunteer_page,
)
from dashboard.selection import Selection
from dashboard.speech import Speech
from dashboard.words import MY_GARDEN
from pipeline.publish.frames import PLOT_CURVES


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    of = volunteer_of(view, selection, screen)
    if of.garden is None:
        return sheet_of_paper(of, choose_garden(of, view))
    trial = selection.trial
    if trial is None:
        heading = html.H1(of.say("mine_title"), className="sentence", id="sentence")
        return sheet_of_paper(of, [heading, html.P([icon("seed"), of.say("no_trial")], className="empty")])
    plots, given = own_plots(view, trial, of.site), given_answers(view, of)
    return sheet_of_paper(
        of,
        [
            *_heading(plots, trial, of),
            *_seasons(own_trials(view, of.site), trial, of),
            html.Div(
                [
                    html.Div(
                        [
                            next_ledger(view, trial, of),
                            *season_notes(view, trial, of),
                            *_plots(view, plots, trial, of),
                        ]
                    ),
                    html.Div(_season(view, trial, of, screen)),
                    html.Div([*open_slips(view, trial, of, given), *answered(given, of)]),
                    html.Div([*sent_sheets(view, of), *away_form(view, of)]),
                ],
                className="answer-columns mine",
            ),
        ],
    )


def own_trial(view: View, selection: Selection) -> Selection:
    """Return the selection with the garden's trial that the address means, else the one that runs."""
    site, named = (
        site_of(view, selection.address),
        [selection.address.get(key) for key in ("trial", "season")],
    )
    trials = own_trials(view, site) if site else []
    matching = [one for one in trials if named[0] in (None, one.trial) and named[1] in (None, one.season)]
    running = [one for one in matching if one.state == "running"]
    return replace(selection, trial=next(iter(running or matching or trials), None))


def _heading(plots: Sequence[OwnPlot], trial: TrialSeason, of: Volunteer) -> list[Any]:
    weighed = [plot for plot in plots if not isnan(plot.kg_per_plant) and plot.plants > 0]
    if not weighed:
        words = of.say("none_yet")
    else:
        kilograms = sum(plot.kg_per_plant * plot.plants for plot in weighed)
        weight = in_unit(kilograms / sum(plot.plants for plot in weighed), of)
        words = (
            of.say("gave", weight=weight, season=trial.season)
            if trial.is_closed
            else of.say("so_far", weight=weight)
        )
    lucky = of.say(
        "lucky_closed" if trial.is_closed else "lucky",
        gardens=trial.gardens,
        close=of.long_day(trial.close),
    )
    return [html.H1(words, className="sentence", id="sentence"), html.P(lucky, className="second lead-in")]


def _seasons(trials: list[TrialSeason], now: TrialSeason, of: Volunteer) -> list[Any]:
    if len(trials) < 2:
        return []
    options = [
        (f"{one.title} {one.season}", of.address.choosing(trial=one.trial, season=one.season).href)
        for one in trials
    ]
    return [choice(of.say("season_choice"), options, trials.index(now))]


def _plots(view: View, plots: Sequence[OwnPlot], trial: TrialSeason, of: Volunteer) -> list[Any]:
    """Return the garden's plots, each by its number and the code on its tag, with what it gave so far."""
    treatments = data.treatments(view, trial)
    codes = dict(zip(treatments["treatment"], treatments["code"], strict=True))
    items = [
        part(
            "Li",
            [
                part("B", of.say("plot", plot=plot.plot)),
                part("Span", of.say("tag", code=codes.get(plot.treatment, "?")), className="second"),
                part(
                    "Span",
                    of.say("no_weight")
                    if isnan(plot.kg_per_plant)
                    else of.say("a_plant", weight=in_unit(plot.kg_per_plant, of)),
                ),
            ],
        )
        for plot in plots
    ]
    return [
        html.H2(of.say("plots_title")),
        html.Ul(items, className="own-plots"),
        html.P(of.say("plots_hint"), className="small second"),
    ]


def _season(view: View, trial: TrialSeason, of: Volunteer, screen: Screen) -> list[Any]:
    curves = own_curves(view, trial, of)
    if not curves:
        return []
    middle = middle_of_others(view, trial, of)
    rows = OwnSeason(
        curves=curves,
        middle=middle,
        names={plot: of.say("plot", plot=plot) for plot in curves},
        colour=str(of.garden["colour"]) if of.garden else "",
        unit=unit_of(of),
        band_words=of.say("band"),
        say_day=of.short_day,
    )
    ends = [curve[-1][1] for curve in curves.values()]
    low, high = (f"{value:.1f} {unit_of(of)}" for value in (min(ends), max(ends)))
    is_over = trial.state == "closed"
    seen = of.say("season_finding_closed" if is_over else "season_finding", n=len(curves), low=low, high=high)
    caption = of.say("band") if middle else of.say("no_band")
    unit = of.say("pounds" if unit_of(of) == "lb" else "kilos")
    query = of.address.choosing(trial=trial.trial, season=trial.season, lang=of.language).keeping(
        "trial", "season", "garden", "lang"
    )
    return [
        html.H2(of.say("season_title")),
        html.P(of.say("season_unit", unit=unit), className="small second"),
        figure_frame(
            own_season_figure(rows, screen),
            finding=seen,
            caption=caption_of(seen, caption),
            rows=Rows("my-garden", "own-season", query.query),
            speech=Speech(of.language),
        ),
    ]


def _table(view: View, selection: Selection, trial: TrialSeason | None) -> pd.DataFrame:
    """Return the garden's own curves."""
    if trial is None:
        return PLOT_CURVES.empty()
    own = data.of_garden(view, "plot_curves", site_of(view, selection.address), trial)
    return own.reset_index(drop=True)


PAGE = volunteer_page("/my-garden", MY_GARDEN, build, own_trial, {"own-season": _table})
