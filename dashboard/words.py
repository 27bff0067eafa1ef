"""Every word that pages say by themselves, in English. Sentences of meaning come from the night instead."""

from dataclasses import dataclass
from types import MappingProxyType

from pipeline.words import marked


@dataclass(frozen=True)
class PageWords:
    """What a page is called and what it says while it cannot show its figure."""

    link: str
    title: str
    nothing: str
    reading: str
    trouble: str


WATCH = PageWords(
    "Watch",
    "All gardens tonight",
    "No garden has sent anything yet. The first sheets show here the next morning.",
    "Getting the gardens…",
    "We cannot show the gardens right now.",
)
COMPARE = PageWords(
    "Compare",
    "Treatments side by side",
    "No plot has a picking yet.",
    "Drawing the plots…",
    "We cannot draw this right now.",
)
GRADIENT = PageWords(
    "Gradient",
    "From west to east",
    "We need pickings from at least 4 gardens to draw this.",
    "Lining up the gardens…",
    "We cannot draw this right now.",
)

CHECKS = PageWords(
    "Checks",
    "What we look at in every sheet",
    "There is nothing to list.",
    "Getting the checks…",
    "We cannot show the checks right now.",
)
CHECKS_WORDS = MappingProxyType(
    {
        "sure": "{count} checks. On hold: the row waits for the garden, the rest counts. Question: the row "
        "counts, and we ask. Note: we say what we did.",
        "looks_at": "Looks at {columns} ({sheets}).",
        "every_sheet": "every sheet",
        "held": "on hold",
        "question": "question",
        "note": "note",
        "limits": "Usual ranges of crops",
        "limits_note": "Outside the usual range we ask. Beyond the hard limit a row waits. A network may set "
        "its own.",
    }
)

SEND = PageWords(
    marked("Send"),
    marked("Send your sheet"),
    marked("Drop your file here, or choose it. You get an answer at once."),
    marked("Getting the page…"),
    marked("We cannot show this right now."),
)
PICKING = PageWords(
    marked("Send"),
    marked("Write down one picking"),
    marked("Your garden has no plots for this season yet."),
    marked("Getting your plots…"),
    marked("We cannot show your plots right now."),
)
PAPER = PageWords(
    marked("Send"),
    marked("Print the sheet"),
    marked("Your garden has no plots for this season yet."),
    marked("Getting your plots…"),
    marked("We cannot show your plots right now."),
)
MY_GARDEN = PageWords(
    marked("My garden"),
    marked("My garden"),
    marked("Your plots show here after your first sheet."),
    marked("Getting your plots…"),
    marked("We cannot show your plots right now."),
)

SHELL = MappingProxyType(
    {
        "skip": marked("Skip to the page"),
        "pages": marked("Pages"),
        "trials": marked("Trial"),
        "seasons": marked("Season"),
        "so_far": marked("so far"),
        "published": marked("Published {moment}"),
        "about": marked("{trial} {season}, {gardens}. Published {day}."),
        "ruler": marked("Gardens from west to east"),
        "ruler_title": marked("The row, west to east"),
        "ruler_hint": marked("choose a garden"),
        "story": marked("open {garden} by itself"),
        "west": marked("West: {garden}"),
        "east": marked("East: {garden}"),
        "end_west": marked("This is the westernmost garden"),
        "end_east": marked("This is the easternmost garden"),
        "km_east": marked("km east"),
        "km": marked("{km} km east"),
        "county": marked("{county} County"),
        "checks": marked("What we check"),
        "waiting": "{n} wait",
        "paper": marked("Paper"),
        "as_device": marked("as on this device"),
        "light": marked("light"),
        "dark": marked("dark"),
        "sign_in": marked("Sign in"),
        "account": marked("your account, sign out"),
        "open": marked("This network keeps no accounts: whoever can open this page sees what its lead sees."),
    }
)
STATES = MappingProxyType(
    {
        "first": marked("A trial shows here the night after its plots are laid out."),
        "lost_title": marked("There is no page at this address."),
        "lost": marked("It may have been typed with a slip. The pages are in the line above."),
        "unknown_title": marked("This address names something we do not know."),
        "unknown_link": marked("Open the page without it"),
        "nothing_lost": marked("Nothing that was sent is lost. Try again in a minute."),
        "again": marked("Try again"),
        "unreached": marked("We cannot reach Longrow right now. What stands below is what came last."),
        "reading": marked("Getting the page…"),
    }
)
FIGURE = MappingProxyType(
    {
        "table": marked("Show as table"),
        "table_trouble": marked("We cannot show the table right now. The CSV may still come."),
        "csv": marked("CSV"),
        "csv_name": marked("Download the table of this figure as CSV"),
        "picture": marked("Picture"),
        "picture_name": marked("Download this figure as a picture"),
        "slide": marked("Slide"),
        "slide_name": marked("Download this figure as a slide with its sentence, PNG"),
        "slide_svg": marked("SVG"),
        "slide_svg_name": marked("Download this figure as a slide with its sentence, SVG"),
        "search": marked("Search the rows"),
        "these_csv": marked("These rows as CSV"),
        "rows_found": marked("{total} rows"),
        "rows_searched": marked("{found} of {total} rows"),
        "rows_part": marked("Rows {first} to {last} of {found}"),
        "rows_before": marked("Rows before"),
        "rows_after": marked("Rows after"),
        "rows_page": marked("page {page} of {pages}"),
        "missing": marked("Without a value, so not drawn: {gardens}."),
        "squash": marked("north to south drawn at {ratio}"),
        "window": marked(
            "{shown} of {total} gardens are drawn: those around {garden}. The CSV has them all."
        ),
    }
)
#: Captions of the tables behind figures, by the figure's name.
TABLES = MappingProxyType(
    {
        "tonight": "Every garden tonight, west to east",
        "sheets": "Every sheet that is new, those that want somebody first",
        "strips": "Differences, weather and land of every garden, west to east",
        "plots": "Every plot, west to east",
        "effects": "Difference of every garden, west to east",
        "ways": "The answer worked out in other ways",
        "interim": "The interim analyses that were named before the season",
        "seasons": "The answer over the closed seasons, and of each of them",
        "season": "Weight per plant adding up, west to east",
        "mass": "Weight of a fruit, plot by plot, west to east",
        "power": "The chance to see the difference, by number of gardens",
        "next": "What one more garden would do, place by place",
        "next-map": "The gardens on the map, and what one that was asked would bring",
        "asked": "Gardens that were asked, and how they fit",
        "layout": "Where each plot lies",
        "visits": "What to look at in each garden",
        "weather": "Freezes and days too hot to set fruit, of the last seven days",
        "planting": "How far each garden is with planting",
        "moved": "Gardens that moved the answer, west to east",
        "scores": "Scores of one plot on one day by two people",
        "curves": "Weight per plant of the garden's plots, adding up",
        "rows": "Every row of the garden, with its file and place in it",
        "waiting": "What waits for a decision, most consequential first",
        "neighbours": "The garden's rows around the one in question",
        "counties": marked("Every county with gardens, west to east"),
        "figures": "The figures of the year and of those before it",
        "by_county": "The figures of the year by county",
        "checks": "Every check, when it asks and what it says",
        "limits": "Usual ranges of crops, and their sources",
        "own-season": marked("Your plots adding up, kg per plant"),
    }
)
#: How much north to south is shortened against east to west, in words.
RATIOS = (
    (1 / 4, "a quarter"),
    (1 / 3, "a third"),
    (2 / 5, "two fifths"),
    (1 / 2, "half"),
    (3 / 5, "three fifths"),
    (2 / 3, "two thirds"),
    (3 / 4, "three quarters"),
    (1.0, "full length"),
)

WATCH_WORDS = MappingProxyType(
    {
        "weeks": "Week by week",
        "weeks_note": "week from",
        "sent": "sent",
        "part": "sent, rows wait",
        "missing": "not here yet",
        "early": "too early",
        "absent": "nobody there",
        "caption": "A garden without a mark is in step. Colour is place along the row, never state.",
        "finding": "Map of {gardens} with their state tonight, and the pickings of each week. {counts}.",
        "late": "Late",
        "stations": "Weather stations",
        "late_none": "No garden is late tonight.",
        "silent": "{days} without a picking.",
        "last_sheet": "Last sheet {day}.",
        "see": "See",
        "new": "New sheets",
        "new_none": "No sheet came in {since}.",
        "rows_in": "{used} of {rows} rows in",
        "rows_wait": "{held} wait",
        "refused": "No row could be read yet",
        "complete": "How complete",
        "share": "{received} of {expected} expected plot pickings are here",
        "none_expected": "No picking is expected yet",
        "closed": "closed",
        "planned": "planned",
        "sheets": "{sheets} came in {since}: {verdicts}.",
        "more_listed": "{count} gardens need somebody: the table names them all.",
        "more": "{count} more",
        "beyond": "and {count} more",
        "crowd": "Larger marks are gardens that need somebody.",
        "stretches": "Each column is a stretch of the row, filled as far as the pickings that were due "
        "there came in.",
    }
)
COMPARE_WORDS = MappingProxyType(
    {
        "measure": "Measure",
        "against": "Against {control}",
        "one_plot": "one plot",
        "not_used": "does not count",
        "scale_from": "scale starts at {start}",
        "caption": "Short strokes are single plots, the mark is their mean; gardens that stand close "
        "together are drawn side by side.",
        "cross": "A cross is a plot that does not count; the table says why.",
        "finding": "{outcome} by treatment in {gardens}, west to east.",
        "effects": "Each garden beside the whole row",
        "effects_title": "The difference",
        "effects_caption": "Each mark is a garden, its thin line its own 95% interval. Hatched band: where "
        "the average over the row lies. Dotted lines: where 19 of 20 new gardens would lie.",
        "effects_caption_plain": "Each mark is a garden, its thin line its own 95% interval.",
        "all_gardens": "over the row",
        "season": "Through the season",
        "season_note": "Marketable kilograms per plant, adding up. All panels share one scale.",
        "season_gain": "The figure at the right is {treatment} against {control}.",
        "season_caption": "A line that stops early has no later picking. It does not mean that the harvest "
        "ended.",
        "season_finding": "Marketable weight per plant adding up through the season in {gardens}.",
        "stops": "stops {day}",
        "mass": "How heavy a fruit is",
        "mass_caption": "Each mark is one plot's mean marketable fruit, in the colour of its place along the "
        "row; the box holds the middle half of the plots, the line is the median.",
        "mass_counted": "The wider a line is at a weight, the more plots have a mean marketable fruit of "
        "that weight; the box holds the middle half of the plots, the line across is the median.",
        "running": "So far, up to {night}. This can still change until {close}: weight so far is not the "
        "season's weight, and a treatment that ripens later looks worse until it catches up.",
    }
)
GRADIENT_WORDS = MappingProxyType(
    {
        "axis": "Lay the row out by",
        "show": "Show",
        "measure": "Measure",
        "where": "Where",
        "tonight": "Tonight",
        "where_axis": "km east",
        "difference": marked("The difference"),
        "against": "{outcome} against {control}",
        "same": marked("same"),
        "new_gardens": "between the dotted lines: 19 of 20 new gardens",
        "here": "{percent} here",
        "interval": "interval {interval}",
        "so_far": "so far",
        "no_effect": "no comparison",
        "rain": "Rain",
        "rain_note": "over the season, mm",
        "hot": "Hot days",
        "hot_note": "too hot to set fruit",
        "heat": "Heat",
        "heat_note": "degree days, °C, from {start} up",
        "land": "Land",
        "land_note": "metres above the sea, topsoil below",
        "height_note": "metres above the sea",
        "station": "nearest station {km}",
        "warm_nights": "{nights} too warm",
        "estimated": "{share} of days by rule",
        "own test": "own test, {day}",
        "map unit": "from the soil map",
        "map unit and own test": "own test, {day}, and soil map",
        "finding_closed": "Four strips over one axis, {axis}: map, difference, weather, land. {sentence}",
        "finding_running": "Four strips over one axis, {axis}: map, difference so far, weather, land.",
        "caption_closed": "Each mark is a garden, in the colour of its place along the row; its thin line is "
        "its own 95% interval. Hatched band: where the average lies. Dotted lines: where 19 of 20 new "
        "gardens would lie.",
        "caption_crowd": "Each mark is a garden, in the colour of its place along the row; there are too "
        "many for an interval each, the table has them. Hatched band: where the average lies. Dotted lines: "
        "where 19 of 20 new gardens would lie.",
        "caption_running": "Each mark is what a garden has measured so far, in the colour of its place along "
        "the row.",
        "without_title": "Without {garden}",
        "without": "The average over the row would be {without} instead of {now}.",
        "without_slope": "From 100 km to the next it would change by {without} instead of {now}.",
        "without_note": "Choose another garden in the row or in the figure to leave that one out.",
        "unread": "Click to read it out.",
        "cut": marked("A line that runs out of its strip goes further; the table has its ends."),
        "pattern": "This is a pattern, not a cause. Heat, rain and soil change along the same line.",
        "running": "So far, up to {night}. This can still change until {close}.",
        "running_spread": "The middle half of {gardens} lies between {low} and {high} so far.",
        "running_level": "The middle half of {gardens} lies level with the control so far.",
        "running_yield": "Weight so far is not the season's weight, and a treatment that ripens later looks "
        "worse until it catches up.",
        "beside": "The trial was planned for {primary}. This is looked at beside it.",
    }
)
