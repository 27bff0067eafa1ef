"""Words of the pages that are made to be shared: Release, Results and Reach."""

from types import MappingProxyType

from dashboard.words import PageWords
from pipeline.words import marked

RELEASE = PageWords(
    "Release",
    "What everybody may read",
    "No trial has closed yet. An answer can be released the night after the closing date.",
    "Getting the answers…",
    "We cannot show the answers right now.",
)
RESULTS = PageWords(
    marked("Results"),
    marked("What we found"),
    marked("No result is out yet. Results come out after a trial closes."),
    marked("Getting the results…"),
    marked("We cannot show the results right now."),
)
REACH = PageWords(
    "Reach",
    "What our gardens gave",
    "No sheet has come in yet. The figures show here the night after the first.",
    "Adding up…",
    "We cannot add this up right now.",
)

RELEASE_WORDS = MappingProxyType(
    {
        "sure": "Readers see a released answer on Results, by county and never by garden. It stays as it is "
        "until somebody releases again or takes it back.",
        "closed": "closed {day}",
        "none": "Not released. Readers see nothing of this season.",
        "stands": "Released {day} by {who}: the answer of the night of {night}.",
        "changed": "The answer has changed since. Readers still see the older one.",
        "gone": "The newest night has no such answer any more. Readers still see it.",
        "release": "Release this answer",
        "again": "Release the newer answer",
        "release_now": "Release it to everybody",
        "take_back": "Take it back",
        "take_back_now": "Take it back now",
        "take_back_note": "Readers see nothing of this season any more. What they copied stays with them.",
        "preview": "Everybody will read:",
        "places": "{placed} of {gardens} have a place on it, in {counties}. A garden that asked to be hidden "
        "counts in the average alone.",
        "rounding": "Places are rounded to 5 km. By them the change over 100 km is {public}; by the exact "
        "places it is {exact}.",
        "history": "What was released",
        "history_none": "Nothing was released yet.",
        "was_released": "Released {day} by {who}",
        "was_replaced": "; replaced {day}",
        "was_taken_back": "; taken back {day} by {who}",
        "see": "See what readers see",
        "nobody_named": "the trial team",
        "done": "{what} is released. Readers see it now.",
        "undone": "{what} is taken back. Readers do not see it any more.",
    }
)
REACH_WORDS = MappingProxyType(
    {
        "year": "Year",
        "what": "What",
        "trend": "Trend",
        "complete": "How complete",
        "counted": "How it is counted",
        "figures": "Figures of the year",
        "until": "January 1 to {day} of each year. Counts of fewer than five people are not told.",
        "whole": "Whole years. Counts of fewer than five people are not told.",
        "map": "Where people worked",
        "no_map": "No garden of this year lies in a county that we know.",
        "key": "{measure} of the year, by the county of the garden. Close hatching: over {middle}. Open "
        "hatching: up to {middle}. Dots: gardens that sent none. Plain: no garden.",
        "document": "The document",
        "document_title": "The garden year {year}",
        "document_note": "Two pages, with every figure, how it is counted and how complete it is, and the "
        "map by county.",
        "pdf": "Get the PDF",
        "table": "Get the table",
    }
)
RESULTS_WORDS = MappingProxyType(
    {
        "about": marked("{title} trial {season}, {gardens}. Released {day}."),
        "answers": marked("Answers"),
        "treatments": marked("Compared with {control}"),
        "county": marked("Your county"),
        "choose": marked("Choose a county"),
        "show": marked("Show"),
        "expect": marked("In a new garden in {county} County, expect about {percent}."),
        "expect_range": marked("In 19 of 20 new gardens it would lie between {low} and {high}."),
        "expect_all": marked(
            "We cannot tell that {county} County differs from the others: this is the average over "
            "all gardens."
        ),
        "expect_beyond": marked(
            "{county} County lies beyond our gardens: this is the average over all of them."
        ),
        "expect_none": marked("There are too few gardens to say what a new one would see."),
        "figure": marked("{outcome}: {treatment} against {control}, from west to east"),
        "finding": marked("{sentence} One mark for each county, from west to east."),
        "caption": marked(
            "Each mark is the mean of a county’s gardens, in the colour of its place from west to "
            "east; its thin line is its 95% interval. Hatched band: where the average lies. Dotted lines: "
            "where 19 of 20 new gardens would lie. No garden is shown by its place."
        ),
        "caption_mean": marked(
            "Each mark is the mean of a county’s gardens, in the colour of its place from west "
            "to east; its thin line is its 95% interval. Hatched band: where the average lies. No garden is "
            "shown by its place."
        ),
        "seen": marked("In {above} of {counties} with gardens the mean lies above {control}."),
        "axis": marked("km from the western edge, east"),
        "near": marked("Gardens near you"),
        "near_all": marked("Where the gardens are"),
        "near_head": marked("County"),
        "difference": marked("Difference"),
        "interval": marked("95% interval"),
        "own": marked("your county, {gardens}"),
        "away": marked("{gardens}, about {km} km {direction}"),
        "not_said": marked("What this does not say"),
        "not_cause": marked(
            "Why it changes along the row. Heat, rain and soil change along the same line: it is a "
            "pattern, not a cause."
        ),
        "not_taste": marked("Anything on taste, price or disease."),
        "not_other": marked("What happens with another crop, variety or rootstock."),
        "not_place": marked(
            "Anything on one garden: places are rounded, and a garden alone is a small trial."
        ),
        "cautions": marked("Before you try it"),
        "label": marked(
            "The product label is the law. We do not recommend products. Your garden’s rules come first."
        ),
        "food": marked(
            "For donated food, the food pantry and the health department decide what can be given."
        ),
        "flood": marked("Do not eat or give away food that flood water touched. Ask the health department."),
        "heat": marked(
            "Drink water, rest in the shade, work in pairs, stop early. Follow the local heat advice."
        ),
        "lead": marked(
            "Have the soil tested for lead. Your health department can tell you what the number means."
        ),
    }
)
