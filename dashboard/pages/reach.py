"""Reach: what gardens and volunteers gave, with what each figure means and how complete it is."""

from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.address import Address
from dashboard.components.attributes import attributes
from dashboard.components.choice import choice
from dashboard.components.figure import Rows, figure_frame
from dashboard.components.mark import icon, picture, source_of
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.reach import county_map
from dashboard.figures.template import Screen
from dashboard.numerals import day, number
from dashboard.pages.page import ALWAYS, Content, Page
from dashboard.selection import Selection
from dashboard.wording.findings import counties_seen
from dashboard.wording.shared import REACH
from dashboard.wording.shared import REACH_WORDS as WORDS
from pipeline.publish import reach_year as years
from pipeline.publish.reach_measures import BY_NAME
from pipeline.publish.reach_year import ReachYear
from sites.errors import InputError

#: The measure that the map shows.
MAPPED = "service_hours"


def asked(view: View, address: Address) -> ReachYear | None:
    """Return the year that an address means; None while nothing was sent.

    Raises InputError for a year without figures.
    """
    reach, counties = data.reach(view)
    if reach.empty:
        return None
    named = address.get("year")
    if named is not None and not named.isdecimal():
        raise InputError(f"“{named}” is no year.")
    year = int(named) if named else None
    return view.once(("reach", year), lambda: years.reach_year(reach, counties, year))


def narrow_down(view: View, selection: Selection) -> Selection:
    """Return the selection as it is, once its year is known to have figures."""
    asked(view, selection.address)
    return selection


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    found = asked(view, selection.address)
    if found is None:
        return nothing_yet(REACH.title, REACH.nothing)
    return [
        *sentence(years.sentence(found), years.how_sure(found)),
        html.Div(_year_choice(view, found, selection.address), className="bar"),
        _figures(found, screen),
        html.Section(
            [
                html.Div([html.H2(WORDS["map"]), *_map(view, found, selection.address, screen)]),
                html.Div([html.H2(WORDS["document"]), *_document(found)]),
            ],
            className="block cols map-and-document",
        ),
    ]


def _year_choice(view: View, found: ReachYear, address: Address) -> list[Any]:
    known = years.years_of(data.reach(view)[0])
    if len(known) < 2:
        return []
    options = [(str(year), address.choosing(year=str(year)).href) for year in known]
    return [choice(WORDS["year"], options, known.index(found.year))]


def _figures(found: ReachYear, screen: Screen) -> html.Div:
    """Return the figures as a table: years side by side, completeness and definition beside or below."""
    shown = list(found.years)[-2:] if screen.narrow else list(found.years)
    heads = [
        html.Th(WORDS["what"], scope="col"),
        *(html.Th(str(year), scope="col", className="n") for year in shown),
    ]
    if not screen.narrow:
        heads += [html.Th(WORDS[word], scope="col") for word in ("trend", "complete", "counted")]
    body = [_row(found, name, shown, screen) for name in years.sent_measures(found)]
    until = WORDS["until"].format(day=day(found.until)) if found.is_running else WORDS["whole"]
    return html.Div(
        html.Table(
            [html.Caption(until), html.Thead(html.Tr(heads)), html.Tbody(body)], className="reach-figures"
        ),
        className="scroll",
        role="region",
        tabIndex="0",
        **attributes(aria_label=WORDS["figures"]),
    )


def _row(found: ReachYear, name: str, shown: list[int], screen: Screen) -> html.Tr:
    """Return one figure; when narrow, how complete and how counted stand below its name."""
    measure, complete = BY_NAME[name], years.complete(found.figure(name))
    cells = [
        html.Td(
            years.told(found.figure(name, year)),
            className="n nowrap" + (" now-figure" if year == found.year else ""),
        )
        for year in shown
    ]
    if screen.narrow:
        words = "; ".join(word for word in (measure.definition, complete) if word)
        note = html.Div(f"{words}.", className="fine second unstressed")
        return html.Tr([html.Th([measure.label, note], scope="row"), *cells])
    values = [found.figure(name, year)["shown"] for year in shown]
    return html.Tr(
        [
            html.Th(measure.label, scope="row"),
            *cells,
            html.Td(_trend(values, screen)),
            html.Td(complete, className="second small"),
            html.Td(measure.definition, className="second small"),
        ]
    )


def _trend(values: list[float], screen: Screen) -> html.Span:
    """Return the years as bars from zero on one ground line, for eyes only: the numbers stand beside them."""
    ink = screen.tokens["ink"]
    most = max((value for value in values if not pd.isna(value)), default=0.0) or 1.0
    bars = [
        f'<path d="M{12 + 34 * at} 21V{21 - 18 * value / most:.1f}" stroke="{ink}" '
        f'stroke-width="{5 if at == len(values) - 1 else 2.5}"/>'
        for at, value in enumerate(values)
        if not pd.isna(value)
    ]
    width = 24 + 34 * (len(values) - 1)
    ground = f'<path d="M0 22H{width}" stroke="{screen.tokens["ink3"]}"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} 24">{"".join(bars)}{ground}</svg>'
    return picture("trend", source_of(svg))


def mapped(found: ReachYear) -> pd.DataFrame:
    """Return the counties with the figure that the map shows, and whether it is over the median."""
    own = found.counties[found.counties["measure"] == MAPPED]
    middle = own["shown"].median()
    return own.assign(is_more=own["shown"] > middle).reset_index(drop=True)


def _map(view: View, found: ReachYear, address: Address, screen: Screen) -> list[Any]:
    rows, outlines = mapped(found), data.outlines(view)
    if rows.empty or outlines.empty:
        return [html.P(WORDS["no_map"], className="second")]
    sent = int(rows["shown"].notna().sum())
    seen = counties_seen(rows, found.year, "h")
    middle = rows["shown"].median()
    key = WORDS["key"].format(measure=BY_NAME[MAPPED].label, middle=number(middle)) if sent else ""
    return [
        figure_frame(
            county_map(outlines, rows, screen),
            finding=f"{seen} {key}".strip(),
            caption=[html.B(seen), " ", key],
            rows=Rows("reach", "by_county", address.query),
        )
    ]


def _document(found: ReachYear) -> list[Any]:
    query = f"?year={found.year}"
    return [
        html.Div(
            [
                html.P(WORDS["document_title"].format(year=found.year), className="document-title"),
                html.P(years.sentence(found), className="small"),
                html.P(WORDS["document_note"], className="fine second"),
            ],
            className="document",
        ),
        html.P(
            [
                html.A(
                    [icon("down"), " ", WORDS["pdf"]],
                    href=f"/download/reach.pdf{query}",
                    download="",
                    className="press",
                ),
                html.A(
                    [icon("down"), " ", WORDS["table"]],
                    href=f"/download/reach.csv{query}&figure=figures",
                    download="",
                    className="press second-choice",
                ),
            ],
            className="presses",
        ),
    ]


def _year_of(view: View, selection: Selection) -> ReachYear:
    found = asked(view, selection.address)
    if found is None:
        raise InputError(REACH.nothing)
    return found


def figures(view: View, selection: Selection, trial: None) -> pd.DataFrame:
    """Return the figures of the year and of those beside it, with definitions and completeness."""
    del trial
    return years.figures_table(_year_of(view, selection))


def by_county(view: View, selection: Selection, trial: None) -> pd.DataFrame:
    """Return the year's figures by county, in the order of their names; what is withheld is blank."""
    del trial
    return years.counties_table(_year_of(view, selection))


PAGE = Page(
    "/reach",
    REACH,
    "closed",
    narrow_down,
    build,
    {"figures": figures, "by_county": by_county},
    has_row=False,
    kept_seconds=ALWAYS,
)
