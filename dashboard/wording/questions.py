"""Words of the questions page."""

from types import MappingProxyType

from dashboard.words import PageWords

QUESTIONS = PageWords(
    "Questions",
    "Questions to settle",
    "No open questions. Well done, all.",
    "Getting the questions…",
    "We cannot show the questions right now.",
)

WORDS = MappingProxyType(
    {
        "heading_one": "One question waits.",
        "heading": "{n} questions wait.",
        "large_none": "None of them could move the answer by a whole point.",
        "large_one": "Only one of them could move the answer by a whole point or more.",
        "large": "{n} of them could move the answer by a whole point or more.",
        "large_all": "Each of them could move the answer by a whole point or more.",
        "sure": "How far, never which way: small is under a quarter of a percent point, large a whole point "
        "or more. Treatments are named by the codes on the tags until you have decided.",
        "list": "Most consequential first",
        "small": "moves it little",
        "some": "moves it some",
        "large_word": "moves it far",
        "unknown": "cannot tell yet how far",
        "rows": "{n} rows",
        "unknown_garden": "Garden not known",
        "more": "{n} more questions",
        "beyond": "The others are in the table.",
        "settled": "This question has been settled. Here is the next one.",
        "all_decided": "Every question has an answer. The next night works them in.",
        "why_ask": "Why we ask",
        "mend": "What the garden was told",
        "counts": "used for now, as sent",
        "held": "on hold, not used",
        "waits": "waits beside the row that counts",
        "whole_file": "about the whole file",
        "of_group": "{at} of {n} rows with this cause",
        "story": "the garden",
        "blank": "blank",
        "previous": "row before",
        "next": "next row",
        "figure": "The plot through the season",
        "figure_finding": "Weights of plot {plot} through the season beside the other plots of code {code}; "
        "the row in question is ringed.",
        "figure_caption": "Thick: plot {plot}. Dotted: other plots of this garden with code {code}. The ring "
        "is the row in question.",
        "figure_caption_blank": "Thick: plot {plot}. Dotted: other plots of this garden with code {code}. "
        "The upright line is the day of the row in question, which has no weight yet.",
        "as_sent": "as sent: {sent}",
        "neighbours": "The row and its neighbours",
        "line_head": "The row as it came",
        "line_from": "{file}, row {line}, sent {day}",
        "cells": "As the spreadsheet held it",
        "decide": "What should count?",
        "keys": "Keys 1 to 5 choose an answer while the focus is in this part.",
        "why": "Why",
        "why_note": "kept with your name and the time",
        "scope": "Answer for",
        "this_row": "this row",
        "all_rows": "all {n} rows with this cause",
        "column": "Change",
        "value": "to",
        "value_note": "as on a sheet: 1.5 kg, 2 lb 3 oz, Aug 12, a plot",
        "other_plot": "Plot that it was swapped with",
        "from_day": "From",
        "where": "Swapped",
        "in_record": "in the record",
        "in_ground": "in the ground",
        "decided": "Decided",
        "decided_none": "Nothing has been decided yet.",
        "undo": "Undo",
        "undo_name": "Undo: {what}",
        "tonight": "from tonight",
        "worked_in": "worked in",
        "last": "Noted: {what}. It counts from tonight on.",
        "no_desk": "The rows behind this page are not at hand, so nothing can be decided here.",
        "paper": "Pictures of paper",
        "paper_note": "A picture waits until somebody has typed it.",
    }
)

#: The five answers, and the three about one picking sent twice: what the button says, and what it does.
ANSWERS = MappingProxyType(
    {
        "use it": ("Use it", "It counts as it stands."),
        "set aside": ("Set it aside", "Kept, but not counted."),
        "ask the garden": ("Ask the garden", "It stays as it is until they answer."),
        "change it": ("Change it", "To the value below; the garden is told."),
        "swapped": ("These two were swapped", "The two plots below trade places."),
        "keep the newer": ("Same picking: newer", "The newer row takes the older one's place."),
        "keep the older": ("Same picking: older", "The older row goes on counting."),
        "two pickings": ("Two pickings", "Both rows count."),
    }
)

#: What a decision says in one line.
SAID = MappingProxyType(
    {
        "use it": "used",
        "set aside": "set aside",
        "ask the garden": "the garden is asked",
        "change it": "changed to {value}",
        "swapped": "plots swapped in the record",
        "planted this way": "plots swapped in the ground",
        "not sure": "the garden is not sure",
        "keep the newer": "the newer row counts",
        "keep the older": "the older row counts",
        "two pickings": "two pickings",
    }
)
