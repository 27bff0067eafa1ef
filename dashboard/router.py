"""From an address to what stands on the page: a pure function of the snapshot, the address and the screen."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from dashboard.access.account import Account
from dashboard.access.rules import may
from dashboard.address import Address
from dashboard.components import shell, states
from dashboard.components.ruler import ruler
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages import (
    checks,
    compare,
    garden,
    gradient,
    my_garden,
    paper,
    plan,
    questions,
    reach,
    release,
    results,
    send,
    send_paper,
    send_picking,
    visits,
    watch,
)
from dashboard.pages.page import OfGarden, Page
from dashboard.selection import Selection, select, without_row
from dashboard.speech import ENGLISH, Speech
from sites.errors import InputError

#: In the order of the masthead.
PAGES: tuple[Page, ...] = (
    watch.PAGE,
    questions.PAGE,
    compare.PAGE,
    gradient.PAGE,
    send.PAGE,
    my_garden.PAGE,
    garden.PAGE,
    plan.PAGE,
    release.PAGE,
    reach.PAGE,
    results.PAGE,
    visits.PAGE,
    paper.PAGE,
    send_picking.PAGE,
    send_paper.PAGE,
    checks.PAGE,
)
#: The page that opens where the address names none.
FIRST = gradient.PAGE


@dataclass(frozen=True)
class Chosen:
    """What is of the chosen garden alone: the ruler, what stands below the main part, what is marked."""

    ruler: Sequence[Any] = ()
    below: Sequence[Any] = ()
    garden: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True)
class Routed:
    """What fills the shell: the window's title, the masthead, the main part, its language, and the garden's.

    `standing` names what stands then but for that garden; blank where another garden makes another page.
    """

    title: str
    masthead: Sequence[Any]
    main: Sequence[Any]
    speech: Speech = ENGLISH
    chosen: Chosen = Chosen()
    standing: str = ""


def page_at(path: str) -> Page | None:
    """Return the page at a path; None where there is none."""
    known = (page for page in PAGES if page.path == path.rstrip("/"))
    return next(known, FIRST if path == "/" else None)


def pages_for(account: Account) -> list[Page]:
    """Return the pages that an account may open, in the order of the masthead."""
    return [page for page in PAGES if may(account, "page", page.path)]


def first_page(account: Account) -> Page | None:
    """Return the page that opens where the address names none: the usual one, else the first allowed."""
    pages = pages_for(account)
    return FIRST if FIRST in pages else next(iter(pages), None)


def screen_of(told: Mapping[str, Any]) -> Screen:
    """Return the screen that the browser tells of; what it leaves out or garbles is taken as usual."""
    return Screen(
        paper="dark" if told.get("paper") == "dark" else "light",
        narrow=told.get("width") == "narrow",
        zone=str(told.get("zone", "UTC")),
    )


def route(view: View, path: str, search: str, screen: Screen) -> Routed:
    """Return everything that stands at an address."""
    pages = pages_for(view.account)
    address = Address.parse(path, search)
    page = page_of(view, address)
    if page is None:
        return Routed("Longrow", shell.masthead(pages, None, view, address, None, screen), states.lost())
    screen = replace(screen, speech=Speech(page.language(view, address)))
    try:
        selection = selected(view, page, address, screen)
    except InputError as problem:
        masthead = shell.masthead(pages, page, view, address, None, screen)
        told = states.unknown(screen.speech(str(problem)), page.path, screen.speech)
        return Routed(_title(page, screen), masthead, told, screen.speech)
    return Routed(
        _title(page, screen),
        shell.masthead(pages, page, view, address, selection, screen),
        page.build(view, selection, screen),
        screen.speech,
        _chosen(view, page, selection, screen),
        standing(view, address, screen),
    )


def choose_garden(view: View, address: Address, screen: Screen) -> Chosen:
    """Return what is of the garden that an address names, on a page that stands for any garden.

    Raises InputError where the address names something that the snapshot does not hold.
    """
    page = page_of(view, address)
    if page is None:
        return Chosen()
    screen = replace(screen, speech=Speech(page.language(view, address)))
    return _chosen(view, page, selected(view, page, address, screen), screen)


def standing(view: View, address: Address, screen: Screen) -> str:
    """Return a name for what stands at an address but for the chosen garden.

    Blank where another garden makes another page.
    """
    page = page_of(view, address)
    if page is None or page.of_garden is None:
        return ""
    chosen = sorted((key, value) for key, value in address.chosen.items() if key != "garden")
    drawn_for = (screen.paper, screen.narrow, screen.zone)
    return json.dumps([view.published.id, address.path, chosen, drawn_for])


def _chosen(view: View, page: Page, selection: Selection, screen: Screen) -> Chosen:
    address = selection.address
    rests_on = ("chosen", address.path, tuple(sorted(address.chosen.items())), screen)
    return view.once(rests_on, lambda: _chosen_anew(view, page, selection, screen))


def _chosen_anew(view: View, page: Page, selection: Selection, screen: Screen) -> Chosen:
    own = page.of_garden(view, selection, screen) if page.of_garden else OfGarden()
    return Chosen(
        ruler(view, selection, screen) if page.has_row else [],
        own.below,
        {"site": selection.garden or "", "lines": own.lines},
    )


def page_of(view: View, address: Address) -> Page | None:
    """Return the page at an address, or the one that opens where it names none; None where there is none."""
    return first_page(view.account) if address.path == "/" else page_at(address.path)


def selected(view: View, page: Page, address: Address, screen: Screen) -> Selection:
    """Return what an address means on a page.

    Raises InputError where it names something that the snapshot does not hold.
    """
    chosen = select(view, address, screen, prefer=page.prefer) if page.has_row else without_row(address)
    return page.narrow_down(view, chosen)


def _title(page: Page, screen: Screen) -> str:
    return f"{screen.speech(page.words.title)} · Longrow"
