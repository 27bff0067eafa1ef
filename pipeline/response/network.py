"""The mean effect over a network of gardens, and how far gardens differ."""

from typing import Any, get_args

import numpy as np
import numpy.typing as npt
from scipy import special

from pipeline.response import defaults
from pipeline.response.between_gardens import Method, q_profile
from pipeline.response.intervals import Estimates, Interval, agree_exactly, coefficient_estimates
from pipeline.response.known_numbers import known
from pipeline.response.meta_regression import ALL_ALIKE, NO_ERROR_KNOWN, regression
from pipeline.response.network_answer import Pooled, because
from pipeline.response.network_input import Covariates, NetworkInput, checked
from pipeline.response.prediction import Prediction, new_garden
from pipeline.response.random_effects import RandomEffects, random_effects
from pipeline.response.weighted_regression import fit, intercept_only
from sites.errors import InputError

#: Fewest gardens for an interval for a new garden: with three the t form has one degree of freedom and
#: reaches 12.7 standard deviations each way, and the other form says little more.
FEWEST_FOR_NEW_GARDEN = 4

ONE_GARDEN = "one garden cannot show how far gardens differ"
FEW_GARDENS = f"an interval for a new garden needs at least {FEWEST_FOR_NEW_GARDEN} gardens"

MEAN = ("se", "df", "ci_low", "ci_high", "p")
NEW_GARDEN = ("pi_low", "pi_high")
SPREAD = ("tau2", "tau2_low", "tau2_high", "q", "q_df", "q_p", "i2", "h2")


def pool(
    effect: npt.ArrayLike,
    variance: npt.ArrayLike | None,
    covariates: Covariates | None = None,
    method: Method = defaults.METHOD,
    interval: Interval = defaults.INTERVAL,
    *,
    prediction: Prediction = defaults.PREDICTION,
    level: float = defaults.LEVEL,
) -> Pooled:
    """Return the random-effects mean over gardens and, with covariates, the regression on them.

    `effect` and `variance` are `(k,)`; `covariates` is a frame or mapping of columns, or an array `(k,)` or
    `(k, c)`, in any unit: terms come back uncentred. Where no garden knows its own error (`variance` None, or
    missing for every garden) the answer is the unweighted mean with t on k - 1 degrees of freedom.

    Raises InputError, naming the garden, column or option, where there is no right answer.
    """
    for given, choices in ((method, Method), (interval, Interval), (prediction, Prediction)):
        if given not in get_args(choices):
            raise InputError(f"There is no {given}. Choose one of {', '.join(get_args(choices))}.")
    data = checked(effect, variance, covariates)
    if data.k == 1:
        return _one_garden(data, method, interval, prediction, level)
    if data.variance is None:
        return _unweighted(data, level)
    model = random_effects(data.effect, data.variance, intercept_only(data.k), method)
    mean = coefficient_estimates(model.fit, interval, level)
    enough = data.k >= FEWEST_FOR_NEW_GARDEN
    return Pooled(
        data.k,
        **_mean(mean),
        **(_new_garden(model, mean, prediction, level) if enough else {}),
        **_spread(model, level),
        gradient=regression(data, method, interval, level, float(model.tau2)) if data.names else None,
        unknown={} if enough else because(FEW_GARDENS, NEW_GARDEN),
        method=method,
        interval=interval,
        prediction=prediction,
    )


def _one_garden(
    data: NetworkInput, method: Method, interval: Interval, prediction: Prediction, level: float
) -> Pooled:
    return Pooled(
        1,
        float(data.effect[0]),
        gradient=regression(data, method, interval, level, None) if data.names else None,
        unknown=because(ONE_GARDEN, MEAN + NEW_GARDEN + SPREAD),
        method=method,
        interval=interval,
        prediction=prediction,
    )


def _unweighted(data: NetworkInput, level: float) -> Pooled:
    """Return the plain mean; with equal weights the Knapp-Hartung interval is the usual t interval."""
    plain = fit(data.effect, intercept_only(data.k), np.ones(data.k))
    mean = _mean(coefficient_estimates(plain, "knapp-hartung", level))
    alike = agree_exactly(plain)
    return Pooled(
        data.k,
        **(mean | dict.fromkeys(MEAN) if alike else mean),
        gradient=regression(data, defaults.METHOD, "knapp-hartung", level, None) if data.names else None,
        unknown=because(NO_ERROR_KNOWN, NEW_GARDEN + SPREAD) | (because(ALL_ALIKE, MEAN) if alike else {}),
        method="unweighted mean",
        interval="t",
        prediction="none",
    )


def _mean(mean: Estimates) -> dict[str, Any]:
    return {
        "estimate": float(mean.value[0]),
        "se": known(mean.se[0]),
        "df": known(mean.df),
        "ci_low": known(mean.low[0]),
        "ci_high": known(mean.high[0]),
        "p": known(mean.p[0]),
    }


def _new_garden(
    model: RandomEffects, mean: Estimates, prediction: Prediction, level: float
) -> dict[str, Any]:
    low, high = new_garden(model, mean, np.ones((1, 1)), prediction, level)
    return {"pi_low": known(low[0]), "pi_high": known(high[0])}


def _spread(model: RandomEffects, level: float) -> dict[str, Any]:
    low, high = q_profile(model.effect, model.variance, model.design, level)
    return {
        "tau2": float(model.tau2),
        "tau2_low": float(low),
        "tau2_high": float(high),
        "q": float(model.common.q),
        "q_df": model.df,
        "q_p": float(special.chdtrc(model.df, model.common.q)),
        "i2": float(model.i2),
        "h2": float(model.h2),
    }
