"""The answer of a trial as the JSON document that other programs read."""

from typing import Any

import pandas as pd

from pipeline.publish.outcome_sentences import gave_nothing_sentence
from pipeline.publish.sentences import Interval, amount_sentence, network_sentence
from pipeline.response.answer import TreatmentAnswer, TrialAnswer
from pipeline.response.season_rows import gave_nothing, percent_of

_SITE_KEYS = (
    "site",
    "season",
    "treatment",
    "n_control",
    "n_treatment",
    "blocks",
    "mean_control",
    "mean_treatment",
    "difference",
    "difference_se",
    "df",
    "log_ratio",
    "log_ratio_variance",
    "variance_from",
)


def answer_document(answer: TrialAnswer, control: str, response: str) -> dict[str, Any]:
    """Return the document; unknown quantities are None."""
    return {
        "control": control,
        "response": response,
        "effect": answer.how.effect,
        "scale": answer.how.scale,
        "variance": answer.how.variance,
        "sites": [
            {name: _plain(row[name]) for name in _SITE_KEYS}
            for row in answer.gardens.effects.to_dict("records")
        ],
        "network": [_network(each, control, gave_nothing(answer.gardens)) for each in answer.network],
        "mixed_model": answer.mixed_model,
        "mixed_model_unknown": answer.mixed_model_unknown,
        "left_out": [
            {name: _plain(value) for name, value in row.items()}
            for row in answer.gardens.left_out.to_dict("records")
        ],
    }


def _network(answer: TreatmentAnswer, control: str, left_out: int) -> dict[str, Any]:
    percent, low, high = answer.percent
    return {
        "treatment": answer.treatment,
        **answer.pooled.to_json(),
        "percent": percent,
        "percent_low": low,
        "percent_high": high,
        "p_adjusted": answer.p_adjusted,
        "p_permutation": answer.p_permutation,
        "sentence": f"{_sentence(answer, control)} {gave_nothing_sentence(left_out, 'en')}".strip(),
    }


def _sentence(answer: TreatmentAnswer, control: str) -> str:
    pooled, name = answer.pooled, str(answer.treatment)
    percent, low, high = answer.percent
    if percent is not None:
        likely = None if low is None or high is None else Interval(percent, low, high)
        low, high = percent_of(pooled.pi_low), percent_of(pooled.pi_high)
        new = None if low is None or high is None else Interval(percent, low, high)
        said = network_sentence(name, control, likely, new, pooled.k, answer.plots, "en")
    else:
        low, high = pooled.ci_low, pooled.ci_high
        amount = None if low is None or high is None else Interval(pooled.estimate, low, high)
        said = amount_sentence(name, control, amount, pooled.k, answer.plots, "en")
    return f"{said.sentence} {said.sure}".strip()


def _plain(value: Any) -> Any:
    """Return a value of a frame as JSON holds it: missing is None."""
    return None if pd.isna(value) else value
