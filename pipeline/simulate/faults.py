"""Faults as people make them, put into rows on purpose and written down, so that checks can be measured."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from pipeline.intake.units import KG_PER_UNIT
from pipeline.simulate.sheets import Style, written_date
from pipeline.simulate.writing import HarvestLine


@dataclass(frozen=True)
class Fault:
    """A fault that was put into a sheet: which column of which line, and what it is."""

    at: int
    column: str
    fault: str


#: Changes a line, and says which column it touched; None where the fault does not suit the line.
_Change = Callable[[HarvestLine, Style, np.random.Generator], str | None]


def _unknown_site(line: HarvestLine, style: Style, rng: np.random.Generator) -> str:
    line.cells["site"] = f"{line.cells['site']}x7"
    return "site"


def _unknown_plot(line: HarvestLine, style: Style, rng: np.random.Generator) -> str:
    line.cells["plot"] = str(rng.integers(40, 99))
    return "plot"


def _out_of_season(line: HarvestLine, style: Style, rng: np.random.Generator) -> str:
    line.cells["date"] = written_date(line.day - timedelta(days=365), style)
    return "date"


def _not_a_number(line: HarvestLine, style: Style, rng: np.random.Generator) -> str:
    line.cells["marketable_weight"] = str(rng.choice(["lots", "see note", "?", "too many"]))
    return "marketable_weight"


def _negative(line: HarvestLine, style: Style, rng: np.random.Generator) -> str | None:
    if line.kg <= 0 or style.weights == "lb and oz":
        return None
    line.cells["marketable_weight"] = f"-{line.cells['marketable_weight']}"
    return "marketable_weight"


def _unit_slip(line: HarvestLine, style: Style, rng: np.random.Generator) -> str | None:
    """Type the number of ounces, or of grams, into a column of pounds or kilograms."""
    if line.kg <= 0 or style.weights not in ("lb", "kg"):
        return None
    meant = "oz" if style.weights == "lb" else "g"
    line.cells["marketable_weight"] = f"{line.kg / KG_PER_UNIT[meant]:.0f}"
    return "marketable_weight"


#: Faults of a harvest row; a second row for the same picking is added where the sheet is written.
CHANGES: dict[str, _Change] = {
    "site-unknown": _unknown_site,
    "plot-unknown": _unknown_plot,
    "date-out-of-season": _out_of_season,
    "number-unreadable": _not_a_number,
    "number-negative": _negative,
    "weight-unit-slip": _unit_slip,
}
TWICE = "picking-twice-in-file"


def put_faults(
    lines: list[HarvestLine], style: Style, rate: float, rng: np.random.Generator
) -> tuple[list[HarvestLine], list[Fault]]:
    """Return the lines with a share of them at fault, and the faults by their place in the new list."""
    if rate <= 0:
        return lines, []
    out: list[HarvestLine] = []
    faults: list[Fault] = []
    for line in lines:
        out.append(line)
        if rng.random() < rate:
            faults += _fault_of(out, line, style, rng)
    return out, faults


def _fault_of(
    out: list[HarvestLine], line: HarvestLine, style: Style, rng: np.random.Generator
) -> list[Fault]:
    """Put the first of the kinds of fault, in a random order, that suits the line just written."""
    at = len(out) - 1
    for name in rng.permutation([*CHANGES, TWICE]):
        if name != TWICE:
            column = CHANGES[str(name)](line, style, rng)
            if column is not None:
                return [Fault(at, column, str(name))]
        elif line.kg > 0:
            out.append(line.again(style, 1.0 + rng.uniform(0.15, 0.4)))
            return [Fault(at, "plot", TWICE), Fault(at + 1, "plot", TWICE)]
    return []
