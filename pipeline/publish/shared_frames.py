"""Frames that are made to be shared: the network itself, program reach, and what everybody may read."""

from pipeline.publish.frame import Frame, frame

ABOUT = frame(
    "about",
    False,
    "One row: the network itself.",
    ("name", "text", "how pages and messages name it"),
    ("units", "text", "units that people see: us or si"),
    ("language", "text", "language where a garden names none"),
)

REACH = frame(
    "reach",
    False,
    "Program reach: one row per year, span and measure of `reach_measures`.",
    ("year", "whole", "calendar year"),
    ("span", "text", "whole year, or to date: until tonight's day of the year"),
    ("until", "date", "last day that counts"),
    ("measure", "text", "measure"),
    ("value", "number", "the figure in SI; blank where nobody sent it or where it is withheld"),
    ("unit", "text", "its unit"),
    ("is_withheld", "flag", "whether it is a count of fewer than five people and so not told"),
    ("reported", "whole", "gardens whose sheets have it"),
    ("active", "whole", "gardens with a row on any sheet in that span"),
    ("of", "whole", "for gardens that came back: those of the year before"),
    ("shown", "number", "the figure in the unit that people see"),
    ("shown_unit", "text", "that unit"),
)

REACH_COUNTIES = frame(
    "reach_counties",
    False,
    "Program reach by the county of the garden, whole years.",
    ("year", "whole", "calendar year"),
    ("county_fips", "text", "county"),
    ("county", "text", "its name"),
    ("measure", "text", "measure"),
    ("value", "number", "the figure in SI; blank where nobody sent it or where it is withheld"),
    ("unit", "text", "its unit"),
    ("is_withheld", "flag", "whether it is withheld: fewer than five people, or giving such a count away"),
    ("shown", "number", "the figure in the unit that people see"),
    ("shown_unit", "text", "that unit"),
)

PUBLIC_TRIAL = frame(
    "public_trial",
    True,
    "What everybody may know of a closed season; without a row until it closes.",
    ("trial", "text", "the trial's name"),
    ("season", "text", "its season"),
    ("title", "text", "how pages name it"),
    ("crop_name", "text", "the crop's English name"),
    ("close", "date", "closing day"),
    ("outcome", "text", "outcome named before the season"),
    ("gardens", "whole", "gardens in the answer"),
    ("placed", "whole", "of these, gardens whose agreement lets their county be shown"),
    ("counties", "whole", "counties that these lie in"),
)

PUBLIC_ANSWER = frame(
    "public_answer",
    True,
    "The answer of a closed season for everybody: one row per treatment, places rounded.",
    ("treatment", "text", "treatment compared with the control"),
    ("label", "text", "how figures label it"),
    ("order", "whole", "1 first treatment, 2 second, …"),
    ("control", "text", "how figures label the control"),
    ("gardens", "whole", "gardens in the answer"),
    ("plots", "whole", "plots in the answer"),
    ("percent", "number", "percent more than the control"),
    ("percent_low", "number", "lower end of the 95 % interval"),
    ("percent_high", "number", "upper end"),
    ("new_low", "number", "lower end for a new garden"),
    ("new_high", "number", "upper end"),
    ("line_gardens", "whole", "gardens behind the line along the axis; blank where there is no line"),
    ("slope_pct_per_100_km", "number", "change along the axis, by the rounded places"),
    ("slope_exact_pct_per_100_km", "number", "the same by the exact places"),
    ("is_slope_told", "flag", "whether the slope's interval leaves out zero"),
    ("sentence_en", "text", "what it means, English"),
    ("sure_en", "text", "how sure"),
    ("line_en", "text", "how it changes along the axis"),
    ("sentence_es", "text", "what it means, Spanish"),
    ("sure_es", "text", "how sure"),
    ("line_es", "text", "how it changes along the axis"),
)

PUBLIC_COUNTIES = frame(
    "public_counties",
    True,
    "Every county of the region and treatment: what its gardens saw, what a new garden there could see.",
    ("county_fips", "text", "county"),
    ("county", "text", "its name"),
    ("treatment", "text", "treatment compared with the control"),
    ("middle_km", "number", "kilometres along the axis of the county's middle, in steps of 5 km"),
    ("across_km", "number", "the same across the axis"),
    ("gardens", "whole", "gardens of the answer whose public place lies here"),
    ("axis_km", "number", "mean public position of these gardens, blank where there are none"),
    ("colour_light", "text", "the colour of that position along the row, on light paper"),
    ("colour_dark", "text", "the same on dark paper"),
    ("percent", "number", "mean of these gardens, percent more than the control"),
    ("percent_low", "number", "lower end of its 95 % interval"),
    ("percent_high", "number", "upper end"),
    ("expected", "number", "percent that a new garden here should expect"),
    ("expected_low", "number", "lower end for 19 of 20 new gardens"),
    ("expected_high", "number", "upper end"),
    ("basis", "text", "line (the answer changes along the axis) or all gardens"),
)

PUBLIC_BAND = frame(
    "public_band",
    True,
    "The line by the rounded places, with its bands, in percent.",
    ("treatment", "text", "treatment compared with the control"),
    ("at", "number", "kilometres along the axis"),
    ("percent", "number", "the line"),
    ("mean_low", "number", "band for the mean, lower edge"),
    ("mean_high", "number", "upper edge"),
    ("new_low", "number", "band for a new garden, lower edge"),
    ("new_high", "number", "upper edge"),
)

PUBLIC_PLACES = frame(
    "public_places",
    True,
    "The gardens of the answer as others may know them: places rounded once and for ever, weather of there.",
    ("public_name", "text", "the name it wants others to know, blank where it gave none"),
    ("public_as", "text", "what it agreed to: exact, coarse or county; hidden ones have no row"),
    ("lon", "number", "longitude of the public point"),
    ("lat", "number", "latitude of the public point"),
    ("uncertainty_m", "number", "metres by which the garden can be off that point"),
    ("county_fips", "text", "county of the public point"),
    ("axis_km", "number", "kilometres along the axis, in steps of 5 km"),
    ("elevation_m", "number", "height above the sea in steps of 50 m; blank where the county alone is known"),
    ("degree_days_c", "number", "degree days of the season at the public point"),
    ("hot_days", "number", "days there too hot for the crop to set fruit"),
    ("warm_nights", "number", "nights there too warm for it"),
    ("rain_mm", "number", "rain of the season there"),
    ("reference_et_mm", "number", "reference evapotranspiration there"),
)

#: What a release keeps and public pages read; nothing else leaves the network.
PUBLIC_FRAMES: tuple[Frame, ...] = (
    PUBLIC_TRIAL,
    PUBLIC_ANSWER,
    PUBLIC_COUNTIES,
    PUBLIC_BAND,
    PUBLIC_PLACES,
)
