"""Words of how sure an answer is, and of the answer season by season."""

from types import MappingProxyType

#: What each other way of working the answer out is called, by its name in the published frame.
WAYS = MappingProxyType(
    {
        "one stage": "All plots in one model",
        "same stage": "Without gardens picked at different stages",
        "no last picking": "Without the last picking",
        "as assigned": "Treatments as the layout had them",
        "mean of log ratios": "Mean of log ratios within blocks",
        "REML": "Spread by REML",
        "Paule-Mandel": "Spread by Paule and Mandel",
        "DerSimonian-Laird": "Spread by DerSimonian and Laird",
        "Knapp-Hartung": "Interval of Knapp and Hartung",
        "Knapp-Hartung with floor": "The same interval, never narrower than normal",
        "normal interval": "Normal interval",
        "own variance": "Each garden’s own variance",
        "pooled variance": "One variance for all gardens",
        "moderated variance": "Variances moved toward a common one",
    }
)
#: How the answer itself was worked out, by the names in its frame.
METHODS = MappingProxyType(
    {
        "reml": "REML",
        "paule-mandel": "Paule and Mandel",
        "dersimonian-laird": "DerSimonian and Laird",
        "knapp-hartung": "interval of Knapp and Hartung",
        "knapp-hartung-floor": "interval of Knapp and Hartung with a floor",
        "normal": "normal interval",
    }
)
WORDS = MappingProxyType(
    {
        "title": "Sensitivity: how sure is this answer?",
        "answer": "The answer",
        "without_low": "Without {garden}, the least",
        "without_high": "Without {garden}, the most",
        "seen": "Worked out in {ways} other ways, {treatment} lies between {low} and {high}; the answer is "
        "{answer}.",
        "all_above": "Every interval lies above “same”.",
        "all_below": "Every interval lies below “same”.",
        "none_apart": "Every interval holds “same”.",
        "some_apart": "{apart} of {all} intervals leave out “same”; those that hold it: {holding}.",
        "caption": "The answer: {method}, {interval}, over {gardens}. Below it the same plots worked out in "
        "the other ways that somebody may have preferred.",
        "left_out": "Without any one garden the answer would lie between {low} and {high}: the last "
        "two marks.",
        "one_stage_near": "All plots in one model agree with the answer to within {points}.",
        "one_stage_far": "All plots in one model lie {points} from the answer, more than a quarter of its "
        "interval: look at gardens with few plots or very unlike variances before relying on either.",
        "other": "Other ways are worked out for the outcome that the trial was planned for.",
        "other_link": "Show {primary}",
        "none": "No other way could be worked out for this season.",
        "seasons_title": "Season by season",
        "all_seasons": "All closed seasons",
        "seasons": "Seasons",
        "this_season": "{season} alone",
        "over_caption": "Each mark is a garden over its closed seasons, one mark however often it came back; "
        "the weather is that of its newest one. Hatched band: where the average lies. Dotted lines: where 19 "
        "of 20 new gardens would lie.",
        "season": "{season} alone",
        "season_caption": "Each line is one closed season by itself; the first takes them together. A garden "
        "that came back counts as one garden.",
        "seasons_alike": "No spread between the seasons of one garden could be told from chance.",
        "seasons_vary": "Between seasons of one garden the effect varied by about {spread}.",
        "seasons_seen": "Over {seasons}, {treatment} against {control}: {answer}, likely {low} to "
        "{high}; single seasons lie between {least} and {most}.",
        "seasons_few": "Over {seasons} there are too few gardens for a likely range.",
    }
)
