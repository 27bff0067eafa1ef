"""Answers of the door that are pages: to sign in, and why something is not open."""

from typing import Any

from flask import Response, g, make_response, render_template, request

from dashboard.access.account import reader
from dashboard.access.door import Door
from dashboard.access.rules import rule_of
from dashboard.access.words import Words, words_for


def words_of(door: Door) -> Words:
    """Return the words for whoever asks."""
    return words_for(reader(), door.workspace.settings.language if door.workspace else "en")


def page(door: Door, template: str, status: int = 200, told: tuple[str, ...] = (), **values: Any) -> Response:
    """Return a page of the door; everything that people wrote stands in it as text."""
    words = words_of(door)
    text = render_template(template, words=words, proof=g.get("proof", ""), told=told, **values)
    return make_response(text, status)


def ask_to_sign_in(
    door: Door, told: tuple[str, ...] = (), status: int = 401, name: str = "", further: str = ""
) -> Response:
    """Return the page where people sign in; it leads on to the address that was asked for."""
    asked = request.full_path.rstrip("?") if request.method == "GET" else "/"
    return page(
        door,
        "sign_in.html",
        status,
        told,
        name=name,
        next=further or ("/" if asked.startswith("/sign-in") else asked),
        mail_links=bool(door.workspace and door.workspace.settings.serving.mail_links),
        has_results="/results" in g.get("pages", ()) and rule_of("page", "/results") is not None,
    )


def refused(door: Door, reason: str) -> Response:
    """Return the page that says why a page is not open."""
    words = words_of(door)
    heading, link = words("refused"), words("back")
    line = words("refused_lead", reason=reason)
    return page(door, "told.html", 403, heading=heading, line=line, href="/", link=link)


def cannot_be_shown(door: Door) -> Response:
    """Return the page that says that there is trouble, that nothing is lost, and leads to a new try."""
    words = words_of(door)
    again = request.full_path.rstrip("?") if request.method == "GET" else "/"
    heading, line, link = words("trouble"), words("trouble_lead"), words("again")
    return page(door, "told.html", 500, heading=heading, line=line, href=again, link=link, is_trouble=True)
