"""What a published snapshot holds: each frame, its columns and what they mean.

The dashboard reads nothing else. A frame either stands once in a snapshot or once for each trial and
season.
"""

from pipeline.publish.answer_frames import (
    ANSWER_BASIS,
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
from pipeline.publish.place_frames import (
    ATTRIBUTES,
    CLOSE_PAIRS,
    GLOSSARY,
    STATION_DOUBTS,
    STATION_ERRORS,
    STATIONS_IN_DOUBT,
)
from pipeline.publish.shared_frames import ABOUT, PUBLIC_FRAMES, REACH, REACH_COUNTIES

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
    ("coordinates", "text", "good, swapped, longitude sign, outside or missing; only a good one has a place"),
    ("elevation_m", "number", "height above the sea"),
    ("county_fips", "text", "county by polygon"),
    ("county", "text", "its name"),
    ("beds", "whole", "beds that it has"),
    ("sun_hours", "number", "hours of sun a day"),
    ("water_source", "text", "where its water comes from"),
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

PLOT_CURVES = _frame(
    "plot_curves",
    True,
    "Marketable weight per plant of each plot, adding up through the season: for its own garden.",
    ("site", "text", "garden"),
    ("plot", "text", "plot"),
    ("date", "date", "picking day"),
    ("marketable_kg_per_plant", "number", "total up to and with that day"),
)


SEASON_NOTES = _frame(
    "season_notes",
    True,
    "What each garden should hear of its season: what happened, and how often it happens; never a forecast.",
    ("site", "text", "garden"),
    ("kind", "text", "what it is about: freeze, soil, harden, chill, flowers, heat, flood or lead"),
    ("code", "text", "kind of note, with its degree"),
    ("number", "number", "its number, in the unit of the code"),
    ("from_date", "date", "the day, or the first of the days, that it is about"),
    ("to_date", "date", "the last of the days, missing where there is one only"),
    ("language", "text", "en or es"),
    ("sentence", "text", "the note in the network's units"),
    ("defer", "text", "whose rules come first"),
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

LAYOUT = _frame(
    "layout",
    True,
    "Where each plot lies in its garden.",
    ("site", "text", "garden"),
    ("block", "text", "block"),
    ("plot", "text", "plot"),
    ("code", "text", "code on its tag"),
    ("row", "whole", "row from the north, or from the gate"),
    ("col", "whole", "place in the row"),
)

QUESTIONS = _frame(
    "questions",
    True,
    "What waits for a decision of the lead, the most important first; a group is one cause in one file.",
    ("group", "whole", "number of the group, 1 the most important"),
    ("rows", "whole", "findings in the group"),
    ("size", "text", "how far the answer would move if it were answered the other way: small, some or large"),
    ("finding", "whole", "number of the finding"),
    ("row", "whole", "number of the row it is about, blank for a whole file"),
    ("state", "text", "counts, held or waits; blank for a whole file"),
    ("upload", "whole", "number of the upload"),
    ("received", "moment", "when it arrived, UTC"),
    ("file", "text", "file as sent"),
    ("tab", "text", "tab of a workbook"),
    ("sheet", "text", "kind of sheet"),
    ("line", "whole", "line in the file"),
    ("site", "text", "garden, where known"),
    ("plot", "text", "plot, where known"),
    ("code", "text", "code of the plot's treatment, never its name"),
    ("date", "date", "the row's day"),
    ("column", "text", "column"),
    ("check", "text", "check that asked"),
    ("level", "text", "held or question"),
    ("sent", "text", "value as sent"),
    ("suggest", "text", "a value that would mend it, as a person would type it"),
    ("message", "text", "what we saw"),
    ("why", "text", "why we ask"),
    ("remedy", "text", "how to mend it"),
)

WEATHER_EVENTS = _frame(
    "weather_events",
    True,
    "Freezes and days too hot to set fruit of the week up to tonight.",
    ("site", "text", "garden"),
    ("date", "date", "day"),
    ("event", "text", "freeze or heat"),
    ("value_c", "number", "the night's lowest or the day's highest temperature"),
)

PLANTING_WEEK = _frame(
    "planting_week",
    True,
    "How far each garden is with planting.",
    ("site", "text", "garden"),
    ("arrived_on", "date", "day on which its first plants arrived"),
    ("plants_usable", "number", "plants that arrived fit to plant"),
    ("plots", "whole", "plots laid out"),
    ("plots_planted", "whole", "plots with a planting row"),
    ("first_planted_on", "date", "day of the first"),
    ("last_planted_on", "date", "day of the last"),
    ("picture_on", "date", "day of its first picture"),
)

DOUBLE_SCORES = _frame(
    "double_scores",
    True,
    "Scores of one plot on one day by two people.",
    ("site", "text", "garden"),
    ("plot", "text", "plot"),
    ("date", "date", "day"),
    ("measure", "text", "what was scored"),
    ("person_one", "text", "who scored first"),
    ("person_other", "text", "who scored too"),
    ("score_one", "number", "what the first said"),
    ("score_other", "number", "what the other said"),
)

SCORE_AGREEMENT = _frame(
    "score_agreement",
    True,
    "How well two people agree who scored the same plots.",
    ("measure", "text", "what was scored"),
    ("unit", "text", "its unit"),
    ("pairs", "whole", "plots scored by two people on one day"),
    ("mean_difference", "number", "mean difference without its sign"),
    ("largest_difference", "number", "the largest"),
    ("concordance", "number", "concordance correlation, 1 where both always say the same"),
)

FRAMES: tuple[Frame, ...] = (
    GARDENS,
    OUTLINES,
    TRIALS,
    UPLOADS,
    FINDINGS,
    ABOUT,
    REACH,
    REACH_COUNTIES,
    TREATMENTS,
    GARDEN_STATES,
    WEEKS,
    PLOT_SEASONS,
    HARVEST_CURVES,
    PLOT_CURVES,
    ATTRIBUTES,
    GLOSSARY,
    STATION_ERRORS,
    STATION_DOUBTS,
    STATIONS_IN_DOUBT,
    SEASON_NOTES,
    CLOSE_PAIRS,
    ANSWER_BASIS,
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
    LAYOUT,
    QUESTIONS,
    WEATHER_EVENTS,
    PLANTING_WEEK,
    DOUBLE_SCORES,
    SCORE_AGREEMENT,
    *PUBLIC_FRAMES,
)
