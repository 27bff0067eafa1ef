"""The smallest parts: links, state marks, a garden's stake, a treatment's key."""

from functools import lru_cache
from typing import Any
from urllib.parse import quote

from dashboard.components.attributes import UNSEEN, attributes
from dashboard.components.plain import Part, part
from dashboard.figures.marks import CORNERS, DASHES, SIZES, SYMBOLS, WIDTHS, style
from dashboard.figures.template import Tokens

#: Mark of assets/marks for each state of a garden and each verdict on a sheet.
MARK_OF = {
    "in step": "step",
    "late": "late",
    "question": "question",
    "held": "held",
    "not yet picked": "seed",
    "resting": "rest",
    "closed": "sheaf",
    "taken": "step",
    "taken in part": "held",
    "refused": "question",
}


def link(children: Any, href: str, *, current: str | None = None, **further: Any) -> Part:
    """Return a link to an address of the dashboard; `current` marks the one that is chosen.

    A plain link, since those of Dash can neither carry aria-current nor stay where the reader was;
    assets/links.js follows it without loading the page anew.
    """
    marked = attributes(aria_current=current) if current else {}
    return part("A", children, href=href, **attributes(data_inside="yes"), **marked, **further)


def icon(name: str) -> Part:
    """Return a drawn mark for eyes only: a word always stands beside it."""
    return part("Span", className=f"mk mk-{name}", **UNSEEN)


def state_icon(state: str) -> Part:
    """Return the mark of a garden's state or of a sheet's verdict."""
    return icon(MARK_OF.get(state, "note"))


def stake(colour: str) -> Part:
    """Return a garden's colour as a stake; its name stands beside it."""
    return part("Span", className="stake", style={"--g": colour}, **UNSEEN)


@lru_cache(maxsize=64)
def source_of(svg: str) -> str:
    """Return a drawing made here as an image of a style sheet."""
    return source_of_quoted(quote(svg))


def source_of_quoted(svg: str) -> str:
    """Return a drawing that is quoted for an address already, as an image of a style sheet."""
    return f'url("data:image/svg+xml,{svg}")'


def picture(class_name: str, *sources: str) -> Part:
    """Return drawings over each other, the first on top, as a background for eyes only; none for a blank."""
    over = ", ".join(source for source in sources if source)
    return part("Span", className=class_name, style={"backgroundImage": over}, **UNSEEN)


def key(order: int, tokens: Tokens) -> Part:
    """Return a treatment's line and mark in ink."""
    form, ink = style(order), tokens["ink"]
    dash = "none" if DASHES[form] == "solid" else DASHES[form].replace("px", "")
    reach, symbol = SIZES[form] / 2, SYMBOLS[form]
    fill, edge = (tokens["paper"], ink) if form == 0 else (ink, tokens["paper"])
    width = 2.2 if form == 0 else 1.2
    if symbol in CORNERS:
        corners = (f"{17 + reach * x:.2f} {8 - reach * y:.2f}" for x, y in CORNERS[symbol])
        shape = f'<path d="M{"L".join(corners)}Z"'
    elif symbol == "circle":
        shape = f'<circle cx="17" cy="8" r="{reach}"'
    else:
        shape = f'<rect x="{17 - reach}" y="{8 - reach}" width="{2 * reach}" height="{2 * reach}"'
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 34 16"><path d="M0 8H34" stroke="{ink}" '
        f'stroke-width="{WIDTHS[form]}" stroke-dasharray="{dash}"/>{shape} fill="{fill}" '
        f'stroke="{edge}" stroke-width="{width}"/></svg>'
    )
    return picture("key", source_of(svg))
