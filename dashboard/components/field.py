"""Fields of a form. Dash has no plain inputs, so assets/fields.js puts each where its place is marked."""

import json
from typing import Any

from dashboard.components.attributes import attributes
from dashboard.components.plain import Part, part


def field(identifier: str, name: str, **further: str) -> Part:
    """Return the place of an input with this id and name, and any further attributes of it by HTML names.

    `key` makes the browser start anew where another field takes its place.
    """
    told = {"id": identifier, "name": name, "type": "text", "autocomplete": "off"} | further
    return part("Span", className="field", key=identifier, **attributes(data_field=json.dumps(told)))


def labelled(words: str, identifier: str, name: str, *more: Any, **further: str) -> Part:
    """Return a field under its label, and what else stands with it."""
    place = field(identifier, name, **further)
    return part("Div", [part("Label", words, htmlFor=identifier), place, *more], className="labelled")
