"""Answers of pages kept ready: a page is made once for everybody who may see it, and sent at once after that.

A page is a function of the snapshot, the reader's account, the address and the screen; these are what an
answer is kept under. It is kept for a minute at most, since some pages also tell how long ago the night ran.
"""

import time
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field
from threading import Lock

import brotli
from flask import Flask, Response, g, request

from dashboard.address import Address
from dashboard.data import View
from dashboard.router import page_at, screen_of

#: Answers that are kept, and for how many seconds.
MOST, SECONDS = 400, 60.0
#: Of Brotli's eleven: what is sent once and read often is worth some work, but not for the first reader.
QUALITY = 5
#: Seconds that a reader waits while the same page is being made for another.
PATIENCE = 60.0
PATH = "/_dash-update-component"


@dataclass
class Kept:
    """The answers, newest last, and a lock for each that is being made."""

    answers: OrderedDict[Hashable, tuple[float, bytes]] = field(default_factory=OrderedDict)
    making: dict[Hashable, Lock] = field(default_factory=dict)
    lock: Lock = field(default_factory=Lock)
    clock: Callable[[], float] = time.monotonic

    def get(self, key: Hashable) -> bytes | None:
        """Return a kept answer; None where there is none or it has grown old."""
        with self.lock:
            made, content = self.answers.get(key, (float("-inf"), b""))
            return content if self.clock() - made < SECONDS else None

    def put(self, key: Hashable, content: bytes) -> None:
        """Keep an answer; the oldest makes room."""
        with self.lock:
            self.answers[key] = (self.clock(), content)
            self.answers.move_to_end(key)
            while len(self.answers) > MOST:
                self.answers.popitem(last=False)

    def begin(self, key: Hashable) -> "Lock | None":
        """Return the lock of a page that this reader now makes; None after waiting in vain for another."""
        with self.lock:
            lock = self.making.setdefault(key, Lock())
        return lock if lock.acquire(timeout=PATIENCE) else None

    def end(self, key: Hashable, lock: Lock) -> None:
        """Let others go on."""
        with self.lock:
            self.making.pop(key, None)
        lock.release()


def keep_answers(server: Flask, view: Callable[[], View], kept: Kept | None = None) -> None:
    """Keep the answers of pages that say of themselves that they may be kept (`Page.is_kept`).

    Must be called after the door stands, whose checks then come first, and after Dash, which compresses what
    this leaves alone. The router marks an answer as good by `flask.g.is_routed`.
    """
    held = kept or Kept()

    def from_kept() -> Response | None:
        key = _key(view)
        if key is None or "br" not in request.headers.get("Accept-Encoding", ""):
            return None
        if (content := held.get(key)) is not None:
            return _answer(content)
        lock = held.begin(key)
        if lock is None:
            return None
        if (content := held.get(key)) is not None:
            held.end(key, lock)
            return _answer(content)
        g.kept_key, g.kept_lock = key, lock
        return None

    def to_kept(response: Response) -> Response:
        if "kept_key" in g and g.get("is_routed") and response.status_code == 200:
            content = brotli.compress(response.get_data(), quality=QUALITY)
            held.put(g.kept_key, content)
            response.set_data(content)
            response.headers["Content-Encoding"] = "br"
            response.vary.add("Accept-Encoding")
        return response

    def let_go(_problem: BaseException | None) -> None:
        if "kept_lock" in g:
            held.end(g.kept_key, g.pop("kept_lock"))

    server.before_request(from_kept)
    server.after_request(to_kept)
    server.teardown_request(let_go)


def _answer(content: bytes) -> Response:
    headers = {"Content-Encoding": "br", "Vary": "Accept-Encoding"}
    return Response(content, mimetype="application/json", headers=headers)


def _key(view: Callable[[], View]) -> Hashable | None:
    """Return what the answer to this request depends on; None for all that is not kept."""
    if request.method != "POST" or request.path != PATH:
        return None
    asked = request.get_json(silent=True)
    if not isinstance(asked, Mapping) or not str(asked.get("output", "")).startswith("..title.data."):
        return None
    told = {
        f"{one.get('id')}.{one.get('property')}": one.get("value")
        for one in asked.get("inputs", ())
        if isinstance(one, Mapping)
    }
    path, search, screen = (told.get(name) for name in ("url.pathname", "url.search", "screen.data"))
    page = page_at(path) if isinstance(path, str) else None
    if page is None or not page.is_kept or not isinstance(screen, Mapping):
        return None
    address = Address.parse(page.path, search if isinstance(search, str) else "")
    try:
        seen = view()
    except Exception:
        # The page asks again, and says in its own words what it cannot show.
        return None
    return (seen.published.id, repr(seen.account), path, address.href, screen_of(screen))
