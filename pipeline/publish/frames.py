"""What a published snapshot holds: each frame, its columns and what they mean.

The dashboard reads nothing else. A frame either stands once in a snapshot or once for each trial and
season. A column's kind is one of text, number, whole, date, moment, flag; its unit ends its name.
"""

from dataclasses import dataclass
from typing import Literal

import pandas as pd

Kind = Literal["text", "number", "whole", "date", "moment", "flag"]

#: pandas dtypes by kind. Whole numbers are nullable, since a blank count is not zero.
DTYPES: dict[Kind, str] = {
    "text": "str",
    "number": "float64",
    "whole": "Int64",
    "date": "datetime64[us]",
    "moment": "datetime64[us]",
    "flag": "bool",
}


@dataclass(frozen=True)
class Column:
    """One column of a frame: its name, its kind and one line of what it means."""

    name: str
    kind: Kind
    meaning: str


@dataclass(frozen=True)
class Frame:
    """One frame of a snapshot."""

    name: str
    per_season: bool
    meaning: str
    columns: tuple[Column, ...]

    @property
    def column_names(self) -> list[str]:
        """The names of the columns, in their order."""
        return [column.name for column in self.columns]

    def conform(self, rows: pd.DataFrame) -> pd.DataFrame:
        """Return `rows` with exactly this frame's columns, in order and in their kinds.

        Raises KeyError where a column is missing: the night must make every column that pages read.
        """
        return rows[self.column_names].astype({column.name: DTYPES[column.kind] for column in self.columns})

    def empty(self) -> pd.DataFrame:
        """Return the frame without rows."""
        return pd.DataFrame({column.name: pd.Series(dtype=DTYPES[column.kind]) for column in self.columns})


def _frame(name: str, per_season: bool, meaning: str, *columns: tuple[str, Kind, str]) -> Frame:
    return Frame(name, per_season, meaning, tuple(Column(*column) for column in columns))


GARDENS = _frame(
    "gardens",
    False,
    "One row per garden of the registry, west to east.",
    ("site", "text", "the garden's short name"),
    ("name", "text", "the garden's name"),
    ("kind", "text", "community, school, library, …"),
    ("status", "text", "asked, agreed, active, paused or left"),
    ("position_km", "number", "kilometres along the axis from its fixed origin"),
    ("across_km", "number", "kilometres across the axis; north of the origin where the axis runs east"),
    ("elevation_m", "number", "height above the sea"),
    ("county_fips", "text", "county by polygon"),
    ("county", "text", "its name"),
    ("colour_light", "text", "the colour of its place along the row, on light paper"),
    ("colour_dark", "text", "the same on dark paper"),
)

OUTLINES = _frame(
    "outlines",
    False,
    "Outlines of the counties and of the whole region as lines in axis kilometres.",
    ("outline", "text", "county FIPS code, or region"),
    ("ring", "whole", "number of the ring"),
    ("x_km", "number", "kilometres along the axis"),
    ("y_km", "number", "kilometres across it"),
)

TRIALS = _frame(
    "trials",
    False,
    "One row per trial and season.",
    ("trial", "text", "the trial's name"),
    ("season", "text", "its season"),
    ("title", "text", "how pages name it"),
    ("crop", "text", "crop of the crop table"),
    ("crop_name", "text", "the crop's English name"),
    ("control", "text", "treatment that the others are compared with"),
    ("start", "date", "first day"),
    ("close", "date", "closing day"),
    ("state", "text", "planned, running or closed on the night's date"),
    ("primary_outcome", "text", "outcome named before the season"),
    ("gardens", "whole", "gardens with plots"),
    ("plots", "whole", "plots laid out"),
    ("pickings_expected", "whole", "plot pickings expected on the gardens' own picking days"),
    ("pickings_received", "whole", "plot pickings received of these"),
)

TREATMENTS = _frame(
    "treatments",
    True,
    "The treatments of the trial, control first.",
    ("treatment", "text", "its name in the registry"),
    ("code", "text", "the code on the tags"),
    ("label", "text", "how figures label it"),
    ("order", "whole", "0 control, 1 first treatment, …"),
    ("is_control", "flag", "whether it is the control"),
)

GARDEN_STATES = _frame(
    "garden_states",
    True,
    "The state of every garden of the trial tonight.",
    ("site", "text", "garden"),
    ("state", "text", "in step, late, question, held, not yet picked, resting or closed"),
    ("reason", "text", "one short line for people"),
    ("last_sheet", "date", "day on which its last sheet arrived"),
    ("last_picking", "date", "date of its newest picking"),
    ("days_silent", "whole", "days without a picking until tonight"),
    ("open_questions", "whole", "questions that wait"),
    ("rows_held", "whole", "rows on hold"),
    ("pickings_expected", "whole", "plot pickings expected on its own picking days"),
    ("pickings_received", "whole", "plot pickings received of these"),
)

WEEKS = _frame(
    "weeks",
    True,
    "One row per garden and week of the season so far.",
    ("site", "text", "garden"),
    ("week", "date", "its Monday"),
    ("state", "text", "sent, part (rows wait), missing, early or absent"),
)

PLOT_SEASONS = _frame(
    "plot_seasons",
    True,
    "One row per plot: the season's totals, or so far.",
    ("site", "text", "garden"),
    ("block", "text", "block"),
    ("plot", "text", "plot"),
    ("treatment", "text", "what stands in the ground"),
    ("plants", "number", "plants planted (dead ones stay in)"),
    ("pickings_expected", "whole", "picking days of the garden"),
    ("pickings_received", "whole", "of these, days with a row for the plot"),
    ("used", "flag", "whether the plot enters the answer"),
    ("why_not", "text", "why not, blank where it does"),
    ("marketable_kg_per_plant", "number", "marketable weight per planted plant"),
    ("marketable_fruits_per_plant", "number", "marketable fruits per planted plant"),
    ("mean_fruit_mass_g", "number", "marketable weight per marketable fruit"),
    ("marketable_share", "number", "marketable weight as a fraction of marketable and cull weight"),
    ("early_kg_per_plant", "number", "marketable weight per plant in the garden's first 21 picking days"),
    ("days_to_first_harvest", "number", "days from planting to the first marketable picking"),
)

HARVEST_CURVES = _frame(
    "harvest_curves",
    True,
    "Marketable weight per plant adding up through the season, mean of a garden's plots.",
    ("site", "text", "garden"),
    ("treatment", "text", "treatment"),
    ("date", "date", "picking day"),
    ("marketable_kg_per_plant", "number", "total up to and with that day"),
)

PLOT_CURVES = _frame(
    "plot_curves",
    True,
    "Marketable weight per plant of each plot, adding up through the season: for its own garden.",
    ("site", "text", "garden"),
    ("plot", "text", "plot"),
    ("date", "date", "picking day"),
    ("marketable_kg_per_plant", "number", "total up to and with that day"),
)

ATTRIBUTES = _frame(
    "attributes",
    True,
    "What is known of each garden's place and weather over the season's window.",
    ("site", "text", "garden"),
    ("position_km", "number", "kilometres along the axis"),
    ("elevation_m", "number", "height above the sea"),
    ("degree_days_c", "number", "degree days of the window, °C, by the crop's method and thresholds"),
    ("degree_days_c_per_day", "number", "the same per day"),
    ("hot_days", "number", "days over the crop's fruit-set limit"),
    ("warm_nights", "number", "nights over the crop's fruit-set limit"),
    ("rain_mm", "number", "rain of the window"),
    ("rain_mm_per_day", "number", "the same per day"),
    ("days_estimated_share", "number", "fraction of days filled by rule"),
    ("nearest_station_km", "number", "distance to the nearest station used"),
    ("weather_note", "text", "far, withheld with the reason, or blank"),
    ("texture", "text", "USDA texture class of the topsoil"),
    ("ph", "number", "soil pH in water"),
    ("organic_matter_pct", "number", "organic matter"),
    ("soil_source", "text", "own test with its date, or map unit"),
)

EFFECTS = _frame(
    "effects",
    True,
    "What the treatment did in each garden. Before the trial closes without errors and intervals.",
    ("outcome", "text", "outcome"),
    ("treatment", "text", "treatment compared with the control"),
    ("site", "text", "garden"),
    ("position_km", "number", "kilometres along the axis"),
    ("mean_control", "number", "control mean in the outcome's unit"),
    ("mean_treatment", "number", "treatment mean in the outcome's unit"),
    ("blocks", "whole", "blocks used"),
    ("plots", "whole", "plots used, control and treatment"),
    ("log_ratio", "number", "log response ratio"),
    ("log_ratio_variance", "number", "its variance"),
    ("percent", "number", "percent more (less where negative) than the control"),
    ("percent_low", "number", "lower end of the garden's own 95 % interval"),
    ("percent_high", "number", "upper end"),
    ("variance_from", "text", "garden, pooled, moderated or none"),
)

NETWORK = _frame(
    "network",
    True,
    "The answer over all gardens; empty before the trial closes.",
    ("outcome", "text", "outcome"),
    ("treatment", "text", "treatment compared with the control"),
    ("gardens", "whole", "gardens in the answer"),
    ("plots", "whole", "plots in the answer"),
    ("estimate", "number", "mean log ratio"),
    ("se", "number", "its standard error"),
    ("df", "number", "degrees of freedom"),
    ("ci_low", "number", "lower end of the 95 % interval, log ratio"),
    ("ci_high", "number", "upper end"),
    ("p", "number", "p-value"),
    ("p_adjusted", "number", "p-value that allows for the other treatments of the trial"),
    ("pi_low", "number", "lower end for a new garden, log ratio"),
    ("pi_high", "number", "upper end"),
    ("tau2", "number", "variance of the effect between gardens"),
    ("i2", "number", "share of variation between gardens beyond chance, fraction"),
    ("q", "number", "heterogeneity statistic"),
    ("q_p", "number", "its p-value"),
    ("percent", "number", "percent more than the control"),
    ("percent_low", "number", "lower end"),
    ("percent_high", "number", "upper end"),
    ("new_low_percent", "number", "lower end for a new garden"),
    ("new_high_percent", "number", "upper end"),
    ("at_once_percent", "number", "percent more by the model of all plots at once, the cross-check"),
    ("at_once_low", "number", "its lower end"),
    ("at_once_high", "number", "its upper end"),
    ("method", "text", "estimator of the variance between gardens"),
    ("interval", "text", "kind of interval"),
    ("prediction", "text", "kind of interval for a new garden"),
)

GRADIENT = _frame(
    "gradient",
    True,
    "The line through the garden effects along an axis; empty before the trial closes.",
    ("outcome", "text", "outcome"),
    ("treatment", "text", "treatment compared with the control"),
    ("axis", "text", "column of the attributes that the line runs along"),
    ("term", "text", "intercept or the axis"),
    ("coefficient", "number", "log ratio, per unit of the axis for the slope"),
    ("se", "number", "standard error"),
    ("df", "number", "degrees of freedom"),
    ("ci_low", "number", "lower end of the 95 % interval"),
    ("ci_high", "number", "upper end"),
    ("p", "number", "p-value"),
    ("tau2", "number", "variance between gardens around the line"),
    ("r2", "number", "share of the variance between gardens that the line takes up"),
)

GRADIENT_BAND = _frame(
    "gradient_band",
    True,
    "The line with its bands over the range of the gardens, in percent.",
    ("outcome", "text", "outcome"),
    ("treatment", "text", "treatment compared with the control"),
    ("axis", "text", "column of the attributes that the line runs along"),
    ("at", "number", "place on that axis"),
    ("percent", "number", "the line"),
    ("mean_low", "number", "band for the mean, lower edge"),
    ("mean_high", "number", "upper edge"),
    ("new_low", "number", "band for a new garden, lower edge"),
    ("new_high", "number", "upper edge"),
)

SENTENCES = _frame(
    "sentences",
    True,
    "The sentences that stand above figures, made by the night.",
    ("outcome", "text", "outcome"),
    ("treatment", "text", "treatment, blank where the sentence is about all"),
    ("place", "text", "network, gradient, compare or watch"),
    ("language", "text", "en or es"),
    ("sentence", "text", "what it means"),
    ("sure", "text", "how sure, from how much"),
)

UPLOADS = _frame(
    "uploads",
    False,
    "Every data sheet received, newest last.",
    ("upload", "whole", "number of the upload"),
    ("received", "moment", "when it arrived, UTC"),
    ("file", "text", "its name as sent"),
    ("tab", "text", "tab of a workbook"),
    ("sheet", "text", "kind of sheet"),
    ("sites", "text", "gardens in it"),
    ("verdict", "text", "taken, taken in part or refused"),
    ("rows", "whole", "rows read"),
    ("used", "whole", "rows used"),
    ("held", "whole", "rows on hold"),
    ("is_new", "flag", "whether it came in since the snapshot before"),
)

FINDINGS = _frame(
    "findings",
    False,
    "Findings that stand open: rows on hold and questions.",
    ("upload", "whole", "number of the upload"),
    ("file", "text", "file as sent"),
    ("tab", "text", "tab of a workbook"),
    ("sheet", "text", "kind of sheet"),
    ("site", "text", "garden, where known"),
    ("season", "text", "season, where known"),
    ("line", "whole", "line in the file"),
    ("column", "text", "column"),
    ("check", "text", "check that asked"),
    ("level", "text", "held, question or note"),
    ("sent", "text", "value as sent"),
    ("read", "text", "how we read it"),
    ("message", "text", "what we saw"),
    ("why", "text", "why we ask"),
    ("remedy", "text", "how to mend it"),
)

FRAMES: tuple[Frame, ...] = (
    GARDENS,
    OUTLINES,
    TRIALS,
    UPLOADS,
    FINDINGS,
    TREATMENTS,
    GARDEN_STATES,
    WEEKS,
    PLOT_SEASONS,
    HARVEST_CURVES,
    PLOT_CURVES,
    ATTRIBUTES,
    EFFECTS,
    NETWORK,
    GRADIENT,
    GRADIENT_BAND,
    SENTENCES,
)
