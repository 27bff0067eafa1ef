"""What the gradient figure draws."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

from dashboard.differences import PERCENT, Unit
from dashboard.figures.climate import STRIPS, Weather
from dashboard.figures.row import Row

#: The axis of kilometres, on which strips line up with the ruler and the map.
ROW_AXIS = "position_km"


@dataclass(frozen=True)
class GradientRows:
    """What the figure draws. All frames are fit to draw and west to east.

    `gardens` has one row per garden with its place, colour and attributes; `effects` one per garden and
    treatment of the outcome, with the garden's place, colour and `x`, its place on the axis; `bands` the
    lines with their edges along `axis`; `treatments` those compared with the control; `meanings` what the
    glossary says of an attribute, by its name; `unit` how differences are said, which stand in the columns
    of percents; `straight` the line to compare with where `bands` holds a curve for the focus.
    """

    outlines: pd.DataFrame
    gardens: pd.DataFrame
    effects: pd.DataFrame
    bands: pd.DataFrame
    treatments: pd.DataFrame
    row: Row
    axis: str
    focus: str
    chosen: str | None
    against: str
    is_closed: bool
    meanings: Mapping[str, str] = field(default_factory=dict)
    unit: Unit = PERCENT
    straight: pd.DataFrame = field(default_factory=pd.DataFrame)

    @property
    def on_the_row(self) -> bool:
        """Whether the axis is the row itself."""
        return self.axis == ROW_AXIS

    @property
    def span(self) -> Row:
        """The stretch of the axis that is drawn."""
        if self.on_the_row:
            return self.row
        values = pd.concat([self.gardens[self.axis], self.bands["at"]]).dropna()
        if values.empty:
            return Row(0.0, 1.0)
        air = 0.04 * max(float(values.max() - values.min()), 1e-9)
        return Row(float(values.min()) - air, float(values.max()) + air)

    @property
    def weather(self) -> list[Weather]:
        """The weather strips to draw: what was measured and is not the axis itself."""
        return [
            strip
            for strip in STRIPS
            if self.gardens[strip.column].notna().any() and not self.axis.startswith(strip.column)
        ]

    @property
    def places(self) -> dict[str, list[float]]:
        """Where each garden stands: along the axis, and up the first strip."""
        known = self.gardens.dropna(subset=[self.axis])
        up = "across_km" if self.on_the_row else ROW_AXIS
        return {site: [x, y] for site, x, y in zip(known["site"], known[self.axis], known[up], strict=True)}
