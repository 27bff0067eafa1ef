"""Names as people and spreadsheets change them: a garden a little misspelt, a plot turned into a day."""

import difflib
import re
from collections.abc import Iterable, Mapping

from pipeline.intake.sheets import plain

#: Letters that may be changed, left out or put in, and letters a name needs for that. Common practice, no
#: source. Digits never count as misspelt: with them a slip leads to another garden.
MOST_EDITS = 2
LEAST_LETTERS = 4

#: How alike a name must be to be shown as the closest one (the ratio of difflib).
_ALIKE = 0.5

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_SPANISH_MONTHS = ("ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic")
_MONTH_OF = {name: at for names in (_MONTHS, _SPANISH_MONTHS) for at, name in enumerate(names, start=1)}
_DAY_MONTH = re.compile(r"(\d{1,2})[\s\-/.]+([a-zé]{3,})[\s\-/.]*(?:\d{2,4})?")
_MONTH_DAY = re.compile(r"([a-zé]{3,})[\s\-/.]+(\d{1,4})")
_ISO = re.compile(r"\d{4}-(\d{2})-(\d{2})(?:[ t].*)?")
_SLASHED = re.compile(r"(\d{1,2})/(\d{1,2})/\d{2,4}")


def site_meant(name: str, sites: Mapping[str, str]) -> str | None:
    """Return the garden that a name means: itself, or the only one within two letters of it."""
    key = plain(name)
    if key in sites:
        return sites[key]
    letters, digits = _parted(key)
    if len(letters) < LEAST_LETTERS:
        return None
    close = {
        site
        for known, site in sites.items()
        if abs(len(known) - len(key)) <= MOST_EDITS
        and _parted(known)[1] == digits
        and len(_parted(known)[0]) >= LEAST_LETTERS
        and edits(letters, _parted(known)[0]) <= MOST_EDITS
    }
    return close.pop() if len(close) == 1 else None


def nearest_site(name: str, sites: Mapping[str, str]) -> str | None:
    """Return the garden whose name is most like this one, None where none is."""
    key = plain(name)
    close = difflib.get_close_matches(key, sites, n=5, cutoff=_ALIKE)
    # Of names that are as alike the one that begins alike is meant: what is added stands at the end.
    best = max(close, key=lambda known: (_alike(key, known), key.startswith(known)), default=None)
    return None if best is None else sites[best]


def _alike(one: str, two: str) -> float:
    return difflib.SequenceMatcher(None, one, two).ratio()


def _parted(name: str) -> tuple[str, str]:
    """Return the letters and the digits of a name."""
    return "".join(c for c in name if not c.isdigit()), "".join(c for c in name if c.isdigit())


def edits(one: str, two: str) -> int:
    """Return how many letters must be changed, left out or put in to make one word of the other.

    Levenshtein 1966, by rows.
    """
    before = list(range(len(two) + 1))
    for at, letter in enumerate(one, start=1):
        now = [at]
        for other, second in enumerate(two, start=1):
            now.append(min(before[other] + 1, now[-1] + 1, before[other - 1] + (letter != second)))
        before = now
    return before[-1]


def plot_from_date(text: str, plots: Iterable[str]) -> str | None:
    """Return the plot of two numbers, such as 1-2, that a spreadsheet turned into this day.

    A blank text where the cell looks like a day and several plots fit; None where it looks like none or no
    plot fits.
    """
    pair = _two_numbers(text.strip().casefold())
    if pair is None:
        return None
    fits = [plot for plot in plots if _numbers(plot) in (pair, pair[::-1])]
    if not fits:
        return None
    return fits[0] if len(fits) == 1 else ""


def _two_numbers(cell: str) -> tuple[int, int] | None:
    """Return the two numbers that a spreadsheet may have made this day of."""
    if match := _ISO.fullmatch(cell) or _SLASHED.fullmatch(cell):
        return int(match[1]), int(match[2])
    if match := _DAY_MONTH.fullmatch(cell):
        day, month = match[1], match[2]
    elif match := _MONTH_DAY.fullmatch(cell):
        month, day = match[1], match[2]
    else:
        return None
    number = _MONTH_OF.get(month[:3])
    return None if number is None else (number, int(day) % 100)


def _numbers(plot: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", plot))
