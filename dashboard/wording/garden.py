"""Words of the page of one garden."""

from types import MappingProxyType

from dashboard.words import PageWords

GARDEN = PageWords(
    "Garden",
    "One garden",
    "This garden has no plot in this season.",
    "Getting the garden…",
    "We cannot show this garden right now.",
)

WORDS = MappingProxyType(
    {
        "heading": "{site} {name}: {reason}.",
        "sure": "{county} County, {km} km east, {elevation} above the sea. {pickings}",
        "sure_nowhere": "Its coordinates cannot be used, so it has no place along the row. {pickings}",
        "pickings": "{received} of {expected} expected plot pickings are here.",
        "figure": "Its plots through the season",
        "figure_finding": "Marketable weight per plant of every plot of {site} adding up through the season.",
        "caption": "Each line is one plot, adding up; its shape and line are its treatment. {gain}",
        "gain": "Here {treatment} against {control}: {percent}.",
        "gain_interval": "Here {treatment} against {control}: {percent}, its own 95% interval {interval}.",
        "cross": "A plot with a cross does not count yet; the table says why.",
        "plots": "Plots",
        "plots_note": "Choose a plot to see its rows.",
        "rows": "Rows of plot {plot}",
        "rows_none": "Nothing has been sent for this plot.",
        "rows_note": "Choose a line to see what became of it.",
        "timeline": "What became of {file}, row {line}",
        "sent": "sent",
        "left": "until {day}: {why}",
        "stands": "stands",
        "questions": "Open questions",
        "questions_none": "No question is open here.",
        "decide": "Decide",
        "files": "What it sent",
        "file_rows": "{verdict}: {used} of {rows} rows in",
        "file_picture": "a picture of a paper sheet",
        "files_none": "Nothing has come from this garden yet.",
        "place": "Weather and soil",
        "visit": "Visit list to print",
        "not_used": "does not count",
        "counts": "counts",
    }
)
#: Facts of a garden's place, in words.
PLACE = MappingProxyType(
    {
        "withheld": "withheld",
        "mend": "{message} Correct it in registry/gardens.csv; the next night takes it up.",
        "none_near": "none near enough",
        "freezes": "Freeze dates {state}.",
        "zones": "Hardiness zone {state}.",
        "rain": "Rain of the season",
        "degree_days": "Degree days",
        "hot_days": "Days too hot to set fruit",
        "warm_nights": "Nights too warm",
        "felt": "Days that felt like 90 °F, humidity estimated",
        "station": "Nearest station",
        "estimated": "Days estimated or missing",
        "last_freeze_10": "In 1 of 10 years it froze after",
        "first_freeze_10": "In 1 of 10 years it froze again before",
        "freeze_years_without": "Years without a freeze",
        "zone": "Hardiness zone",
        "zone_years": "Zone known from",
        "texture": "Topsoil",
        "ph": "pH",
        "organic_matter": "Organic matter",
        "soil_source": "Soil known from",
        "close": "Close to {gardens}: they share much of their weather and soil.",
    }
)
