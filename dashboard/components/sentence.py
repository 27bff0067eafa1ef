"""The sentence that says what it means, and below it how sure that is."""

import re
from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.components.plain import part
from dashboard.words import SHELL

#: A short word with a hyphen in it: a longer one may break after all, where a screen is narrow.
_HYPHENATED = re.compile(r"(?<!\S)(?=\S{1,16}(?!\S))(\S*\w-\w\S*)")


def unbroken(words: str) -> str | list[Any]:
    """Return the words of a heading; browsers break behind a hyphen, which a short word should not do."""
    texts = _HYPHENATED.split(words)
    if len(texts) == 1:
        return words
    return [
        part("Span", text, className="nowrap") if at % 2 else text for at, text in enumerate(texts) if text
    ]


def sentence(words: str, sure: Sequence[Any] | str = "", *, so_far: bool = False) -> list[Any]:
    """Return the page's heading and the line under it; `so_far` stamps that line until the trial closes."""
    stamp = [html.Span(SHELL["so_far"].upper(), className="interim")] if so_far else []
    below = [*stamp, *([sure] if isinstance(sure, str) else sure)]
    return [
        html.H1(unbroken(words), className="sentence", id="sentence"),
        *([html.P(below, className="sure")] if any(below) else []),
    ]
