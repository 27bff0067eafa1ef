"""Addresses: every state of a page can be written down, sent to somebody and opened again."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from urllib.parse import parse_qsl, quote_plus, urlencode

#: What an address may name, in the order in which it is written.
KEYS = (
    *(
        "trial",
        "season",
        "outcome",
        "treatment",
        "axis",
        "line",
        "over",
        "garden",
        "plot",
        "row",
        "question",
        "picture",
    ),
    *("county", "year", "lang", "sent", "file", "fix"),
    *("gain", "cv", "tau", "blocks", "plants", "power"),
)


@dataclass(frozen=True)
class Address:
    """A path and what the reader chose there."""

    path: str
    chosen: Mapping[str, str]

    @classmethod
    def parse(cls, path: str | None, search: str | None) -> "Address":
        """Return the address that the browser shows; what it names beyond `KEYS` is passed over."""
        pairs = dict(parse_qsl((search or "").removeprefix("?")))
        return cls(path or "/", {key: pairs[key] for key in KEYS if pairs.get(key)})

    def get(self, key: str) -> str | None:
        """Return what was chosen for `key`, None where the page may decide."""
        return self.chosen.get(key)

    def choosing(self, **changes: str | None) -> "Address":
        """Return the same page with other choices; None leaves the choice to the page."""
        merged = dict(self.chosen) | changes
        return replace(self, chosen={key: value for key in KEYS if (value := merged.get(key))})

    def keeping(self, *keys: str) -> "Address":
        """Return the same page with only these choices kept."""
        return replace(
            self, chosen={key: self.chosen[key] for key in KEYS if key in keys and key in self.chosen}
        )

    def at(self, path: str) -> "Address":
        """Return another page with the same choices."""
        return replace(self, path=path)

    def hrefs(self, key: str, values: Iterable[str]) -> list[str]:
        """Return links to the same page, one for each of these choices for `key`."""
        at = KEYS.index(key)
        before, after = self.keeping(*KEYS[:at]), self.keeping(*KEYS[at + 1 :])
        head = f"{before.href}&" if before.chosen else f"{self.path}?"
        tail = f"&{after.query}" if after.chosen else ""
        return [f"{head}{key}={quote_plus(value)}{tail}" for value in values]

    @property
    def query(self) -> str:
        """The choices as a query string without its question mark."""
        return urlencode(self.chosen)

    @property
    def href(self) -> str:
        """The address as a link."""
        return f"{self.path}?{self.query}" if self.chosen else self.path
