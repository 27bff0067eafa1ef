"""Attributes of HTML whose names Python cannot spell."""

from typing import Any


def attributes(**named: str) -> dict[str, Any]:
    """Return attributes by their HTML names: aria_label becomes aria-label."""
    return {name.replace("_", "-"): value for name, value in named.items()}


#: For drawings that a word stands beside.
UNSEEN = attributes(aria_hidden="true")
