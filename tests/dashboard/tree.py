"""Looking into a tree of components."""

from collections.abc import Iterator
from typing import Any

from dash import html
from dash.development.base_component import Component


def walk(tree: Any) -> Iterator[Any]:
    """Yield every component and every text of a tree, in the order of reading."""
    if isinstance(tree, list | tuple):
        for branch in tree:
            yield from walk(branch)
    elif isinstance(tree, dict):
        # A part as plain data: Dash itself makes it again, and refuses properties that it does not know.
        yield from walk(getattr(html, tree["type"])(**tree["props"]))
    elif isinstance(tree, Component):
        yield tree
        yield from walk(getattr(tree, "children", None))
    elif tree is not None:
        yield tree


def find(tree: Any, kind: str, **having: Any) -> list[Any]:
    """Return the components of a kind that have these properties."""
    return [
        node
        for node in walk(tree)
        if isinstance(node, Component)
        and type(node).__name__ == kind
        and all(
            getattr(node, name.replace("_", "-"), getattr(node, name, None)) == value
            for name, value in having.items()
        )
    ]


def text_of(tree: Any) -> str:
    """Return everything that a reader reads, in one line."""
    return " ".join(str(node) for node in walk(tree) if not isinstance(node, Component))
