"""Whom a message is for."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Reader:
    """Whom a message is for: the garden's name, its language and units, and where a mail would go."""

    site: str
    name: str
    language: str = "en"
    units: str = "us"
    contact: str = ""
