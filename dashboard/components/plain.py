"""Parts of a page as plain data, for those that a page has by the dozen.

A part made by `dash.html` looks through its own properties when it is made and again when it is written
out, which takes longer than all else that is done for it. What browsers get is the same.
"""

from typing import Any

#: A part as browsers get it. Dash's own types know no parts but components, so that it is any value to them.
Part = Any


def part(kind: str, children: Any = None, **properties: Any) -> Part:
    """Return an element of HTML with what stands in it, as `html.Span("G01", className="id")` does.

    Kinds and properties are named as in `dash.html`; nothing checks them here, so tests build the same part
    with Dash, which refuses what it does not know.
    """
    return {"props": {"children": children, **properties}, "type": kind, "namespace": "dash_html_components"}
