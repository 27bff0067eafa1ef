"""Faults as people make them, put into single rows and written down, so that checks can be measured."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from pipeline.intake.units import KG_PER_UNIT
from pipeline.simulate.sheets import Style, written_date, written_weight
from pipeline.simulate.writing import HarvestLine


@dataclass(frozen=True)
class Fault:
    """A fault that was put into a sheet: which column of which line, and what it is."""

    at: int
    column: str
    fault: str


@dataclass(frozen=True)
class Scene:
    """The garden whose sheet is written: how it writes, when it planted, which plots it has."""

    style: Style
    planted: date
    plots: tuple[str, ...] = ()


#: Changes a line, and says which column it touched; None where the fault does not suit the line.
_Change = Callable[[HarvestLine, Scene, np.random.Generator], str | None]

_WEIGHT, _COUNT = "marketable_weight", "marketable_count"


def _unknown_site(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells["site"] = f"{line.cells['site']}x7"
    return "site"


def _unknown_plot(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells["plot"] = str(rng.integers(40, 99))
    return "plot"


def _out_of_season(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells["date"] = written_date(line.day - timedelta(days=365), scene.style)
    return "date"


def _not_a_number(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells[_WEIGHT] = str(rng.choice(["lots", "see note", "?", "too many"]))
    return _WEIGHT


def _negative(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    if line.kg <= 0 or scene.style.weights == "lb and oz":
        return None
    line.cells[_WEIGHT] = f"-{line.cells[_WEIGHT]}"
    return _WEIGHT


def _unit_slip(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    """Type the number of ounces, or of grams, into a column of pounds or kilograms."""
    if line.kg <= 0 or scene.style.weights not in ("lb", "kg"):
        return None
    meant = "oz" if scene.style.weights == "lb" else "g"
    line.cells[_WEIGHT] = f"{line.kg / KG_PER_UNIT[meant]:.0f}"
    return _WEIGHT


def _typed_in(shown: str, column: str) -> _Change:
    """Return a change that types the number of one unit into a column of another."""

    def change(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
        if line.kg <= 0 or scene.style.weights != column:
            return None
        number = line.kg / KG_PER_UNIT[shown]
        line.cells[_WEIGHT] = f"{number:.0f}" if shown == "g" else f"{number:.2f}".rstrip("0").rstrip(".")
        return _WEIGHT

    return change


def _point_moved(by: float) -> _Change:
    def change(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
        if line.kg <= 0 or scene.style.weights not in ("lb", "kg", "oz"):
            return None
        line.cells[_WEIGHT] = f"{float(line.cells[_WEIGHT]) * by:g}"
        return _WEIGHT

    return change


def _extra_digit(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    if int(line.cells[_COUNT]) < 1:
        return None
    line.cells[_COUNT] += "0"
    return _COUNT


def _digits_switched(column: str) -> _Change:
    """Return a change that switches the first two digits of a number."""

    def change(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
        digits = [at for at, letter in enumerate(line.cells[column]) if letter.isdigit()][:2]
        if line.kg <= 0 or len(digits) < 2 or scene.style.weights == "lb and oz":
            return None
        letters = list(line.cells[column])
        one, two = digits
        if letters[one] == letters[two] or (column == _COUNT and letters[two] == "0"):
            return None
        letters[one], letters[two] = letters[two], letters[one]
        line.cells[column] = "".join(letters)
        return column

    return change


def _other_plot(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    others = [plot for plot in scene.plots if plot != line.cells["plot"]]
    if not others:
        return None
    line.cells["plot"] = str(rng.choice(others))
    return "plot"


def _culls_for_good(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    """Exchange good fruits and culls, counts and weights; it shows where there are many fruits."""
    if int(line.cells[_COUNT]) < 10:
        return None
    for good, culled in ((_COUNT, "cull_count"), (_WEIGHT, "cull_weight")):
        line.cells[good], line.cells[culled] = line.cells[culled], line.cells[good]
    return "cull_count"


def _count_and_weight_switched(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    if line.kg <= 0 or scene.style.weights not in ("lb", "kg", "oz"):
        return None
    line.cells[_COUNT], line.cells[_WEIGHT] = line.cells[_WEIGHT], line.cells[_COUNT]
    return _COUNT


def _zero_weight(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    if int(line.cells[_COUNT]) < 1:
        return None
    line.cells[_WEIGHT] = "0"
    return _WEIGHT


def _not_weighed(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str | None:
    if int(line.cells[_COUNT]) < 1:
        return None
    line.cells[_WEIGHT] = ""
    return _WEIGHT


def _before_planting(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells["date"] = written_date(scene.planted - timedelta(days=int(rng.integers(1, 8))), scene.style)
    return "date"


def _next_year(line: HarvestLine, scene: Scene, rng: np.random.Generator) -> str:
    line.cells["date"] = written_date(line.day + timedelta(days=365), scene.style)
    return "date"


#: Faults of a harvest row that any network makes; a second row for the same picking is added where the sheet
#: is written. Their order is part of what a seed means.
COMMON: dict[str, _Change] = {
    "site-unknown": _unknown_site,
    "plot-unknown": _unknown_plot,
    "date-out-of-season": _out_of_season,
    "number-unreadable": _not_a_number,
    "number-negative": _negative,
    "weight-unit-slip": _unit_slip,
}
TWICE, COPIED = "picking-twice-in-file", "row-repeated"

_UNITS = ("g", "kg", "oz", "lb")
#: Pairs of units: what the scale shows, and what the column says.
_PAIRS = tuple((shown, said) for said in ("lb", "kg", "oz") for shown in _UNITS if shown != said)

#: All faults of single rows by name: the common ones and those that are rarer or harder to see.
CHANGES: dict[str, _Change] = {
    **COMMON,
    **{f"{shown} typed as {said}": _typed_in(shown, said) for shown, said in _PAIRS},
    "point one right": _point_moved(10.0),
    "point one left": _point_moved(0.1),
    "count with a digit more": _extra_digit,
    "digits of a weight switched": _digits_switched(_WEIGHT),
    "digits of a count switched": _digits_switched(_COUNT),
    "other plot of the garden": _other_plot,
    "culls for good fruit": _culls_for_good,
    "count and weight switched": _count_and_weight_switched,
    "zero for not weighed": _zero_weight,
    "counted and not weighed": _not_weighed,
    "picked before planting": _before_planting,
    "year too late": _next_year,
}

#: The kinds of fault that a simulation puts in unless it is asked for others.
USUAL_KINDS = (*COMMON, TWICE)
EVERY_KIND = (*CHANGES, TWICE, COPIED)


def put_faults(
    lines: list[HarvestLine],
    scene: Scene,
    rate: float,
    rng: np.random.Generator,
    kinds: tuple[str, ...] = USUAL_KINDS,
) -> tuple[list[HarvestLine], list[Fault]]:
    """Return the lines with a share of them at fault, and the faults by their place in the new list."""
    if rate <= 0:
        return lines, []
    out: list[HarvestLine] = []
    faults: list[Fault] = []
    for line in lines:
        out.append(line)
        if rng.random() < rate:
            faults += _fault_of(out, line, scene, rng, kinds)
    return out, faults


def _fault_of(
    out: list[HarvestLine],
    line: HarvestLine,
    scene: Scene,
    rng: np.random.Generator,
    kinds: tuple[str, ...],
) -> list[Fault]:
    """Put the first of the kinds of fault, in a random order, that suits the line just written."""
    at = len(out) - 1
    for kind in rng.permutation(list(kinds)):
        name = str(kind)
        if name in CHANGES:
            column = CHANGES[name](line, scene, rng)
            if column is not None:
                return [Fault(at, column, name)]
        elif name == COPIED:
            out.append(line.again(scene.style, 1.0))
            return [Fault(at + 1, "plot", COPIED)]
        elif line.kg > 0:
            out.append(line.again(scene.style, 1.0 + rng.uniform(0.15, 0.4)))
            return [Fault(at, "plot", TWICE), Fault(at + 1, "plot", TWICE)]
    return []


def rewritten(line: HarvestLine, kilograms: float, style: Style) -> None:
    """Write another weight into a line, as the garden writes."""
    line.kg = kilograms
    line.cells[_WEIGHT] = written_weight(kilograms, style)
