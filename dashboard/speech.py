"""How a page speaks: its words, numbers, counts and days in one language.

Pages of the lead and of administrators are in English; pages of volunteers and of the public in the language
that their address, else their reader, asks for.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from dashboard.numerals import NO_BREAK, NOT_RECORDED, number
from pipeline.checks.shown import shown_date
from pipeline.words import translate


@dataclass(frozen=True)
class Speech:
    """One language of the network."""

    language: str = "en"

    def __call__(self, text: str, **values: object) -> str:
        """Return a text that was written in English, with its values filled in."""
        said = translate(self.language).gettext(text)
        return said.format(**values) if values else said

    def of(self, words: Mapping[str, str], name: str, **values: object) -> str:
        """Return what stands under `name`, with its values filled in."""
        return self(words[name], **values)

    def more_or_less(self, percent: float) -> str:
        """Return 12% more, 3% less or the same, for what is compared with the control."""
        if not math.isfinite(percent):
            return self(NOT_RECORDED)
        said = translate(self.language)
        size = number(abs(percent))
        if size == "0":
            return said.gettext("the same")
        words = said.gettext("{percent}% more") if percent > 0 else said.gettext("{percent}% less")
        return words.format(percent=size).replace(" ", NO_BREAK)

    def between(self, low: float, high: float) -> str:
        """Return the two ends of an interval in percent, as in −3 to 12%."""
        words = translate(self.language).gettext("{low} to {high}%")
        return words.format(low=number(low), high=number(high))

    def gardens(self, how_many: int) -> str:
        """Return a count of gardens: 1 garden, 24 gardens."""
        words = translate(self.language).ngettext("{n} garden", "{n} gardens", how_many)
        return words.format(n=f"{how_many:,}").replace(" ", NO_BREAK)

    def counties(self, how_many: int) -> str:
        """Return a count of counties: 1 county, 17 counties."""
        words = translate(self.language).ngettext("{n} county", "{n} counties", how_many)
        return words.format(n=f"{how_many:,}").replace(" ", NO_BREAK)

    def county(self, name: str) -> str:
        """Return a county by its name, as it begins a line: Saline County."""
        # Inside a sentence Spanish begins it with a small letter, so a line's beginning is its own text.
        return translate(self.language).pgettext("at the beginning", "{county} County").format(county=name)

    def long_day(self, when: date) -> str:
        """Return a day with its year, the month as a word."""
        return shown_date(when, self.language)


ENGLISH = Speech()
