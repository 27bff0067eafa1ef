"""Pages that were drawn before, kept as long as what they show stands."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock

from dashboard.access.account import Account
from dashboard.address import Address
from dashboard.figures.template import Screen
from dashboard.router import Routed

#: Pages that show the published snapshot and nothing else.
_PATHS = frozenset({"/", "/gradient", "/compare"})
#: Choices under which they do; with any other one they may lead back to rows, which change by day.
_CHOICES = frozenset({"trial", "season", "outcome", "treatment", "axis", "garden"})
#: Pages kept; one takes up to some hundred kilobytes.
_MOST = 200


class DrawnPages:
    """The pages drawn last, by snapshot, by what the reader may see, and by address and screen.

    Never by address alone: two readers at one address see different rows.
    """

    def __init__(self) -> None:
        self._kept: OrderedDict[Hashable, Routed] = OrderedDict()
        self._lock = Lock()

    def get(
        self, snapshot: int, account: Account, address: Address, screen: Screen, draw: Callable[[], Routed]
    ) -> Routed:
        """Return the page, drawn by `draw` where it is not kept or must not be."""
        if address.path not in _PATHS or not set(address.chosen) <= _CHOICES:
            return draw()
        chosen = tuple(sorted(address.chosen.items()))
        key = (snapshot, account.role, account.gardens, account.language, address.path, chosen, screen)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        routed = draw()
        with self._lock:
            self._kept[key] = routed
            while len(self._kept) > _MOST:
                self._kept.popitem(last=False)
        return routed
