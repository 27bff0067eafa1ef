"""The rows of a garden's sheets, before they become a file."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from pipeline.simulate.sheets import Style, written_date, written_weight

HARVEST_COLUMNS = (
    "site",
    "plot",
    "date",
    "marketable_count",
    "marketable_weight",
    "cull_count",
    "cull_weight",
    "recorded_by",
    "note",
)
PLANTING_COLUMNS = ("site", "plot", "date", "treatment", "plants", "union_cm", "recorded_by", "note")


#: Columns of a sheet that tells the last picking from the others.
WITH_EVENT = (*HARVEST_COLUMNS[:3], "event", *HARVEST_COLUMNS[3:])
#: Columns of a planting sheet that tells what happened, and how.
PLANTING_WITH_EVENT = (*PLANTING_COLUMNS[:3], "event", "how", *PLANTING_COLUMNS[3:])

_SPANISH = {
    "site": "Huerto",
    "plot": "Parcela",
    "date": "Fecha",
    "marketable_count": "Frutos buenos",
    "marketable_weight": "Peso ({unit})",
    "cull_count": "Desecho",
    "cull_weight": "Peso de desecho ({unit})",
    "recorded_by": "Anotado por",
    "note": "Nota",
    "event": "Evento",
}


@dataclass
class HarvestLine:
    """One picking of one plot as a garden writes it."""

    day: date
    kg: float
    cells: dict[str, str]

    def again(self, style: Style, factor: float) -> "HarvestLine":
        """Return the same picking written a second time with another weight."""
        kg = self.kg * factor
        return replace(self, kg=kg, cells=self.cells | {"marketable_weight": written_weight(kg, style)})

    def row(self, columns: Sequence[str] = HARVEST_COLUMNS) -> list[str]:
        """Return the cells in the order of the sheet."""
        return [self.cells[name] for name in columns]


def harvest_lines(
    site: str, plots: pd.DataFrame, days: list[date], picked: dict[str, np.ndarray], style: Style, person: str
) -> list[HarvestLine]:
    """Return the rows of a garden's harvest sheet, picking day by picking day."""
    lines = []
    for at, day in enumerate(days):
        for place, plot in enumerate(plots["plot"]):
            kg = float(picked["kg"][place, at])
            cells = {
                "site": site,
                "plot": str(plot),
                "date": written_date(day, style),
                "marketable_count": f"{picked['count'][place, at]:.0f}",
                "marketable_weight": written_weight(kg, style),
                "cull_count": f"{picked['cull_count'][place, at]:.0f}",
                "cull_weight": written_weight(float(picked["cull_kg"][place, at]), style),
                "recorded_by": person,
                "note": "",
            }
            lines.append(HarvestLine(day, kg, cells))
    return lines


def harvest_header(style: Style, columns: Sequence[str] = HARVEST_COLUMNS) -> list[str]:
    """Return the column names as the garden writes them; its unit stands in the header or in every cell."""
    if style.language == "es":
        return [_SPANISH[name].format(unit=style.unit) for name in columns]
    named = {
        "site": "Garden" if style.names_garden else "Site",
        "plot": "Plot",
        "date": "Date",
        "marketable_count": "Good fruits",
        "marketable_weight": f"Weight ({style.unit})",
        "cull_count": "Culls",
        "cull_weight": f"Cull weight ({style.unit})",
        "recorded_by": "Recorded by",
        "note": "Note",
        "event": "Event",
    }
    return [named[name] for name in columns]


def planting_rows(
    site: str,
    plots: pd.DataFrame,
    codes: dict[str, str],
    grafted: set[str],
    planted: date,
    plants: int,
    style: Style,
    person: str,
    rng: np.random.Generator,
) -> list[list[str]]:
    """Return the rows of a garden's planting sheet."""
    return [
        [
            site,
            str(row.plot),
            written_date(planted, style),
            codes[row.in_ground],
            str(plants),
            f"{rng.uniform(3.0, 7.0):.1f}" if row.in_ground in grafted else "",
            person,
            "",
        ]
        for row in plots.itertuples()
    ]
