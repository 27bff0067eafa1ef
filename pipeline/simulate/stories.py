"""What befalls gardens besides the trial: absences, deaths, mistakes, people who come and go."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from pipeline.simulate.sheets import Style, written_date, written_weight
from pipeline.simulate.writing import HarvestLine

#: Days from planting to the day on which a dead plant is replaced; within the ten that a trial allows.
REPLACED_AFTER = 7


@dataclass(frozen=True)
class Absence:
    """Days on which nobody picks in a garden."""

    site: str
    first: date
    last: date


@dataclass(frozen=True)
class Stories:
    """What befalls which garden.

    `silent` gardens plant in the last season and are not heard of again; of a garden `quiet_since` a day
    nothing comes after it; one that `left` on a day takes part until then. `replaced` gardens lose a plant
    soon after planting and put in another; `last_picking` gardens strip all plots at the end of a closed
    season; in `swapped` gardens two plots of the last season were planted in each other's place and found to
    be. `two_pickers` gardens send two people's sheets, which share one picking. `spanish` gardens write and
    read Spanish. `asked` gardens are in the registry and take part in nothing yet.
    """

    silent: tuple[str, ...] = ()
    quiet_since: Mapping[str, date] = field(default_factory=dict)
    absences: tuple[Absence, ...] = ()
    left: Mapping[str, date] = field(default_factory=dict)
    replaced: tuple[str, ...] = ()
    last_picking: tuple[str, ...] = ()
    swapped: tuple[str, ...] = ()
    two_pickers: tuple[str, ...] = ()
    spanish: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()

    def picks(self, site: str, season: str, last_season: str, day: date) -> bool:
        """Return whether a picking of a day is made and sent."""
        if site in self.silent and season == last_season:
            return False
        until = min(self.quiet_since.get(site, date.max), self.left.get(site, date.max))
        away = any(each.site == site and each.first <= day <= each.last for each in self.absences)
        return day <= until and not away


def with_status(gardens: pd.DataFrame, stories: Stories) -> pd.DataFrame:
    """Return the registry's gardens with status, its date and the language of each."""
    left = gardens["site"].map(stories.left)
    return gardens.assign(
        language=np.where(gardens["site"].isin(stories.spanish), "es", "en"),
        status=np.select([left.notna(), gardens["site"].isin(stories.asked)], ["left", "asked"], "active"),
        status_date=left,
    )


def with_swaps(layout: pd.DataFrame, season: str, stories: Stories) -> pd.DataFrame:
    """Return the layout with `planted_as` where two plots of a block were planted in each other's place."""
    planted_as = layout["planted_as"].copy()
    for site in stories.swapped:
        block = layout[(layout["site"] == site) & (layout["season"] == season)].head(2)
        planted_as.loc[block.index] = block["treatment"].to_numpy()[::-1]
    return layout.assign(planted_as=planted_as)


def absences_file(stories: Stories) -> str:
    """Return the registry's file of absences."""
    lines = [f"{each.site},{each.first},{each.last}," for each in stories.absences]
    return "\n".join(["site,from,to,stand_in", *lines, ""])


def replacement_row(first_row: list[str], planted: date, style: Style, columns: tuple[str, ...]) -> list[str]:
    """Return the row of a planting sheet that tells of a plant put in for a dead one, in the first plot."""
    changed = {
        "date": written_date(planted + timedelta(days=REPLACED_AFTER), style),
        "event": "replaced",
        "plants": "1",
    }
    return [changed.get(name, cell) for name, cell in zip(columns, first_row, strict=True)]


def stripped(lines: list[HarvestLine]) -> list[HarvestLine]:
    """Return the lines with those of the last picking day marked as the last picking of the season."""
    last = max(line.day for line in lines)
    return [replace(line, cells=line.cells | {"event": "last" if line.day == last else ""}) for line in lines]


def of_two_people(
    lines: list[HarvestLine], other: str, style: Style
) -> Iterator[tuple[str, list[HarvestLine]]]:
    """Yield the sheets of two people who pick by turns: the picker and the lines.

    One picking is in both sheets, a plot that each of them weighed, with another weight.
    """
    days = sorted({line.day for line in lines})
    evens = set(days[::2])
    yield lines[0].cells["recorded_by"], [line for line in lines if line.day in evens]
    theirs = [line for line in lines if line.day not in evens]
    shared = next((line for line in lines if line.day in evens and line.kg > 0), None)
    if shared is not None:
        kg = 0.8 * shared.kg
        cells = shared.cells | {"marketable_weight": written_weight(kg, style)}
        theirs = sorted([*theirs, replace(shared, kg=kg, cells=cells)], key=lambda line: line.day)
    yield other, [replace(line, cells=line.cells | {"recorded_by": other}) for line in theirs]
