"""What a page is."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from dashboard.address import Address
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.selection import Selection
from dashboard.words import PageWords

#: For as long as the snapshot and the decisions stand.
ALWAYS = math.inf
#: Seconds for which a page that leads back to rows is shown again: a person may be erased from those by day.
WITH_ROWS = 60.0

Content = Sequence[Any]
Build = Callable[[View, Selection, Screen], Content]
Table = Callable[[View, Selection, Any], pd.DataFrame]


@dataclass(frozen=True)
class OfGarden:
    """What a page says of the chosen garden alone: its readout's lines by strip, and what stands below."""

    lines: Mapping[str, Sequence[str]] = field(default_factory=dict)
    below: Content = ()


@dataclass(frozen=True)
class Page:
    """One page: where it is, what it is called, how it is built, and the tables behind its figures.

    `build` returns the content of the main part as a function of the snapshot seen, the choices in the
    address and the screen. `narrow_down` completes the selection with the choices that only this page
    offers. `prefer` is the state of season that it opens on while the address names none. `is_listed` says
    whether the masthead names it. A page without the row (`has_row`) has no ruler and chooses neither a trial
    nor a garden of the network. `kept_seconds` is for how long a page that was drawn may be shown to the next
    reader: `ALWAYS` where it rests on snapshot, decisions and address alone, less where it also says how
    things stand right now.

    A page `for_volunteers` is about one garden and shows no other by name; one `within` another page is
    reached from there and not named in the masthead. A page that `speaks` says in which language it is for an
    address; any other is in English.

    The figures of a page with `of_garden` carry every garden's place, so that the browser marks the one that
    is chosen; it need not be drawn anew for another one, and `of_garden` tells what else it says of that one.
    """

    path: str
    words: PageWords
    prefer: str
    narrow_down: Callable[[View, Selection], Selection]
    build: Build
    tables: Mapping[str, Table]
    is_listed: bool = True
    has_row: bool = True
    kept_seconds: float = 0.0
    for_volunteers: bool = False
    within: str = ""
    speaks: Callable[[View, Address], str] | None = None
    of_garden: Callable[[View, Selection, Screen], "OfGarden"] | None = None

    def language(self, view: View, address: Address) -> str:
        """Return the language in which the page is at an address."""
        return self.speaks(view, address) if self.speaks else "en"

    @property
    def is_for_any_garden(self) -> bool:
        """Whether the main part is the same whichever garden is chosen."""
        return self.of_garden is not None or not (self.has_row or self.for_volunteers)

    @property
    def name(self) -> str:
        """The page's name in downloads."""
        return self.path.strip("/")
