"""Pages that were drawn before, kept as browsers get them for as long as what they show stands."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from threading import Lock
from time import monotonic

from dashboard.access.account import Account
from dashboard.address import Address
from dashboard.figures.template import Screen
from dashboard.router import page_at

#: Pages that also say how things stand right now, and for how many seconds one may be shown again.
_BRIEFLY = {"/watch": 15}
#: Choices under which they do; with any other one they may lead back to rows, which change by day.
_CHOICES = frozenset(
    {"trial", "season", "outcome", "treatment", "axis", "line", "over", "garden", "county", "year"}
)
#: Pages kept; one takes up to some hundred kilobytes.
_MOST = 200
#: Pages that can be drawn at once; two that share a lock wait for each other and nothing worse.
_AT_ONCE = 64


@dataclass(frozen=True)
class DrawnPage:
    """A page as browsers get it, JSON without what tells of one reader alone, and the language it is in."""

    content: bytes
    language: str


class DrawnPages:
    """The pages drawn last, by snapshot, by what the reader may see, and by address and screen.

    Never by address alone: two readers at one address see different rows.
    """

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, DrawnPage] = OrderedDict()
        self._lock = Lock()
        self._locks = [Lock() for _ in range(_AT_ONCE)]

    def get(
        self,
        snapshot: int,
        account: Account,
        address: Address,
        screen: Screen,
        draw: Callable[[], DrawnPage | None],
    ) -> DrawnPage | None:
        """Return the page, drawn by `draw` where it is not kept or must not be; None is never kept."""
        seconds = _BRIEFLY.get(address.path)
        page = page_at(address.path)
        is_kept = page is not None and page.is_kept
        if not (is_kept or seconds) or not set(address.chosen) <= _CHOICES:
            return draw()
        chosen = tuple(sorted(address.chosen.items()))
        who = (account.role, account.gardens, account.language)
        key = (snapshot, *who, address.path, chosen, screen, monotonic() // seconds if seconds else None)
        # Whoever asks for a page that is being drawn waits for it, in place of drawing it a second time.
        with self._drawing(key):
            if (kept := self._of(key)) is None:
                kept = draw()
                if kept is not None:
                    self._keep(key, kept)
            return kept

    def forget(self) -> None:
        """Draw every page anew: the lead has decided something."""
        with self._lock:
            self._kept.clear()

    def _of(self, key: Hashable) -> DrawnPage | None:
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
            return self._kept.get(key)

    def _keep(self, key: Hashable, page: DrawnPage) -> None:
        with self._lock:
            self._kept[key] = page
            while len(self._kept) > _MOST:
                self._kept.popitem(last=False)

    def _drawing(self, key: Hashable) -> Lock:
        return self._locks[hash(key) % len(self._locks)]
