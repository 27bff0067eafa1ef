"""One picking typed in by hand: the form's fields in, a harvest sheet or what is still wanted out.

Three things are kept apart: picked and nothing ripe (0), not visited (no row), visited but not weighed (a
blank weight).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from dashboard.sending.mending import Grid
from dashboard.sending.words import say

#: What can be said of a plot, in the order of the form. The first is what stands there untouched.
STATES = ("none", "picked", "zero", "unweighed")
#: Units that a form offers, by the units of the network; `lb oz` is typed as 2 lb 3 oz, or as 2 3.
UNITS = {"us": ("lb", "lb oz", "oz", "kg", "g"), "si": ("kg", "g", "lb", "oz")}

_COLUMNS = ("site", "plot", "date", "marketable_count", "marketable_weight", "unit", "recorded_by", "note")
#: Characters of a typed cell that are kept.
_LONGEST = 200


@dataclass(frozen=True)
class PlotTyped:
    """What was typed for one plot."""

    plot: str
    state: str
    count: str
    weight: str

    @property
    def holds_a_number(self) -> bool:
        """Whether anything was typed."""
        return bool(self.count or self.weight)


@dataclass(frozen=True)
class Picking:
    """What was typed in the form."""

    site: str
    day: str
    unit: str
    who: str
    note: str
    plots: Sequence[PlotTyped]


def read_form(site: str, plots: Sequence[str], fields: Mapping[str, str]) -> Picking:
    """Return what a form's fields say of a garden's plots; other fields are passed over."""

    def field(name: str) -> str:
        return fields.get(name, "").strip()[:_LONGEST]

    typed = [
        PlotTyped(plot, field(f"state-{plot}") or "none", field(f"count-{plot}"), field(f"weight-{plot}"))
        for plot in plots
    ]
    return Picking(site, field("day"), field("unit"), field("who"), field("note"), typed)


def still_wanted(picking: Picking, today: date, language: str = "en") -> list[str]:
    """Return what has to be looked at before the picking can be sent, in words; nothing where it can."""
    wants: list[str] = []
    day = _day(picking.day)
    if day is None:
        wants.append(say("wants_day", language))
    elif day > today:
        wants.append(say("wants_past", language))
    for plot in picking.plots:
        if plot.state == "picked" and not plot.weight:
            wants.append(say("wants_weight", language, plot=plot.plot))
        says_no_number = plot.weight if plot.state == "unweighed" else plot.holds_a_number
        if plot.state in ("zero", "unweighed") and says_no_number:
            state = say(f"state_{plot.state}", language)
            wants.append(say("wants_one", language, plot=plot.plot, state=state))
    if not any(_is_visited(plot) for plot in picking.plots):
        wants.append(say("wants_plot", language))
    return wants


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _is_visited(plot: PlotTyped) -> bool:
    """Return whether somebody went to the plot: a number that was typed says so by itself."""
    return plot.state != "none" or plot.holds_a_number


def harvest_sheet(picking: Picking) -> Grid:
    """Return a picking as a harvest sheet: a row for each plot that somebody went to."""
    rows = [_row(picking, plot) for plot in picking.plots if _is_visited(plot)]
    return Grid("", [list(_COLUMNS), *rows])


def _row(picking: Picking, plot: PlotTyped) -> list[str]:
    count, weight = ("0", "0") if plot.state == "zero" else (plot.count, plot.weight)
    if picking.unit == "lb oz":
        weight, unit = _pounds_and_ounces(weight), ""
    else:
        unit = picking.unit
    return [picking.site, plot.plot, picking.day, count, weight, unit, picking.who, picking.note]


def _pounds_and_ounces(weight: str) -> str:
    """Return 2 3 as 2 lb 3 oz; what names its units already stays."""
    parts = weight.split()
    if len(parts) == 2 and all(part.replace(".", "", 1).isdigit() for part in parts):
        return f"{parts[0]} lb {parts[1]} oz"
    return f"{weight} lb" if weight and weight.replace(".", "", 1).isdigit() else weight


def file_name(picking: Picking) -> str:
    """Return the name of a picking's file."""
    return f"picking-{picking.site}-{picking.day}.csv"
