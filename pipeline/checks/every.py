"""Every check that there are words for: who makes its findings, and how its message shows its values."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.check import Check, Kind, Say, column
from pipeline.checks.garden_places import COUNTY_CHECK, PLACE_CHECKS, GardenCheck
from pipeline.checks.season.check import SeasonCheck
from pipeline.checks.season.find import SEASON_CATALOGUE
from pipeline.checks.words import Spoken

#: Findings that reading a file makes: about the file, a tab, the header, or a line that is no row.
MADE_BY_READING: dict[str, dict[str, Kind]] = {
    "file-empty": {},
    "file-header-only": {},
    "file-damaged": {},
    "file-locked": {},
    "file-kind-not-read": {},
    "file-too-large": {},
    "sheet-unknown": {},
    "column-missing": {"column": "column", "sheet": "sheet"},
    "column-unknown": {"nearest": "column"},
    "header-repeated": {},
    "totals-row-skipped": {},
    "tab-not-read": {},
    "paper-to-type": {},
}

#: Findings that come from what is kept: what was sent before, and by whom.
MADE_BY_STORE: dict[str, dict[str, Kind]] = {
    "same-file-again": {"date": "date"},
    "value-revised": {"n": "number"},
    "rows-not-in-new-file": {"n": "number"},
    "row-mended": {"other": "number"},
    "picking-by-two-people": {"date": "date", "read": "weight", "other": "weight"},
}


@dataclass(frozen=True)
class Said:
    """What the messages of one check hold."""

    say: Mapping[str, Say]


def _all() -> Iterator[tuple[str, Mapping[str, Say]]]:
    checks: list[Check | SeasonCheck | GardenCheck] = [*CATALOGUE, *SEASON_CATALOGUE]
    checks += [*PLACE_CHECKS.values(), COUNTY_CHECK]
    for check in checks:
        yield check.name, check.say
    for name, kinds in (MADE_BY_READING | MADE_BY_STORE).items():
        yield name, {value: Say(column(value), kind) for value, kind in kinds.items()}


def _merged() -> dict[str, Spoken]:
    """Return what each check says; where several go by one name the first to name a value shows it."""
    said: dict[str, dict[str, Say]] = {}
    for name, say in _all():
        said[name] = dict(say) | said.get(name, {})
    return {name: Said(say) for name, say in said.items()}


#: What the messages of every check hold, by its name.
EVERY_CHECK: Mapping[str, Spoken] = _merged()
