"""What the pages of a volunteer share: whose garden they show, in which language, and their head."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.address import Address
from dashboard.components.languages import languages
from dashboard.components.mark import icon, link, stake
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, number
from dashboard.pages.page import Build, Page, Table
from dashboard.selection import Selection
from dashboard.sending.ways import Reader
from dashboard.sending.words import say
from dashboard.speech import Speech
from dashboard.words import PageWords
from pipeline.checks.shown import shown_date
from pipeline.words import LANGUAGES

#: Gardens that are listed to choose from; of more, a reader finds the county first.
MOST_LISTED = 120
_MONTHS = {
    "en": "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec",
    "es": "ene feb mar abr may jun jul ago sep oct nov dic",
}


@dataclass(frozen=True)
class Volunteer:
    """The reader of a volunteer's page: the garden (None until one is chosen), and the language."""

    garden: dict[str, Any] | None
    language: str
    reader: Reader
    address: Address

    @property
    def site(self) -> str:
        """The garden's short name, blank until one is chosen."""
        return str(self.garden["site"]) if self.garden else ""

    def say(self, name: str, **values: object) -> str:
        """Return words in the reader's language."""
        return say(name, self.language, **values)

    def day(self, when: date) -> str:
        """Return a day short, the month as a word: Aug 12, 2025; 12 ago 2025."""
        month = _MONTHS[self.language].split()[when.month - 1]
        if self.language == "es":
            return f"{when.day}{NO_BREAK}{month}{NO_BREAK}{when.year}"
        return f"{month}{NO_BREAK}{when.day}, {when.year}"

    def short_day(self, when: date) -> str:
        """Return a day without its year: Aug 12; 12 ago."""
        month = _MONTHS[self.language].split()[when.month - 1]
        return f"{when.day}{NO_BREAK}{month}" if self.language == "es" else f"{month}{NO_BREAK}{when.day}"

    def long_day(self, when: date) -> str:
        """Return a day with its month in full: August 12; 12 de agosto."""
        return shown_date(when, self.language).removesuffix(f", {when.year}").removesuffix(f" de {when.year}")

    def at(self, path: str) -> str:
        """Return the address of another page about the same garden in the same language."""
        return self.address.keeping("garden", "lang").at(path).href


def volunteer_page(
    path: str,
    words: PageWords,
    build: Build,
    narrow_down: Callable[[View, Selection], Selection] = lambda view, selection: selection,
    tables: Mapping[str, Table] | None = None,
    within: str = "",
) -> Page:
    """Return a page in the hand for volunteers: of one garden, without the row, in the garden's language."""
    return Page(
        path,
        words,
        "running",
        narrow_down,
        build,
        tables or {},
        has_row=False,
        for_volunteers=True,
        within=within,
        speaks=language_of,
    )


def site_of(view: View, address: Address) -> str:
    """Return the garden that an address is about; whoever writes for one garden need not name it."""
    only = view.account.gardens[0] if len(view.account.gardens) == 1 else ""
    return address.get("garden") or only


def volunteer_of(view: View, selection: Selection, screen: Screen) -> Volunteer:
    """Return for whom a page is made: the garden in the address, and its language unless one was chosen."""
    own = data.of_garden(view, "gardens", site_of(view, selection.address))
    garden = None if own.empty else _with_colour(own.iloc[0].to_dict(), screen)
    site = "" if garden is None else str(garden["site"])
    language = language_of(view, selection.address)
    settings = view.gate.workspace.settings if view.gate else None
    plots = tuple(view.gate.garden(site).plots) if view.gate and site else ()
    reader = Reader(language, settings.units if settings else "us", site, plots)
    return Volunteer(garden, language, reader, selection.address)


def _with_colour(garden: dict[str, Any], screen: Screen) -> dict[str, Any]:
    return garden | {"colour": garden["colour_dark" if screen.paper == "dark" else "colour_light"]}


def language_of(view: View, address: Address) -> str:
    """Return the language of a volunteer's page: the one asked for, else the garden's, else the network's."""
    asked = address.get("lang")
    if asked in LANGUAGES:
        return asked
    return _language(view, site_of(view, address))


def _language(view: View, site: str) -> str:
    """Return the language of a garden, else that of the network."""
    if view.gate is None:
        return "en"
    garden = next(iter(view.gate.registered("gardens", site)), {})
    own = str(garden.get("language", "")).strip().lower()[:2]
    return own if own in LANGUAGES else view.gate.workspace.settings.language


def head(of: Volunteer) -> html.P:
    """Return the garden's line above everything else: its stake, name, and where it lies."""
    garden = of.garden
    if garden is None:
        return html.P(className="own-garden")
    county = garden.get("county")
    place = of.say("km", km=number(garden["position_km"]))
    if isinstance(county, str) and county:
        place += ", " + of.say("county", county=county)
    return html.P(
        [stake(garden["colour"]), html.B(garden["name"]), " ", html.Span(place, className="second nowrap")],
        className="own-garden",
    )


def sheet_of_paper(of: Volunteer, parts: Sequence[Any]) -> list[Any]:
    """Return a page's content in the hand for volunteers, marked with its language."""
    return [
        html.Div(
            [languages(of.address, Speech(of.language)), head(of), *parts], className="hand", lang=of.language
        )
    ]


def choose_garden(of: Volunteer, view: View) -> list[Any]:
    """Return the choice of a garden, for a reader whose account names none."""
    rests_on = ("choose garden", of.address.href, of.language)
    return view.once(rests_on, lambda: _choose_garden(of, view))


def _choose_garden(of: Volunteer, view: View) -> list[Any]:
    gardens = view.published.frame("gardens").sort_values("name")
    if gardens.empty:
        heading = html.H1(of.say("no_garden"), className="sentence")
        return [heading, html.P([icon("seed"), of.say("no_garden_hint")], className="empty")]
    if len(gardens) > MOST_LISTED and not (gardens["county"] == of.address.get("county")).any():
        return _choose_county(of, gardens)
    if len(gardens) > MOST_LISTED:
        gardens = gardens[gardens["county"] == of.address.get("county")]
    return [
        html.H1(of.say("choose_garden"), className="sentence"),
        html.P(of.say("choose_garden_hint")),
        html.Ul(_gardens_to_choose(of, gardens), className="gardens-to-choose"),
    ]


def _choose_county(of: Volunteer, gardens: pd.DataFrame) -> list[Any]:
    """Return the choice of a county, and of the gardens that have none."""
    counties = [
        html.Li(link(of.say("county", county=county), of.address.choosing(county=county).href))
        for county in sorted(gardens["county"].dropna().unique())
    ]
    nowhere = _gardens_to_choose(of, gardens[gardens["county"].isna()])
    return [
        html.H1(of.say("choose_county"), className="sentence"),
        html.Ul([*counties, *nowhere], className="gardens-to-choose"),
    ]


def _gardens_to_choose(of: Volunteer, gardens: pd.DataFrame) -> list[html.Li]:
    return [
        html.Li(link(name, of.address.choosing(garden=site, county=None).href))
        for site, name in zip(gardens["site"], gardens["name"], strict=True)
    ]
