"""What a published snapshot holds: each frame, its columns and what they mean.

The dashboard reads nothing else. A frame either stands once in a snapshot or once for each trial and
season.
"""

from pipeline.publish.answer_frames import (
    EFFECTS,
    ESTIMATES,
    GRADIENT,
    GRADIENT_BAND,
    GRADIENT_CURVE,
    INTERIM,
    MOVED,
    NETWORK,
    SENSITIVITY,
    SENTENCES,
)
from pipeline.publish.frame import Frame
from pipeline.publish.frame import frame as _frame

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
    ("assigned", "text", "what the layout had planned for the plot"),
    ("alive", "number", "plants alive at the newest look that counts them"),
    ("survival", "number", "plants alive as a fraction of plants planted"),
    ("marketable_kg_per_survivor", "number", "marketable weight per plant alive at the end"),
    ("height_cm", "number", "height on the garden's day with most plots measured"),
    ("audpc_pct_days", "number", "area under the disease progress curve over the garden's window"),
    ("relative_audpc", "number", "the same as a fraction of the largest one possible"),
    ("lost_to", "text", "animals, people or disease, where all plants died of it, else blank"),
    ("stage", "text", "maturity at which the plot was picked most often"),
    ("stages_differ", "flag", "whether the garden's treatments were picked at different maturities"),
    ("last_share", "number", "fraction of the weight that came with the last picking, which strips the plot"),
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
    ATTRIBUTES,
    EFFECTS,
    NETWORK,
    GRADIENT,
    GRADIENT_BAND,
    GRADIENT_CURVE,
    ESTIMATES,
    SENSITIVITY,
    INTERIM,
    MOVED,
    SENTENCES,
)
