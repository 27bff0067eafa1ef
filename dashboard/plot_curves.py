"""What each plot of one garden gave per plant, adding up picking by picking."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from math import fsum
from typing import Any, NamedTuple


class PlotCurve(NamedTuple):
    """A plot, the label and the place of its treatment, its picking days rising, and what it gave by each."""

    plot: str
    treatment: str
    order: int
    days: tuple[datetime, ...]
    totals: tuple[float, ...]

    @property
    def end(self) -> float:
        """What the plot gave until its last picking."""
        return self.totals[-1]


def plot_curves(
    weights: Iterable[tuple[str, datetime, float]], planted: Mapping[str, Mapping[str, Any]], per_kg: float
) -> list[PlotCurve]:
    """Return the curves of the plots that gave something, in the order of their names.

    `weights` are plot, day and kg of single pickings; `planted` says of each plot its `label`, `order` and
    `plants`. Totals are per plant, in the unit of which `per_kg` make a kilogram.
    """
    daily: dict[str, dict[datetime, list[float]]] = {}
    for plot, day, weight in weights:
        if plot in planted:
            daily.setdefault(plot, {}).setdefault(day, []).append(weight)
    return [_curve(plot, planted[plot], of_plot, per_kg) for plot, of_plot in sorted(daily.items())]


def _curve(
    plot: str, planted: Mapping[str, Any], daily: Mapping[datetime, list[float]], per_kg: float
) -> PlotCurve:
    days = tuple(sorted(daily))
    per_plant = [fsum(daily[day]) * per_kg / planted["plants"] for day in days]
    # Every total is summed anew and so right to its last digit: plots that gave the same stand level.
    totals = tuple(fsum(per_plant[:at]) for at in range(1, len(days) + 1))
    return PlotCurve(plot, planted["label"], int(planted["order"]), days, totals)
