"""Compare: every plot and every garden by treatment, beside the whole row and through the season."""

from typing import Any

from dash import html

from dashboard import data
from dashboard.components.choice import measure_choice, treatment_choice
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.components.mark import key
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import TrialSeason, View
from dashboard.figures.compare import compare_figure
from dashboard.figures.effects import effects_figure
from dashboard.figures.fruit_mass import fruit_mass_figure, is_counted, middle_half
from dashboard.figures.response import runs_out
from dashboard.figures.season import season_figure
from dashboard.figures.template import Screen
from dashboard.numerals import count, long_day, number, some_of
from dashboard.pages import tables
from dashboard.pages.interim_looks import interim_looks, interim_table
from dashboard.pages.over_seasons import season_by_season, seasons_table
from dashboard.pages.page import ALWAYS, Content, Page
from dashboard.pages.rows import (
    compare_rows,
    effect_rows,
    fruit_mass_rows,
    season_rows,
)
from dashboard.pages.sureness import sureness, sureness_table
from dashboard.selection import Selection, measure
from dashboard.wording.findings import (
    differences_seen,
    lead_through_season,
    masses_seen,
    network_seen,
    plots_seen,
)
from dashboard.wording.measures import OUTCOMES
from dashboard.words import COMPARE, FIGURE, GRADIENT_WORDS
from dashboard.words import COMPARE_WORDS as WORDS


def narrow_down(view: View, selection: Selection) -> Selection:
    """Return the selection with the measures that some plot of the season has."""
    if selection.trial is None:
        return selection
    trial = selection.trial
    return measure(selection, view.once(("measured", trial), lambda: _measured(view, trial)))


def _measured(view: View, trial: TrialSeason) -> list[str]:
    plots = data.of_season(view, "plot_seasons", trial)
    return [outcome for outcome in OUTCOMES if plots[outcome].notna().any()]


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    trial = selection.trial
    if trial is None or not selection.outcome or not selection.treatment:
        return nothing_yet(COMPARE.title, COMPARE.nothing)
    heading, sure = data.sentence(view, trial, "compare", selection.outcome, selection.treatment)
    if not heading and trial.is_closed:
        # A count of gardens that gave more is no finding for shares and days; the night's answer is.
        heading, sure = data.sentence(view, trial, "network", selection.outcome, selection.treatment)
    if not trial.is_closed:
        until = WORDS["running"].format(night=long_day(view.published.night), close=long_day(trial.close))
        sure = f"{until} {sure}".strip()
    against = WORDS["against"].format(control=selection.control_label)
    return [
        *sentence(heading or COMPARE.title, sure, so_far=not trial.is_closed),
        html.Div([measure_choice(selection), treatment_choice(against, selection, screen)], className="bar"),
        *_plots(view, selection, trial, screen),
        *interim_looks(view, selection, trial, "compare"),
        *(_effects(view, selection, trial, screen) if trial.is_closed else []),
        *view.once_for_all(_network, selection, screen),
        *_season(view, selection, trial, screen),
        *view.once_for_all(_fruit_mass, selection, screen),
    ]


def _network(view: View, selection: Selection, screen: Screen) -> list[Any]:
    """Return how sure the network's answer is, and how it was season by season."""
    trial = selection.trial
    if trial is None:
        return []
    return [*sureness(view, selection, trial, screen), *season_by_season(view, selection, trial, screen)]


def _window(selection: Selection) -> str:
    """Return which gardens are drawn where the row is longer than a figure, or who lacks a place on it."""
    shown, placed = selection.neighbours["site"].tolist(), selection.placed["site"]
    if len(shown) == len(placed):
        lacking = selection.gardens.loc[~selection.gardens["site"].isin(placed), "site"]
        return " " + FIGURE["missing"].format(gardens=some_of(lacking.tolist())) if len(lacking) else ""
    middle = selection.garden or shown[0]
    return " " + FIGURE["window"].format(
        shown=number(len(shown)), total=number(len(selection.gardens)), garden=middle
    )


def _plots(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    rows = compare_rows(view, selection, trial, screen)
    caption = WORDS["caption"] + ("" if rows.plots["used"].all() else " " + WORDS["cross"])
    gardens = count(rows.plots["site"].nunique(), "garden", "gardens")
    about = WORDS["finding"].format(outcome=rows.outcome.title, gardens=gardens)
    seen = plots_seen(
        rows.means, rows.treatments, selection.treatment, rows.outcome, is_closed=trial.is_closed
    )
    averaged = set(rows.means["site"])
    lacking = [site for site in rows.gardens["site"] if site not in averaged]
    if lacking:
        caption += " " + FIGURE["missing"].format(gardens=some_of(lacking))
    frame = figure_frame(
        compare_figure(rows, screen),
        finding=f"{about} {seen}".strip(),
        caption=caption_of(seen, caption + _window(selection)),
        rows=Rows("compare", "plots", selection.address.query),
    )
    # Wide, the key stands in the gutter; narrow, there is no room but above.
    return [html.P(_keys(selection, screen), className="small keys"), frame] if screen.narrow else [frame]


def _keys(selection: Selection, screen: Screen) -> list[Any]:
    """Return the key of all treatments as one line."""
    pairs = zip(selection.treatments["order"], selection.treatments["label"], strict=True)
    return [
        html.Span([key(int(order), screen.tokens), label], className="nowrap key-entry")
        for order, label in pairs
    ]


def _effects(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    rows = effect_rows(view, selection, trial, screen)
    if rows.effects.empty:
        return []
    network = rows.network
    caption = WORDS["effects_caption" if network else "effects_caption_plain"]
    if runs_out(rows.effects, rows.span):
        caption += " " + GRADIENT_WORDS["cut"]
    control, unit = selection.control_label, rows.unit
    seen = differences_seen(rows.effects, control, is_closed=trial.is_closed, unit=unit)
    finding = f"{WORDS['effects']}. {seen}"
    if network:
        finding = f"{network_seen(network, selection.treatment_label, control, unit)} {seen}"
    frame = figure_frame(
        effects_figure(rows, screen),
        finding=finding,
        caption=caption_of(seen, caption + _window(selection)),
        rows=Rows("compare", "effects", selection.address.query),
    )
    return [html.Section([html.H2(WORDS["effects"]), frame], className="block")]


def _season(view: View, selection: Selection, trial: TrialSeason, screen: Screen) -> list[Any]:
    rows = season_rows(view, selection, trial)
    if rows is None:
        return []
    gain = WORDS["season_gain"].format(treatment=selection.treatment_label, control=selection.control_label)
    gardens = count(len({site for site, _ in rows.curves}), "garden", "gardens")
    seen = lead_through_season(rows.curves, rows.treatments, selection.treatment, is_closed=trial.is_closed)
    frame = figure_frame(
        season_figure(rows, screen),
        finding=f"{WORDS['season_finding'].format(gardens=gardens)} {seen}".strip(),
        caption=caption_of(seen, WORDS["season_caption"] + _window(selection)),
        rows=Rows("compare", "season", selection.address.query),
    )
    note = html.P(
        [f"{WORDS['season_note']} {gain} ", *_keys(selection, screen)], className="second small before-figure"
    )
    return [html.Section([html.H2(WORDS["season"]), note, frame], className="block")]


def _fruit_mass(view: View, selection: Selection, screen: Screen) -> list[Any]:
    rows = fruit_mass_rows(view, selection, selection.trial, screen) if selection.trial else None
    if rows is None or rows.plots.empty:
        return []
    seen = masses_seen(middle_half(rows))
    frame = figure_frame(
        fruit_mass_figure(rows, screen),
        finding=seen,
        caption=caption_of(seen, WORDS["mass_counted" if is_counted(rows) else "mass_caption"]),
        rows=Rows("compare", "mass", selection.address.query),
    )
    return [html.Section([html.H2(WORDS["mass"]), frame], className="block")]


PAGE = Page(
    "/compare",
    COMPARE,
    "closed",
    narrow_down,
    build,
    {
        "plots": tables.plots,
        "effects": tables.effects,
        "ways": sureness_table,
        "seasons": seasons_table,
        "interim": interim_table,
        "season": tables.season,
        "mass": tables.fruit_mass,
    },
    kept_seconds=ALWAYS,
)
