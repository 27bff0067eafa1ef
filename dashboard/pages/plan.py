"""Plan: how many gardens and blocks, where the next one helps, layouts, and gardens that were asked."""

from dataclasses import replace
from typing import Any

import pandas as pd
from dash import dcc, html

from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, caption_of, figure_frame
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.next_map import NextMap, next_map
from dashboard.figures.planning import NextRows, PowerRows, next_figure, power_figure
from dashboard.figures.template import Screen
from dashboard.numerals import count, number, small_percent
from dashboard.pages import tables
from dashboard.pages.page import ALWAYS, Content, OfGarden, Page
from dashboard.pages.plan_gardens import asked_gardens, gardens_of, layout, next_map_rows
from dashboard.pages.plan_inputs import FIELDS, Inputs, best_places, inputs_of
from dashboard.selection import Selection
from dashboard.wording.plan import PLAN, WORDS
from pipeline.response.planning import Plan
from sites.errors import InputError

#: Percent of the slope's range below which one more garden changes little. Common practice, no source.
LITTLE_PCT = 0.1


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page but for the garden's layout and what follows it."""
    selection = selection.for_any_garden
    if selection.trial is None:
        return nothing_yet(PLAN.title, PLAN.nothing)
    try:
        inputs = inputs_of(view, selection)
        made = inputs.planned()
    except InputError as problem:
        said = WORDS["again"].format(problem=problem)
        first = inputs_of(view, _without(selection))
        return [
            *sentence(PLAN.title),
            html.P(said, className="answer-trouble", role="alert"),
            _form(first, selection),
        ]
    return [
        *sentence(made.sentence, _start(inputs)),
        _form(inputs, selection),
        *_power(made, inputs, selection, screen),
        *_next(view, inputs, selection, screen),
    ]


def of_garden(view: View, selection: Selection, screen: Screen) -> OfGarden:
    """Return the layout of the chosen garden, and the gardens that were asked, which stand below it."""
    if selection.trial is None:
        return OfGarden()
    blocks = view.once_for_all(_blocks, selection, screen)
    if blocks is None:
        return OfGarden()
    asked = view.once_for_all(_asked, selection, screen)
    return OfGarden(below=[*layout(view, selection, blocks), *asked])


def _blocks(view: View, selection: Selection, screen: Screen) -> int | None:
    """Return the blocks of the plan; None where it cannot be worked out."""
    del screen
    try:
        inputs = inputs_of(view, selection)
        inputs.planned()
    except InputError:
        # The page says what has to be mended.
        return None
    return inputs.blocks


def _asked(view: View, selection: Selection, screen: Screen) -> list[Any]:
    return asked_gardens(view, selection, inputs_of(view, selection).blocks, screen)


def _without(selection: Selection) -> Selection:
    """Return the selection without the fields of the form, so that it can be filled again."""
    return replace(selection, address=selection.address.choosing(**dict.fromkeys(FIELDS)))


def _start(inputs: Inputs) -> str:
    if inputs.closed is None:
        return WORDS["from_usual"]
    return WORDS["from_closed"].format(trial=inputs.closed.title.lower(), season=inputs.closed.season)


def _form(inputs: Inputs, selection: Selection) -> html.Form:
    """Return the form, whose answer is an address that can be mailed; the browser adds the chosen garden."""
    kept = [
        dcc.Input(type="hidden", name=key, value=value)
        for key, value in selection.address.chosen.items()
        if key not in FIELDS
    ]
    fields = [_field(name, getattr(inputs, name)) for name in FIELDS]
    button = html.Button(WORDS["work_out"], type="submit", className="press")
    return html.Form(
        [
            html.H2(WORDS["form"], className="h-small"),
            html.Div([*fields, html.Div(button)], className="plan-form"),
            *kept,
        ],
        action="/plan",
        method="get",
        **attributes(data_inside="yes", data_keeps="garden"),
    )


def _field(name: str, value: float) -> html.Div:
    written = "" if name == "plants" and not value else f"{value:g}"
    label = html.Label(WORDS[name], htmlFor=f"plan-{name}", className="small")
    entry = dcc.Input(id=f"plan-{name}", name=name, type="text", inputMode="numeric", value=written)
    return html.Div([label, entry], className="field")


def _power(made: Plan, inputs: Inputs, selection: Selection, screen: Screen) -> list[Any]:
    table = pd.DataFrame([{"gardens": each.gardens, "power": each.power} for each in made.table])
    drawn = PowerRows(table, made.needed.gardens, made.needed.power, made.target_power)
    gain, power = f"{number(inputs.gain)}%", f"{number(100 * made.needed.power)}%"
    gardens = count(made.needed.gardens, "garden", "gardens")
    finding = WORDS["power_finding"].format(
        gardens=gardens, blocks=made.needed.blocks, gain=gain, power=power
    )
    doubled = WORDS["doubled"].format(
        blocks=f"{number(100 * made.doubled_blocks.power)}%",
        gardens=f"{number(100 * made.doubled_gardens.power)}%",
    )
    caption = WORDS["power_caption"].format(gain=gain, power=f"{number(inputs.power)}%")
    frame = figure_frame(
        power_figure(drawn, screen),
        finding=finding,
        caption=caption_of(finding, doubled, made.one_garden.sentence, caption),
        rows=Rows("plan", "power", selection.address.query),
    )
    rests = html.Details(
        [html.Summary(WORDS["assumes"]), html.Ul([html.Li(each) for each in made.assumptions])],
        className="more",
    )
    return [html.Section([html.H2(WORDS["power_title"]), frame, rests], className="block")]


def _next(view: View, inputs: Inputs, selection: Selection, screen: Screen) -> list[Any]:
    heading = html.H2(WORDS["next_title"])
    nothing = [html.Section([heading, html.P(WORDS["next_none"], className="second")], className="block")]
    if inputs.closed is None:
        return nothing
    gardens, row = gardens_of(view, inputs.closed, screen.paper)
    found = best_places(view, inputs.closed, max(row.low, 0.0), row.high)
    if found is None:
        return nothing
    best = found.options[found.options["position_km"] == found.best_km].iloc[0]
    finding = WORDS["next_finding"].format(
        km=number(found.best_km), percent=small_percent(best["narrower_pct"])
    )
    little = WORDS["next_little"] if best["narrower_pct"] < LITTLE_PCT else ""
    frame = figure_frame(
        next_figure(NextRows(found.options, gardens, row, found.best_km), screen),
        finding=finding,
        caption=caption_of(finding, little, WORDS["next_caption"]),
        rows=Rows("plan", "next", selection.address.query),
    )
    shown = next_map_rows(view, inputs.closed, screen.paper)
    on_map = _next_map(shown, selection, screen) if shown is not None and len(shown.outlines) else []
    named = attributes(aria_label=WORDS["next_title"])
    return [html.Section([heading, frame, *on_map], className="block", **named)]


def _next_map(shown: NextMap, selection: Selection, screen: Screen) -> list[Any]:
    """Return the map of the places, with what a garden that was asked would bring."""
    finding = WORDS["map_none_asked"]
    if len(asked := shown.asked.dropna(subset=["narrower_pct"])):
        best = asked.loc[asked["narrower_pct"].idxmax()]
        finding = WORDS["map_finding" if len(asked) > 1 else "map_finding_one"].format(
            site=best["site"],
            name=best["name"],
            km=number(best["position_km"]),
            percent=small_percent(best["narrower_pct"]),
        )
    frame = figure_frame(
        next_map(shown, screen),
        finding=finding,
        caption=caption_of(finding, WORDS["map_caption"]),
        rows=Rows("plan", "next-map", selection.address.query),
    )
    return [html.H3(WORDS["map_title"]), frame]


PAGE = Page(
    "/plan",
    PLAN,
    "running",
    lambda view, selection: selection,
    build,
    {
        "power": tables.power,
        "next": tables.next_places,
        "next-map": tables.next_map,
        "asked": tables.asked,
        "layout": tables.layout,
    },
    kept_seconds=ALWAYS,
    of_garden=of_garden,
)
