"""The shell round every page: masthead, ruler, main part, foot; without data until a callback fills it."""

from collections.abc import Sequence
from typing import Any

from dash import dcc, html

from dashboard.access.account import Account
from dashboard.address import Address
from dashboard.components.attributes import UNSEEN, attributes
from dashboard.components.choice import choice
from dashboard.components.mark import link
from dashboard.components.plain import part
from dashboard.components.states import reading, unreached
from dashboard.data import TrialSeason, View
from dashboard.figures.template import Screen
from dashboard.numerals import NO_BREAK, count, long_day, moment
from dashboard.pages.page import Page
from dashboard.pages.waiting import waiting_groups
from dashboard.selection import Selection
from dashboard.speech import ENGLISH, Speech
from dashboard.words import SHELL, STATES

#: What the lead does to the store; a page is shown anew after each.
CHANGED = ("decided", "undone", "typed", "changed")


def frame(pages: Sequence[Page], account: Account, *, open_notice: bool) -> html.Div:
    """Return the empty frame that is sent before anybody is known to be allowed to see anything."""
    speech = Speech(account.language)
    reads = {page.path: speech(page.words.reading) if page.speaks else page.words.reading for page in pages}
    return html.Div(
        [
            dcc.Location(id="url", refresh=False),
            dcc.Store(id="screen"),
            dcc.Store(id="title"),
            dcc.Store(id="language"),
            dcc.Store(id="standing"),
            dcc.Store(id="garden"),
            *(dcc.Store(id=name) for name in CHANGED),
            dcc.Store(id="reading-by-page", data=reads),
            html.A(speech.of(SHELL, "skip"), className="skip", href="#main"),
            html.Header(
                [
                    link(
                        [html.Span(className="logo", **UNSEEN), "Longrow"],
                        "/",
                        className="mark",
                    ),
                    html.Div(id="masthead", className="mast-rest"),
                ],
                className="mast",
            ),
            html.Nav(id="ruler", className="ruler", **attributes(aria_label=SHELL["ruler"])),
            html.Main(
                [
                    unreached(speech),
                    html.Div(id="main", tabIndex="-1"),
                    html.Div(id="below"),
                    reading(STATES["reading"]),
                ]
            ),
            html.Footer(foot(account, speech, open_notice=open_notice), id="foot", className="foot"),
        ],
        className="page",
    )


def foot(account: Account, speech: Speech, *, open_notice: bool) -> list[Any]:
    """Return who reads, the pages that the masthead does not name, and the choice of paper."""
    notice = [html.P(speech.of(SHELL, "open"))] if open_notice else []
    # Plain links: sign-in and account come without the rest of the dashboard.
    if account.role == "public":
        notice = [html.P(html.A(speech.of(SHELL, "sign_in"), href="/sign-in"))]
    elif account.id:
        notice = [html.P([f"{account.name} · ", html.A(speech.of(SHELL, "account"), href="/account")])]
    return [*notice, html.P(link(speech.of(SHELL, "checks"), "/checks")), _paper_choice(speech)]


def _paper_choice(speech: Speech) -> html.Div:
    """Return the choice of paper: a taste of this reader on this device, so no part of the address."""
    return html.Div(
        [
            html.Span(speech.of(SHELL, "paper"), className="legend"),
            *(
                html.Button(
                    speech.of(SHELL, words),
                    className="option",
                    **attributes(data_paper=paper, aria_pressed="false"),
                )
                for paper, words in (("device", "as_device"), ("light", "light"), ("dark", "dark"))
            ),
        ],
        className="choice paper",
        role="group",
        **attributes(aria_label=speech.of(SHELL, "paper")),
    )


def masthead(
    pages: Sequence[Page],
    page: Page | None,
    view: View,
    address: Address,
    selection: Selection | None,
    screen: Screen,
) -> list[Any]:
    """Return the wordmark, the pages, and which trial is seen and of when."""
    kept = address.keeping("trial", "season", "outcome", "garden", "lang") if selection else Address("/", {})
    here = (page.within or page.path) if page else None
    items = [
        part(
            "Li",
            link(
                [screen.speech(one.words.link), *_waiting(one, view, selection)],
                kept.at(one.path).href if _keeps(one) else one.path,
                current="page" if one.path == here else None,
                **(attributes(data_keeps="garden") if selection and _keeps(one) else {}),
            ),
        )
        for one in pages
        if one.is_listed and not one.within
    ]
    speech, when = screen.speech, view.published.published
    # The hour is told in English only; elsewhere the day will do.
    told = moment(when, screen.zone) if speech == ENGLISH else speech.long_day(when)
    published = speech.of(SHELL, "published", moment=told)
    about = [*(_trial_choice(selection) if selection else []), html.P(published), *_about(view, selection)]
    return [
        html.Nav(html.Ul(items), **attributes(aria_label=speech.of(SHELL, "pages"))),
        html.Div(about, className="night"),
    ]


def _keeps(page: Page) -> bool:
    """Return whether a page goes on with the trial and the garden that are chosen."""
    return page.has_row or page.for_volunteers


def _waiting(page: Page, view: View, selection: Selection | None) -> list[Any]:
    """Return how many questions of the season wait, beside the page that has them."""
    if page.path != "/questions" or selection is None or selection.trial is None:
        return []
    waits = waiting_groups(view, selection.trial)
    words = attributes(title=SHELL["waiting"].format(n=f"{waits:,}"))
    return [NO_BREAK, html.Span(f"{waits:,}", className="waiting-count", **words)] if waits else []


def _about(view: View, selection: Selection | None) -> list[Any]:
    """Return what a slide says of its figure: trial, season, gardens and day; not shown on the page."""
    if selection is None or selection.trial is None:
        return []
    words = SHELL["about"].format(
        trial=selection.trial.title,
        season=_season_name(selection.trial),
        gardens=count(len(selection.gardens), "garden", "gardens"),
        day=long_day(view.published.published),
    )
    return [html.P(words, id="about", hidden=True)]


def _trial_choice(selection: Selection) -> list[Any]:
    """Return the trial's name, or the choice of trials where there are more, and that of its seasons."""
    now = selection.trial
    if now is None:
        return []
    trials = list({one.trial: one for one in reversed(selection.trials)}.values())[::-1]
    seasons = sorted((one for one in selection.trials if one.trial == now.trial), key=lambda one: one.start)
    parts: list[Any] = []
    if len(trials) > 1:
        options = [(one.title, Address(selection.address.path, {"trial": one.trial}).href) for one in trials]
        parts.append(choice(SHELL["trials"], options, [one.trial for one in trials].index(now.trial)))
    if len(seasons) > 1:
        options = [(_season_name(one), _season_href(selection, one)) for one in seasons]
        parts.append(
            choice(
                now.title if len(trials) == 1 else SHELL["seasons"],
                options,
                [one.season for one in seasons].index(now.season),
            )
        )
    elif len(trials) == 1:
        parts.append(html.P(f"{now.title}, {_season_name(now)}"))
    return parts


def _season_href(selection: Selection, season: TrialSeason) -> str:
    return selection.address.keeping("outcome").choosing(trial=season.trial, season=season.season).href


def _season_name(season: TrialSeason) -> str:
    if season.is_closed:
        return season.season
    return f"{season.season}, {SHELL['so_far'] if season.state == 'running' else season.state}"
