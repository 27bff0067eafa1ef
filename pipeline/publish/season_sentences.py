"""Everything that a season's pages say above their figures."""

from collections import Counter
from collections.abc import Iterator
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from pipeline.publish.answer_frames import SENTENCES
from pipeline.publish.axis_sentences import axis_sentence
from pipeline.publish.outcome_sentences import gave_nothing_sentence, outcome_sentence
from pipeline.publish.sentences import (
    Interval,
    Sentence,
    compare_sentence,
    gradient_sentence,
    over_seasons_sentence,
    pattern_not_cause,
    so_far_sentence,
    steepest_flat,
    watch_sentence,
)
from pipeline.response.season import SeasonAnswer
from pipeline.response.season_lines import ROW_AXIS
from pipeline.words import LANGUAGES


def season_sentences(
    found: SeasonAnswer,
    treatments: pd.DataFrame,
    control: str,
    states: pd.Series,
    today: date,
    close: date,
    margin: float | None = None,
) -> pd.DataFrame:
    """Return what stands above the figures of one season, by outcome, treatment, place and language.

    `margin` is the percentage below which the network calls yields about the same.
    """
    labels = treatments.set_index("treatment")["label"]
    rows = [
        _row(place, language, said, outcome, treatment)
        for language in LANGUAGES
        for place, said, outcome, treatment in _all(
            found, labels, str(labels[control]), states, today, close, language, margin
        )
        if said.sentence
    ]
    return pd.DataFrame(rows, columns=SENTENCES.column_names)


def over_seasons_sentences(
    found: SeasonAnswer, treatments: pd.DataFrame, control: str, seasons: int, margin: float | None = None
) -> pd.DataFrame:
    """Return what stands above the figures of a trial over several closed seasons."""
    labels = treatments.set_index("treatment")["label"]
    rows = []
    for language in LANGUAGES:
        for row in found.network:
            outcome, treatment = row["outcome"], row["treatment"]
            said = _network(row, str(labels[treatment]), str(labels[control]), language, margin)
            over = over_seasons_sentence(seasons, row["gardens"], row["garden_seasons"], language)
            said = Sentence(said.sentence, f"{said.sure} {over}".strip())
            rows.append(_row("network", language, said, outcome, treatment))
            rows += [
                _row(place, language, line, outcome, treatment)
                for place, line in _lines(found, row, str(labels[control]), language, margin)
            ]
    return pd.DataFrame(rows, columns=SENTENCES.column_names)


def _row(place: str, language: str, said: Sentence, outcome: str, treatment: str) -> dict[str, str]:
    return {
        "outcome": outcome,
        "treatment": treatment,
        "place": place,
        "language": language,
        "sentence": said.sentence,
        "sure": said.sure,
    }


def _all(
    found: SeasonAnswer,
    labels: pd.Series,
    control: str,
    states: pd.Series,
    today: date,
    close: date,
    language: str,
    margin: float | None,
) -> Iterator[tuple[str, Sentence, str, str]]:
    yield "watch", watch_sentence(Counter(states), language), "", ""
    if today <= close:
        picked = sum(len(effects["site"].unique()) for effects in found.effects[:1])
        so_far = so_far_sentence(picked, today, close, language)
        yield "network", so_far, "", ""
        yield "gradient", so_far, "", ""
        return
    for effects in found.effects:
        for (outcome, treatment), of_treatment in effects.groupby(["outcome", "treatment"], sort=False):
            known = of_treatment["log_ratio"].dropna()
            if of_treatment["scale"].iloc[0] == "difference":
                # More is no praise for days or sick leaves; the network's sentence has the right words.
                continue
            ahead = compare_sentence(
                str(labels[treatment]), control, int((known > 0).sum()), len(known), language
            )
            yield "compare", ahead, str(outcome), str(treatment)
    for row in found.network:
        outcome, treatment = row["outcome"], row["treatment"]
        yield "network", _network(row, str(labels[treatment]), control, language, margin), outcome, treatment
        for place, line in _lines(found, row, control, language, margin):
            yield place, line, outcome, treatment


def _network(
    row: dict[str, Any], treatment: str, control: str, language: str, margin: float | None
) -> Sentence:
    unit = "percent" if row["scale"] == "ratio" else "difference"
    likely = _interval(row, unit, f"{unit}_low", f"{unit}_high")
    new = _interval(row, unit, f"new_low_{unit}", f"new_high_{unit}")
    counts = row["gardens"], row["plots"]
    said = outcome_sentence(row["outcome"], treatment, control, likely, new, *counts, language, margin)
    left_out = gave_nothing_sentence(row["gave_nothing"], language)
    return Sentence(said.sentence, f"{said.sure} {left_out}".strip())


def _interval(row: dict[str, Any], middle: str, low: str, high: str) -> Interval | None:
    known = row[low] is not None and row[high] is not None
    return Interval(row[middle], row[low], row[high]) if known else None


def _lines(
    found: SeasonAnswer, row: dict[str, Any], control: str, language: str, margin: float | None
) -> Iterator[tuple[str, Sentence]]:
    """Yield the place and sentence of every line of one outcome and treatment that is a ratio."""
    if row["scale"] != "ratio":
        return
    named = (row["outcome"], row["treatment"])
    for band in found.bands:
        if (band["outcome"].iloc[0], band["treatment"].iloc[0]) != named:
            continue
        axis = str(band["axis"].iloc[0])
        term = next(
            one for one in found.gradient if (one["outcome"], one["treatment"], one["term"]) == (*named, axis)
        )
        line = band.sort_values("at")["percent"].to_numpy()
        ends, slope = (float(line[0]), float(line[-1])), (term["ci_low"], term["ci_high"])
        gardens = term["gardens"]
        if axis == ROW_AXIS:
            flat = steepest_flat(margin, float(np.ptp(band["at"])))
            text = gradient_sentence(control, *ends, *slope, gardens, language, flat)
            yield "gradient", Sentence(text, pattern_not_cause(language))
        else:
            together = bool(term["moves_with"])
            said = axis_sentence(axis, control, ends, slope, gardens, language, moves_together=together)
            yield f"gradient {axis}", said
