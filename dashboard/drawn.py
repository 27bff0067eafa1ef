"""Pages that were drawn before, kept as browsers get them for as long as what they show stands."""

import math
import zlib
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass
from threading import Lock
from time import monotonic

from dashboard.address import Address
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.pages.page import Page

#: Pages kept; one takes up to some hundred kilobytes.
_MOST = 200
#: Pages that can be waited for at once; two that share a lock wait for each other and nothing worse.
_AT_ONCE = 64
#: zlib's level at which pages get as small as at its usual 6, in half the time.
_LEVEL = 5
#: zlib's window that makes a gzip file of what it packs (RFC 1952).
_GZIP = 31


class OpenAnswer:
    """An answer that lacks its end, packed as far as it goes; every reader gets an end of his own.

    Packing a page takes longer than finding it, so what all readers get is packed once.
    """

    def __init__(self, start: bytes) -> None:
        packing = zlib.compressobj(_LEVEL, wbits=_GZIP)
        self._start = packing.compress(start) + packing.flush(zlib.Z_SYNC_FLUSH)
        self._packing = packing

    def ended(self, end: bytes) -> bytes:
        """Return the answer with this end, as gzip."""
        packing = self._packing.copy()
        return self._start + packing.compress(end) + packing.flush()


@dataclass(frozen=True)
class DrawnPage:
    """A page as browsers get it without what is of one reader or one garden, and the language it is in."""

    answer: OpenAnswer
    language: str


class DrawnPages:
    """The pages drawn last, by snapshot, by what the reader may see, and by address and screen.

    Never by address alone: two readers at one address see different rows.
    """

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, DrawnPage] = OrderedDict()
        self._lock = Lock()
        self._waiting = [Lock() for _ in range(_AT_ONCE)]

    def get(
        self, view: View, page: Page, address: Address, screen: Screen, draw: Callable[[], DrawnPage | None]
    ) -> DrawnPage | None:
        """Return the page, drawn by `draw` where it is not kept or must not be; None is never kept."""
        if not page.kept_seconds:
            return draw()
        key = _key(view, page, address, screen)
        # Whoever asks for a page that is being drawn waits for it, in place of drawing it a second time.
        with self._waiting[hash(key) % _AT_ONCE]:
            if (kept := self._of(key)) is None:
                kept = draw()
                if kept is not None:
                    self._keep(key, kept)
            return kept

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


def _key(view: View, page: Page, address: Address, screen: Screen) -> Hashable:
    """Return all that a page is made from: rows, decisions, the reader's rights, choices, screen and time."""
    rests_on = (view.published.id, view.mark)
    who = (view.account.role, view.account.gardens, view.account.language)
    left_out = "garden" if page.is_for_any_garden else ""
    chosen = tuple(sorted((key, value) for key, value in address.chosen.items() if key != left_out))
    now = 0.0 if math.isinf(page.kept_seconds) else monotonic() // page.kept_seconds
    return (rests_on, who, address.path, chosen, screen, now)
