"""The sentence that says what it means, and below it how sure that is."""

from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.words import SHELL


def sentence(words: str, sure: Sequence[Any] | str = "", *, so_far: bool = False) -> list[Any]:
    """Return the page's heading and the line under it; `so_far` stamps that line until the trial closes."""
    stamp = [html.Span(SHELL["so_far"].upper(), className="interim")] if so_far else []
    below = [*stamp, *([sure] if isinstance(sure, str) else sure)]
    return [
        html.H1(words, className="sentence", id="sentence"),
        *([html.P(below, className="sure")] if any(below) else []),
    ]
