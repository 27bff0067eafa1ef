"""Garden: one garden down to its plots, their rows, the file and line of each, and what became of them."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, caption_of, figure_frame, table_behind
from dashboard.components.ledger import entry, ledger
from dashboard.components.mark import key, link
from dashboard.components.plain import part
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import TrialSeason, View
from dashboard.figures.plot_curves import PlotCurves, plot_curves_figure
from dashboard.figures.template import Screen
from dashboard.numerals import between, long_day, more_or_less, number, with_unit
from dashboard.pages import tables
from dashboard.pages.case import short_title
from dashboard.pages.evidence import Weights, weights_of
from dashboard.pages.garden_place import place
from dashboard.pages.garden_rows import curves_of_plots, plot_rows
from dashboard.pages.page import WITH_ROWS, Content, Page
from dashboard.pages.row_story import row_story
from dashboard.pages.waiting import questions_of
from dashboard.records import records
from dashboard.selection import Selection, measure, with_garden
from dashboard.wording.findings import garden_curves_seen
from dashboard.wording.garden import GARDEN, WORDS

#: Sheets that are listed, the newest.
_MOST_SHEETS = 12
#: What the page tells of the garden, a plot, a difference between treatments, a question, and a sheet.
_GARDEN = ("site", "name", "county", "position_km", "elevation_m", "colour", "reason")
_PLOT = (
    *("plot", "block", "treatment", "pickings_received", "pickings_expected"),
    *("marketable_kg_per_plant", "used", "why_not"),
)
_EFFECT = ("outcome", "treatment", "percent", "percent_low", "percent_high")
_QUESTION = ("group", "finding", "level", "message", "check", "plot", "code", "line", "date", "sent")
_SHEET = ("sheet", "verdict", "file", "received", "used", "rows")


def narrow_down(view: View, selection: Selection) -> Selection:
    """Return the selection with a garden, and with the measure that its difference is told in."""
    if selection.trial is None:
        return selection
    return measure(with_garden(selection), data.outcomes_compared(view, selection.trial))


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    trial = selection.trial
    here = records(selection.by_site.of(selection.garden or ""), _GARDEN)
    if trial is None or not here:
        return nothing_yet(GARDEN.title, GARDEN.nothing)
    garden = here[0]
    plots = records(data.of_garden(view, "plot_seasons", garden["site"], trial), _PLOT)
    if not plots:
        return nothing_yet(f"{garden['site']} {garden['name']}", GARDEN.nothing)
    return [
        *_sentence(garden, plots),
        *_figure(view, selection, trial, garden, screen),
        html.Section(
            [
                html.H2(WORDS["plots"]),
                html.P(WORDS["plots_note"], className="second small"),
                _plots(plots, selection, weights_of(view), screen),
                table_behind(Rows("garden", "rows", selection.address.query)),
            ],
            className="block",
        ),
        *plot_rows(view, selection, trial),
        *row_story(view, selection),
        html.Section(
            [
                html.Div([html.H2(WORDS["questions"]), *_questions(view, selection, trial, garden["site"])]),
                html.Div([html.H2(WORDS["files"]), *_files(view, garden["site"])]),
                html.Div([html.H2(WORDS["place"]), *place(view, trial, garden["site"])]),
            ],
            className="block cols",
        ),
    ]


def _sentence(garden: dict[str, Any], plots: Sequence[dict[str, Any]]) -> list[Any]:
    received, expected = (
        sum(plot[name] or 0 for plot in plots) for name in ("pickings_received", "pickings_expected")
    )
    counts = WORDS["pickings"].format(received=number(received), expected=number(expected))
    reason = (
        garden["reason"] if isinstance(garden["reason"], str) and garden["reason"] else "no state tonight"
    )
    heading = WORDS["heading"].format(site=garden["site"], name=garden["name"], reason=reason)
    sure = WORDS["sure_nowhere"].format(pickings=counts)
    if pd.notna(garden["position_km"]):
        sure = WORDS["sure"].format(
            county=garden["county"],
            km=number(garden["position_km"]),
            elevation=with_unit(garden["elevation_m"], "m"),
            pickings=counts,
        )
    return sentence(heading, sure)


def _figure(
    view: View, selection: Selection, trial: TrialSeason, garden: dict[str, Any], screen: Screen
) -> list[Any]:
    curves, unit = curves_of_plots(view, selection, trial), weights_of(view).unit
    if not curves:
        return []
    seen = garden_curves_seen(curves, unit, is_closed=trial.is_closed)
    caption = WORDS["caption"].format(gain=_gain(view, selection, trial, garden["site"])).strip()
    frame = figure_frame(
        plot_curves_figure(PlotCurves(curves, garden["colour"], unit), screen),
        finding=f"{WORDS['figure_finding'].format(site=garden['site'])} {seen}",
        caption=caption_of(seen, caption),
        rows=Rows("garden", "curves", selection.address.query),
    )
    return [html.Section([html.H2(WORDS["figure"]), frame], className="block")]


def _gain(view: View, selection: Selection, trial: TrialSeason, site: str) -> str:
    """Return what the treatment did in this garden, with its interval once the trial is closed."""
    own = [
        effect
        for effect in records(data.of_garden(view, "effects", site, trial), _EFFECT)
        if (effect["outcome"], effect["treatment"]) == (selection.outcome, selection.treatment)
        and pd.notna(effect["percent"])
    ]
    if not own:
        return ""
    effect = own[0]
    is_sure = pd.notna(effect["percent_low"])
    return WORDS["gain_interval" if is_sure else "gain"].format(
        treatment=selection.treatment_label,
        control=selection.control_label,
        percent=more_or_less(effect["percent"]) + ("" if is_sure else " so far"),
        interval=between(effect["percent_low"], effect["percent_high"]) if is_sure else "",
    )


def _plots(
    plots: Sequence[dict[str, Any]], selection: Selection, weights: Weights, screen: Screen
) -> html.Div:
    """Return the plots as a table, each a link to its rows."""
    treatments = {each["treatment"]: each for each in records(selection.treatments)}
    per_plant = f"{weights.unit} per plant"
    heads = ("Plot", "Block", "Treatment", "Pickings", per_plant, "Counts")
    chosen = selection.address.get("plot")
    body = []
    for plot in sorted(plots, key=lambda plot: (plot["block"], plot["plot"])):
        to = selection.address.choosing(plot=plot["plot"], row=None)
        name = link(plot["plot"], to.href, current="true" if plot["plot"] == chosen else None)
        planted = treatments.get(plot["treatment"], {})
        treatment = [key(int(planted.get("order", 0)), screen.tokens), planted.get("label", "")]
        cells = [
            part("Th", name, scope="row"),
            part("Td", plot["block"]),
            part("Td", treatment),
            part("Td", f"{plot['pickings_received']} of {plot['pickings_expected']}", className="n"),
            part("Td", number(plot["marketable_kg_per_plant"] * weights.per_kg, 2), className="n"),
            part("Td", "yes" if plot["used"] else plot["why_not"], className="second"),
        ]
        body.append(part("Tr", cells))
    head = [
        part("Th", words, scope="col", className="n" if words in ("Pickings", per_plant) else None)
        for words in heads
    ]
    table = html.Table([html.Thead(part("Tr", head)), html.Tbody(body)])
    return html.Div(
        table, className="scroll", role="region", tabIndex="0", **attributes(aria_label=WORDS["plots"])
    )


def _questions(view: View, selection: Selection, trial: TrialSeason, site: str) -> list[Any]:
    first_of_group: dict[Any, dict[str, Any]] = {}
    for question in records(questions_of(view, trial, site), _QUESTION):
        first_of_group.setdefault(question["group"], question)
    entries = [
        entry(
            group["level"],
            [html.B(short_title(group))],
            group["message"],
            link(
                WORDS["decide"],
                selection.address.at("/questions")
                .choosing(question=str(group["finding"]), plot=None, row=None)
                .href,
                className="small",
            ),
        )
        for group in first_of_group.values()
    ]
    visits = selection.address.at("/visits").choosing(plot=None, row=None).href
    more = [html.P(link(WORDS["visit"], visits), className="small")] if entries else []
    return [ledger(entries, WORDS["questions_none"]), *more]


def _files(view: View, site: str) -> list[Any]:
    """Return what the garden sent, the newest first."""
    own = records(data.of_garden(view, "uploads", site), _SHEET)
    entries = [
        entry(
            sent["verdict"],
            [html.B(sent["file"]), " ", html.Span(long_day(sent["received"]), className="second nowrap")],
            _became(sent),
        )
        for sent in own[: -_MOST_SHEETS - 1 : -1]
    ]
    return [ledger(entries, WORDS["files_none"])]


def _became(sent: dict[str, Any]) -> str:
    is_picture = pd.isna(sent["sheet"]) and sent["verdict"] != "refused"
    return WORDS["file_picture"] if is_picture else WORDS["file_rows"].format(**sent)


PAGE = Page(
    "/garden",
    GARDEN,
    "running",
    narrow_down,
    build,
    {"curves": tables.garden_curves, "rows": tables.garden_rows},
    kept_seconds=WITH_ROWS,
)
