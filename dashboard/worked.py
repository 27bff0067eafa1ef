"""What was worked out of a snapshot for one page, kept for the next: most pages ask the same."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from threading import Lock, RLock
from typing import Any, TypeVar

from dashboard.access.account import Account

Result = TypeVar("Result")

#: Results kept for readers of the same rights. Most are of one garden; a frame of thousands takes a megabyte.
_MOST_RESULTS = 256
#: Rights whose results are kept: every volunteer has other ones than the next, and few rows.
_MOST_READERS = 64


@dataclass
class Worked:
    """What was worked out of one snapshot for readers of the same rights. Nobody may change it."""

    _kept: OrderedDict[Hashable, Any] = field(default_factory=OrderedDict, repr=False)
    _lock: Lock = field(default_factory=Lock, repr=False)
    _at_work: RLock = field(default_factory=RLock, repr=False)
    _with_store: "tuple[Hashable, Worked] | None" = field(default=None, repr=False)

    def by(self, mark: Hashable) -> "Worked":
        """Return what was worked out of the snapshot and of the store as it stands by this mark.

        What was worked out by another mark is forgotten: every decision makes all of it anew.
        """
        with self._lock:
            if self._with_store is None or self._with_store[0] != mark:
                # The same turn at work, as one result may rest on the other.
                self._with_store = mark, Worked(_at_work=self._at_work)
            return self._with_store[1]

    def once(self, key: Hashable, work: Callable[[], Result]) -> Result:
        """Return what `work` makes, or what it made when it was asked for by this key before."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                known: Result = self._kept[key]
                return known
        # One at a time: many at once would take turns on one interpreter and all be late.
        with self._at_work:
            with self._lock:
                if key in self._kept:
                    found: Result = self._kept[key]
                    return found
            made = work()
            with self._lock:
                self._kept[key] = made
                while len(self._kept) > _MOST_RESULTS:
                    self._kept.popitem(last=False)
            return made


class Shelf:
    """What was worked out of the newest snapshot, by what its readers may see."""

    def __init__(self) -> None:
        self._snapshot: int | None = None
        self._of_all = Worked()
        self._of_readers: OrderedDict[Hashable, Worked] = OrderedDict()
        self._lock = Lock()

    def of(self, snapshot: int, account: Account) -> Worked:
        """Return what was worked out of a snapshot for readers with the rights of `account`."""
        with self._lock:
            self._turn_to(snapshot)
            worked = self._of_readers.setdefault((account.role, account.gardens), Worked())
            self._of_readers.move_to_end((account.role, account.gardens))
            while len(self._of_readers) > _MOST_READERS:
                self._of_readers.popitem(last=False)
            return worked

    def of_all(self, snapshot: int) -> Worked:
        """Return what was worked out of all rows of a snapshot; nobody is shown it but by `Seen`."""
        with self._lock:
            self._turn_to(snapshot)
            return self._of_all

    def _turn_to(self, snapshot: int) -> None:
        if snapshot != self._snapshot:
            self._snapshot = snapshot
            self._of_readers.clear()
            self._of_all = Worked()
