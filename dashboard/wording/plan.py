"""Words of the plan page."""

from types import MappingProxyType

from dashboard.words import PageWords

PLAN = PageWords(
    "Plan",
    "Plan the next season",
    "No trial is set up for next season. Start with the crop.",
    "Working it out…",
    "We cannot work this out right now.",
)

WORDS = MappingProxyType(
    {
        "from_closed": "Plots within a block and gardens vary as they did in {trial} {season}; change what "
        "you like.",
        "from_usual": "No season is closed yet, so these are usual values; change what you like.",
        "form": "What the next trial should see",
        "gain": "Difference to see, percent",
        "cv": "Plots of a block vary by, percent",
        "tau": "The difference varies from garden to garden by, percent",
        "blocks": "Blocks in a garden",
        "plants": "Plants in a plot",
        "power": "To be seen how often, percent",
        "work_out": "Work it out",
        "again": "This cannot be worked out: {problem}",
        "power_title": "Gardens and the chance to see it",
        "power_finding": "With {gardens} of {blocks} blocks each, a difference of {gain} is seen in "
        "{power} of such trials.",
        "power_caption": "The curve is the chance that a trial of so many gardens shows a difference of "
        "{gain}. The mark is the smallest network that shows it {power} of the time.",
        "doubled": "Twice the blocks: {blocks}. Twice the gardens: {gardens}.",
        "assumes": "What this rests on",
        "next_title": "Where the next garden helps most",
        "next_finding": "A new garden at {km} km east would narrow the range of the slope by {percent}, "
        "more than anywhere else within the row.",
        "next_little": "With so many gardens, one more changes little anywhere.",
        "next_caption": "How much narrower one more garden makes the range of the slope from west to east, "
        "place by place. Stakes are the gardens there are. A line is surest from its ends; a garden in the "
        "middle tells whether it is straight.",
        "map_title": "The same on the map",
        "map_finding": "Of the gardens that were asked, {site} {name} at {km} km east would help most: "
        "{percent} narrower.",
        "map_finding_one": "The garden that was asked, {site} {name} at {km} km east, would make it "
        "{percent} narrower.",
        "map_none_asked": "No garden was asked yet; look for one where the hatching is closest.",
        "map_caption": "Close hatching: a garden there helps more than two thirds as much as at the best "
        "place, the dashed line. Open hatching: more than one third. Discs are gardens there are, rings "
        "those that were asked.",
        "next_none": "There is no line from west to east yet. It takes a closed season with four gardens "
        "or more.",
        "asked_title": "Gardens that were asked",
        "asked_none": "No garden of the registry has the status “asked”.",
        "fits": "fits",
        "look": "look again",
        "unknown": "not recorded",
        "asked_note": "A garden fits that has a bed for every plot, {sun} hours of sun or more, water, and "
        "is not next door to another one.",
        "layout_title": "Layout of {site}",
        "layout_draft": "A draft for {site}",
        "layout_note": "Each line is a block; the codes are those on the tags. Choose another garden in "
        "the row above.",
        "layout_draft_note": "Drawn afresh for this garden; `longrow layout` writes the one that counts.",
        "plot": "plot {plot}",
        "block": "Block {block}",
    }
)
