"""Faults of a whole sheet: of a scale, a habit, a tag; written down with the line where they begin."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from pipeline.intake.units import KG_PER_UNIT
from pipeline.simulate.faults import Fault, Scene, rewritten
from pipeline.simulate.sheets import Style
from pipeline.simulate.writing import HarvestLine

_WEIGHT, _COUNT = "marketable_weight", "marketable_count"

#: Changes the lines of a sheet, and returns the first place and the column that it touched; None where it
#: does not suit the garden.
_Change = Callable[[list[HarvestLine], Scene, np.random.Generator], tuple[int, str] | None]


def _other_scale(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Write the numbers of a scale in kilograms under pounds, or the other way round, all season."""
    return _scale_from(lines, scene, 0)


def _new_scale(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Change from pounds to kilograms, or back, in the middle of the season without saying so."""
    return _scale_from(lines, scene, _day(lines, rng.uniform(0.4, 0.6)))


def _scale_from(lines: list[HarvestLine], scene: Scene, start: int) -> tuple[int, str] | None:
    if scene.style.weights not in ("lb", "kg"):
        return None
    factor = KG_PER_UNIT["lb"] if scene.style.weights == "lb" else 1 / KG_PER_UNIT["lb"]
    for line in lines[start:]:
        rewritten(line, line.kg * factor, scene.style)
    return start, _WEIGHT


def _ounces_all_season(
    lines: list[HarvestLine], scene: Scene, rng: np.random.Generator
) -> tuple[int, str] | None:
    """Write ounces, or grams, under pounds or kilograms in every row."""
    if scene.style.weights not in ("lb", "kg"):
        return None
    factor = 16.0 if scene.style.weights == "lb" else 1000.0
    for line in lines:
        rewritten(line, line.kg * factor, scene.style)
    return 0, _WEIGHT


def _day(lines: list[HarvestLine], share: float) -> int:
    """Return the place of the first line of the picking day at a share of the season."""
    days = sorted({line.day for line in lines})
    day = days[min(len(days) - 1, int(share * len(days)))]
    return next(at for at, line in enumerate(lines) if line.day == day)


def _bucket(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Weigh the bucket too, whenever there is fruit in it."""
    kilograms = rng.uniform(0.4, 1.0)
    for line in lines:
        if line.kg > 0:
            rewritten(line, line.kg + kilograms, scene.style)
    return 0, _WEIGHT


def _running_totals(
    lines: list[HarvestLine], scene: Scene, rng: np.random.Generator
) -> tuple[int, str] | None:
    """Write the total so far instead of each picking."""
    totals: dict[str, tuple[float, int]] = {}
    for line in lines:
        kilograms, count = totals.get(line.cells["plot"], (0.0, 0))
        totals[line.cells["plot"]] = kilograms + line.kg, count + int(line.cells[_COUNT])
        kilograms, count = totals[line.cells["plot"]]
        rewritten(line, kilograms, scene.style)
        line.cells[_COUNT] = str(count)
    return 0, _WEIGHT


def _columns_switched(
    lines: list[HarvestLine], scene: Scene, rng: np.random.Generator
) -> tuple[int, str] | None:
    if scene.style.weights == "lb and oz":
        return None
    for line in lines:
        line.cells[_COUNT], line.cells[_WEIGHT] = line.cells[_WEIGHT], line.cells[_COUNT]
    return 0, _COUNT


def _copied_down(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Copy one row's fruits and weight down over the next rows."""
    length = int(rng.integers(4, 9))
    starts = [at for at in range(len(lines) - length) if lines[at].kg > 0]
    if not starts:
        return None
    start = int(rng.choice(starts))
    for line in lines[start + 1 : start + length]:
        line.kg = lines[start].kg
        line.cells |= {name: lines[start].cells[name] for name in (_COUNT, _WEIGHT)}
    return start, _WEIGHT


def _day_first(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Write all days with the day before the month."""
    for line in lines:
        line.cells["date"] = f"{line.day.day}/{line.day.month}/{line.day.year}"
    return 0, "date"


def _zeros(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Fill days on which nobody picked with zeros."""
    days = sorted({line.day for line in lines})
    if len(days) < 8:
        return None
    blank = set(rng.choice(np.arange(2, len(days) - 2), size=3, replace=False).tolist())
    first = None
    for at, line in enumerate(lines):
        if days.index(line.day) in blank:
            line.kg = 0.0
            line.cells |= {_COUNT: "0", _WEIGHT: "0", "cull_count": "0", "cull_weight": "0"}
            first = at if first is None else first
    return None if first is None else (first, _WEIGHT)


def _plots_traded(lines: list[HarvestLine], scene: Scene, rng: np.random.Generator) -> tuple[int, str] | None:
    """Trade two plots' rows from the middle of the season on, as when two tags are put back wrongly."""
    one, two = rng.choice(list(scene.plots), size=2, replace=False).tolist()
    start = _day(lines, rng.uniform(0.4, 0.6))
    names = {one: two, two: one}
    for line in lines[start:]:
        line.cells["plot"] = names.get(line.cells["plot"], line.cells["plot"])
    return start, "plot"


def _plot_left_out(
    lines: list[HarvestLine], scene: Scene, rng: np.random.Generator
) -> tuple[int, str] | None:
    """Leave one plot out on some days."""
    days = sorted({line.day for line in lines})
    missed = set(rng.choice(len(days), size=min(3, len(days)), replace=False).tolist())
    plot = str(rng.choice(list(scene.plots)))
    gone = [
        at for at, line in enumerate(lines) if line.cells["plot"] == plot and days.index(line.day) in missed
    ]
    for at in reversed(gone):
        del lines[at]
    return (max(0, gone[0] - 1), "plot") if gone else None


#: Faults of whole harvest sheets by name.
SHEET_CHANGES: dict[str, _Change] = {
    "pounds for kilograms all season": _other_scale,
    "another scale from some day on": _new_scale,
    "ounces or grams all season": _ounces_all_season,
    "bucket weighed too": _bucket,
    "running totals": _running_totals,
    "columns switched": _columns_switched,
    "copied down": _copied_down,
    "day before month": _day_first,
    "zeros for days without a picking": _zeros,
    "plots traded in mid-season": _plots_traded,
    "plot left out": _plot_left_out,
}
#: Two tags traded on the planting sheet.
TAGS_TRADED = "tags traded"
SHEET_KINDS = (*SHEET_CHANGES, TAGS_TRADED)


def put_sheet_fault(
    lines: list[HarvestLine], scene: Scene, kind: str, rng: np.random.Generator
) -> list[Fault]:
    """Put a fault into a whole harvest sheet, and return it with the place where it begins."""
    if kind not in SHEET_CHANGES or not lines:
        return []
    touched = SHEET_CHANGES[kind](lines, scene, rng)
    return [] if touched is None else [Fault(touched[0], touched[1], kind)]


def style_for(style: Style, kind: str | None) -> Style:
    """Return how a garden writes that makes this fault: days as numbers where their order switches."""
    return replace(style, dates="month first", is_workbook=False) if kind == "day before month" else style


def trade_tags(rows: list[list[str]], tag_at: int, rng: np.random.Generator) -> tuple[int, int] | None:
    """Trade the tags of two plots with different ones on a planting sheet; return their places."""
    pairs = [
        (one, two)
        for one in range(len(rows))
        for two in range(one + 1, len(rows))
        if rows[one][tag_at] != rows[two][tag_at]
    ]
    if not pairs:
        return None
    one, two = pairs[int(rng.integers(len(pairs)))]
    rows[one][tag_at], rows[two][tag_at] = rows[two][tag_at], rows[one][tag_at]
    return one, two
