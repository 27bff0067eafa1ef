"""The ways in which a volunteer can settle one finding with one click.

A way is what stands on a button, and the edits that it makes to the sheet. The likeliest comes first.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from dashboard.sending.mending import Edit
from dashboard.sending.words import say
from pipeline.checks.shown import shown_choice, shown_date, shown_length, shown_ounces
from pipeline.intake.units import KG_PER_UNIT

Finding = Mapping[str, Any]

#: A way's name: `typed` waits for what is typed, `right` changes nothing.
TYPED, RIGHT = "typed", "right"
#: Ways whose edits are the same for every row: they settle a whole group at once.
OF_ALL = frozenset(["lb", "oz", "kg", "g", "switch", "times"])
#: Checks whose question can be answered by the row being right as it stands. Not those by which other plants
#: grow in a plot than the map has: a right row leaves the map wrong, so the lead has to be asked.
_MAY_BE_RIGHT = frozenset(
    [
        *(
            "columns-swapped",
            "percent-as-share",
            "date-out-of-season",
            "weight-unit-slip",
            "weight-unit-maybe",
        ),
        *("weight-scale-changed", "decimal-slip", "culls-many", "fruit-mass-odd", "fruit-mass-unlike-own"),
        *("plant-yield-high", "first-picking-early", "weight-far-from-usual", "copied-down", "stages-mixed"),
        *("harvest-after-death", "plots-cross-over", "height-odd", "sick-part-falls", "hardening-short"),
        *("planted-before-freeze", "plants-differ-from-plan", "hours-per-volunteer-high", "contacts-large"),
        *("soil-ph-unusual", "weight-kg-for-lb-season", "pounds-ounces-point", "control-far-off"),
        *("plant-fruits-high", "weights-keep-growing", "plants-rising", "donated-over-picked"),
        *("dates-other-order", "rows-not-in-new-file", "planted-twice"),
        *("picking-by-two-people", "plot-never-yields", "zeros-for-blanks"),
        *("plot-missing-from-block", "hours-look-per-person", "hours-without-volunteers"),
        *("soil-organic-high", "soil-nutrient-high"),
    ]
)
#: How a garden says that a row is right as it stands, where a check asks in words of its own.
_RIGHT_IS_CALLED = {
    "plot-never-yields": "gave_nothing",
    "weights-keep-growing": "one_picking_each",
    "zeros-for-blanks": "nothing_was_ripe",
    "planted-twice": "some_replaced",
    "plot-missing-from-block": "not_picked",
    "hours-look-per-person": "hours_of_all",
    "hours-without-volunteers": "not_known",
    "donated-over-picked": "whole_garden",
    "soil-organic-high": "compost_bed",
    "soil-nutrient-high": "ppm",
}
#: Checks about which a cell of the row can be typed anew, beyond those about a cell as sent.
_CAN_BE_TYPED = frozenset(
    [
        *(
            "number-unreadable",
            "number-two-ways",
            "number-negative",
            "count-not-whole",
            "percent-over-hundred",
        ),
        *("date-unreadable", "date-two-ways", "date-in-future", "date-year-slip", "date-out-of-season"),
        *("plot-turned-date", "site-unknown", "plot-unknown", "plot-of-other-garden", "tag-unknown"),
        *("tag-differs", "weight-unit-slip", "weight-unit-maybe", "unit-unknown", "pounds-ounces-point"),
        *("decimal-slip", "weight-blank", "fruit-without-weight", "fruit-mass-odd", "fruit-mass-unlike-own"),
        *("fruit-mass-impossible", "weight-far-from-usual", "stage-unread", "alive-over-planted"),
        *("formula-no-result", "formula-broken", "needed-cell-blank", "harvest-before-planting"),
        *("first-picking-early", "height-odd", "sick-part-falls", "union-buried", "union-missing"),
        *(
            "hardening-short",
            "plants-differ-from-plan",
            "hours-per-volunteer-impossible",
            "soil-ph-impossible",
        ),
        *("hours-without-volunteers", "contacts-large", "soil-ph-unusual", "weight-without-fruit"),
    ]
)
#: Plots that are offered as buttons; a garden with more has them typed.
_PLOTS_OFFERED = 12


@dataclass(frozen=True)
class Way:
    """One way to settle a finding: its name in an address, its button, and what it does to the sheet.

    `is_reading` tells that the sheet itself says what was meant, so that the button may stand out.
    """

    name: str
    label: str
    edits: tuple[Edit, ...] = ()
    is_reading: bool = False


@dataclass(frozen=True)
class Reader:
    """For whom ways are worded: language, units (us or si), the garden they write for and its plots."""

    language: str = "en"
    units: str = "us"
    site: str = ""
    plots: tuple[str, ...] = ()


def ways(finding: Finding, reader: Reader) -> list[Way]:
    """Return the ways to settle a finding, the likeliest first; none where a button cannot help."""
    check = str(finding["check"])
    details = json.loads(finding.get("details") or "{}")
    found = list(_OFFERS[check](finding, details, reader)) if check in _OFFERS else []
    if check in _MAY_BE_RIGHT:
        found.append(Way(RIGHT, say(_RIGHT_IS_CALLED.get(check, "right"), reader.language)))
    if check in _CAN_BE_TYPED and finding.get("line") and finding.get("column"):
        found.append(Way(TYPED, say("type", reader.language)))
    return found


def typed(finding: Finding, text: str) -> tuple[Edit, ...]:
    """Return the edits that write what was typed into the cell that a finding is about."""
    return (_write(finding, text),)


def _write(finding: Finding, text: str, column: str | None = None) -> Edit:
    return Edit("write", column or str(finding["column"]), text, int(finding["line"] or 0), _tab(finding))


def _tab(finding: Finding) -> str:
    return str(finding.get("tab") or "")


def _readings(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the readings of a weight, or the one reading of a count."""
    meant = details.get("suggest") or {}
    if "n" in meant:
        count = f"{meant['n']:g}"
        return [
            Way("1", say("yes", reader.language, suggest=count), (_write(finding, count),), is_reading=True)
        ]
    offered = []
    for at, reading in enumerate([one for one in meant.values() if one is not None], start=1):
        text = f"{round(reading['number'], 3):g} {reading['unit']}"
        label = say("yes", reader.language, suggest=shown_choice(reading, reader.units))
        offered.append(Way(str(at), label, (_write(finding, text),), is_reading=True))
    return offered


def _length(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the length in the unit that brings it near the garden's other plots, where one does."""
    if details.get("suggest") is None:
        return []
    centimetres = float(details["suggest"])
    label = say("yes", reader.language, suggest=shown_length(centimetres, reader.units))
    return [Way("1", label, (_write(finding, f"{round(centimetres, 2):g} cm"),), is_reading=True)]


def _pounds_and_ounces(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    meant = shown_ounces(float(details["suggest"]))
    return [Way("1", say("yes", reader.language, suggest=meant), (_write(finding, meant),))]


def _day(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the day that was meant, in the trial's own year."""
    return [_day_way("1", finding, details.get("suggest"), reader)] if details.get("suggest") else []


def _two_days(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    both = [details.get("date"), details.get("other")]
    return [_day_way(str(at), finding, day, reader, "choose") for at, day in enumerate(both, start=1) if day]


def _day_way(name: str, finding: Finding, iso: Any, reader: Reader, word: str = "yes") -> Way:
    shown = shown_date(date.fromisoformat(str(iso)), reader.language)
    return Way(
        name,
        say(word, reader.language, suggest=shown),
        (_write(finding, str(iso)),),
        is_reading=word == "yes",
    )


def _other_text(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the one text that was likely meant: the nearest garden, the plot before it became a date."""
    meant = details.get("nearest") or details.get("suggest")
    if not meant:
        return []
    return [
        Way(
            "1",
            say("yes", reader.language, suggest=str(meant)),
            (_write(finding, str(meant)),),
            is_reading=True,
        )
    ]


def _own_garden(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    if reader.site:
        label = say("yes", reader.language, suggest=reader.site)
        return [Way("1", label, (_write(finding, reader.site, "site"),), is_reading=True)]
    return _other_text(finding, details, reader)


def _own_plots(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    if not 0 < len(reader.plots) <= _PLOTS_OFFERED:
        return []
    return [
        Way(plot, say("plot", reader.language, plot=plot), (_write(finding, plot, "plot"),))
        for plot in reader.plots
    ]


def _units(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the units of weight for every row of the sheet that names none."""
    order = ("lb", "oz", "kg", "g") if reader.units == "us" else ("kg", "g", "lb", "oz")
    tab = _tab(finding)
    return [
        Way(
            unit,
            say(f"unit_{unit}", reader.language),
            (Edit("write", "unit", unit, 0, tab, only_blank=True),),
        )
        for unit in order
    ]


def _unit_of_row(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the units of weight for one row, where its unit has a column of its own."""
    if finding["column"] != "unit":
        return []
    order = ("lb", "oz", "kg", "g") if reader.units == "us" else ("kg", "g", "lb", "oz")
    return [
        Way(unit, say(f"unit_{unit}", reader.language), (_write(finding, unit, "unit"),)) for unit in order
    ]


def _switch(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer to switch a count and its weight in the whole sheet."""
    weight = str(finding["column"])
    edit = Edit("switch", weight, weight.replace("_weight", "_count"), 0, _tab(finding))
    return [Way("switch", say("switch", reader.language), (edit,))]


def _switch_culls(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    line, tab = int(finding["line"]), _tab(finding)
    edits = tuple(
        Edit("switch", f"cull_{kind}", f"marketable_{kind}", line, tab) for kind in ("count", "weight")
    )
    return [Way("switch", say("switch", reader.language), edits)]


def _times(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    edit = Edit("times 100", str(finding["column"]), "", 0, _tab(finding))
    return [Way("times", say("times", reader.language), (edit,))]


def _two_numbers(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer the two numbers that a text can stand for; weights are held in kg and written so."""
    both = [details.get("read"), details.get("other")]
    offered = []
    for at, value in enumerate([one for one in both if one is not None], start=1):
        text = _as_typed(float(value), str(finding["column"]), reader.units)
        offered.append(Way(str(at), say("choose", reader.language, suggest=text), (_write(finding, text),)))
    return offered


def _as_typed(value: float, column: str, units: str) -> str:
    """Return a value in SI units as a person of the network would type it."""
    if column.endswith("_weight"):
        unit = "lb" if units == "us" else "kg"
        return f"{round(value / KG_PER_UNIT[unit], 3):g} {unit}"
    return f"{value:g} cm" if column.endswith("_cm") else f"{value:g}"


def _without_weight(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    return [Way("blank", say("not_weighed", reader.language), (_write(finding, ""),))]


def _without_count(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    count = str(finding["column"]).replace("_weight", "_count")
    return [Way("blank", say("not_counted", reader.language), (_write(finding, "", count),))]


def _not_weighed(_: Finding, __: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer that the blank stays: visited, but not weighed."""
    return [Way(RIGHT, say("not_weighed", reader.language))]


def _stages(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    return [
        Way(stage, say(f"stage_{stage}", reader.language), (_write(finding, stage, "stage"),))
        for stage in ("immature", "mature", "ripe")
    ]


def _take_out(finding: Finding, _: Mapping[str, Any], reader: Reader) -> list[Way]:
    edit = Edit("take out", "", "", int(finding["line"] or 0), _tab(finding))
    return [Way("out", say("take_out", reader.language), (edit,))] if finding.get("line") else []


def _twice(finding: Finding, details: Mapping[str, Any], reader: Reader) -> list[Way]:
    """Offer two pickings in one day, or that this row is taken out."""
    second = Way("two", say("two_pickings", reader.language), (_write(finding, "2", "picking"),))
    return [second, *_take_out(finding, details, reader)]


_Offer = Callable[[Finding, Mapping[str, Any], Reader], Sequence[Way]]
_OFFERS: dict[str, _Offer] = {
    "weight-unit-slip": _readings,
    "weight-unit-maybe": _readings,
    "decimal-slip": _readings,
    "height-odd": _length,
    "pounds-ounces-point": _pounds_and_ounces,
    "date-year-slip": _day,
    "date-two-ways": _two_days,
    "number-two-ways": _two_numbers,
    "plot-turned-date": _other_text,
    "site-unknown": _own_garden,
    "rows-of-other-garden": _own_garden,
    "plot-unknown": _own_plots,
    "plot-of-other-garden": _own_plots,
    "weight-no-unit": _units,
    "unit-unknown": _unit_of_row,
    "columns-swapped": _switch,
    "culls-many": _switch_culls,
    "percent-as-share": _times,
    "weight-blank": _not_weighed,
    "fruit-without-weight": _without_weight,
    "weight-without-fruit": _without_count,
    "stage-unread": _stages,
    "picking-twice-in-file": _twice,
}
