"""Where the model of all plots at once and the answer over gardens differ, in words."""

from typing import Any

from pipeline.response.network_answer import Pooled

#: Estimates of the same plots that lie further apart than this share of the standard error are said to
#: differ. Common practice, no source.
APART = 0.5


def differences(pooled: Pooled, at_once: dict[str, Any], plots_without_logarithm: int) -> list[str]:
    """Return what differs between the answer over gardens and the model's entry; none where they agree.

    `plots_without_logarithm` counts plots at or below zero, which a model of logarithms has to leave out and
    a ratio of means does not.
    """
    found = []
    estimate, se = at_once["estimate"], pooled.se
    if estimate is not None and se and abs(estimate - pooled.estimate) > APART * se:
        apart = abs(estimate - pooled.estimate) / se
        found.append(
            f"The two estimates lie {apart:.1f} standard errors apart. The model weighs plots, and for a "
            "ratio takes means of logarithms; the answer weighs gardens. Look for gardens with few plots or "
            "small yields."
        )
    over_gardens, over_plots = (
        _leaves_out_zero(low, high)
        for low, high in ((pooled.ci_low, pooled.ci_high), (at_once["ci_low"], at_once["ci_high"]))
    )
    if None not in (over_gardens, over_plots) and over_gardens != over_plots:
        sure, unsure = ("answer", "model") if over_gardens else ("model", "answer")
        found.append(f"The interval of the {sure} leaves out no difference, that of the {unsure} holds it.")
    if plots_without_logarithm:
        found.append(f"The model leaves out {plots_without_logarithm} plots that gave nothing.")
    return found


def _leaves_out_zero(low: float | None, high: float | None) -> bool | None:
    return None if low is None or high is None else low > 0 or high < 0
