"""How the effect changes along the row of gardens: line, bands, tests, and each garden's part in it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from pipeline.response import defaults
from pipeline.response.arrays import Array
from pipeline.response.bands import bands
from pipeline.response.between_gardens import Method
from pipeline.response.collinearity import correlations, enough_gardens, inflation
from pipeline.response.influence import coefficients_without
from pipeline.response.intervals import Interval, JointTest, agree_exactly, joint_test
from pipeline.response.meta_regression import FEWEST_DF, regression
from pipeline.response.network_answer import Regression
from pipeline.response.network_input import Covariates, NetworkInput, checked
from pipeline.response.permutation import permutation_test
from pipeline.response.prediction import Prediction, confidence_distribution
from pipeline.response.random_effects import RandomEffects, random_effects
from pipeline.response.shrinkage import garden_estimates
from pipeline.response.spline import DEGREES, bends, knots
from pipeline.response.weighted_regression import WeightedFit, fit, intercept_only
from sites.errors import InputError

#: Places along the gardens' range at which bands are computed: enough for a line that looks smooth on a
#: screen.
PLACES = 101


@dataclass(frozen=True)
class Curve:
    """A natural cubic spline in place of the line.

    `test` is the F test of the bends that the line lacks; `band` has the columns of `Gradient.band`.
    """

    test: JointTest
    band: pd.DataFrame


@dataclass(frozen=True)
class Gradient:
    """The gradient along the first covariate, its `axis`.

    `regression`: the terms, uncentred, as the answer reports them.
    `band`: axis, mean, low, high, new_low, new_high, from the gardens' lowest to their highest place on the
    axis and never beyond; other covariates are held at their mean over the gardens.
    `gardens`: garden, effect, fitted, estimate, estimate_low, estimate_high (of the true effect there, pulled
    toward the line), leverage, mean_without, slope_without (the network's answers if this garden were left
    out; nan where the others cannot give one).
    `tests`: covariate, p, orders, exact: the permutation test of each covariate.
    `correlations` and `inflation`: which covariates move together.
    `enough_gardens`: whether there are about ten gardens for each covariate.
    `curve`: None where gardens are too few to see a bend.
    """

    axis: str
    regression: Regression
    band: pd.DataFrame
    gardens: pd.DataFrame
    tests: pd.DataFrame
    correlations: pd.DataFrame
    inflation: pd.DataFrame
    enough_gardens: bool
    curve: Curve | None


@dataclass(frozen=True)
class _Settings:
    method: Method
    interval: Interval
    prediction: Prediction
    level: float


@dataclass(frozen=True)
class _Fitted:
    """A fit with its random-effects model, which is None where no garden knows its own error."""

    fit: WeightedFit
    model: RandomEffects | None


def gradient(
    effect: npt.ArrayLike,
    variance: npt.ArrayLike | None,
    covariates: Covariates,
    method: Method = defaults.METHOD,
    interval: Interval = defaults.INTERVAL,
    *,
    prediction: Prediction = defaults.PREDICTION,
    level: float = defaults.LEVEL,
    gardens: Sequence[object] | None = None,
) -> Gradient:
    """Return the regression of effects on covariates with all that helps to judge it.

    Arguments as in `network.pool`; the first covariate is the axis. `gardens` names the gardens, else they
    are numbered from 0.

    Raises InputError where `pool` does, where there is no covariate, and where the gardens leave fewer than
    two degrees of freedom.
    """
    data = checked(effect, variance, covariates)
    if not data.names:
        raise InputError("A gradient needs at least one covariate, such as the position along the axis.")
    if data.k < len(data.terms) + FEWEST_DF:
        raise InputError(
            f"{data.k} gardens cannot show a gradient with {len(data.terms)} terms. "
            f"It takes at least {len(data.terms) + FEWEST_DF}."
        )
    settings = _Settings(method, interval, prediction, level)
    mean, line = (_fitted(data, design, method) for design in (intercept_only(data.k), _centred(data)))
    without = None if mean.model is None else float(mean.model.tau2)
    return Gradient(
        axis=data.names[0],
        regression=regression(data, method, interval, level, without),
        band=_band(data, line, settings),
        gardens=_gardens(data, mean, line, settings, gardens),
        tests=_tests(data, method),
        correlations=correlations(data),
        inflation=inflation(data),
        enough_gardens=enough_gardens(data, len(data.names)),
        curve=_curve(data, settings),
    )


def _centred(data: NetworkInput) -> Array:
    """Return the design with covariates centred on their means, so that rows for bands lose no digits."""
    return np.vstack([np.ones((1, data.k)), data.covariates - data.covariates.mean(axis=1, keepdims=True)])


def _fitted(data: NetworkInput, design: Array, method: Method) -> _Fitted:
    if data.variance is None:
        return _Fitted(fit(data.effect, design, np.ones(data.k)), None)
    model = random_effects(data.effect, data.variance, design, method)
    return _Fitted(model.fit, model)


def _places(data: NetworkInput) -> Array:
    return np.linspace(data.covariates[0].min(), data.covariates[0].max(), PLACES)


def _band(data: NetworkInput, line: _Fitted, settings: _Settings, bent: Array | None = None) -> pd.DataFrame:
    """Return the bands along the axis; `bent` are the spline's further columns `(places, 2)`."""
    places = _places(data)
    rows = np.zeros((PLACES, len(data.terms)))
    rows[:, 0], rows[:, 1] = 1, places - data.covariates[0].mean()
    rows = rows if bent is None else np.hstack([rows, bent])
    along = bands(line.fit, line.model, rows, settings.interval, settings.prediction, settings.level)
    return along.assign(axis=places)[["axis", *along.columns]]


def _gardens(
    data: NetworkInput, mean: _Fitted, line: _Fitted, settings: _Settings, names: Sequence[object] | None
) -> pd.DataFrame:
    estimate = low = high = np.full(data.k, np.nan)
    if line.model is not None:
        estimate, low, high = garden_estimates(
            line.model, confidence_distribution(line.model), settings.level
        )
    without = (
        coefficients_without(data.effect, data.variance, design, settings.method, fitted.fit)
        for design, fitted in ((intercept_only(data.k), mean), (_centred(data), line))
    )
    mean_without, line_without = without
    return pd.DataFrame(
        {
            "garden": range(data.k) if names is None else list(names),
            "effect": data.effect,
            "fitted": data.effect - line.fit.residual,
            "estimate": estimate,
            "estimate_low": low,
            "estimate_high": high,
            "leverage": line.fit.leverage,
            "mean_without": mean_without[:, 0],
            "slope_without": line_without[:, 1],
        }
    )


def _tests(data: NetworkInput, method: Method) -> pd.DataFrame:
    found = [
        permutation_test(data.effect, data.variance, data.covariates, which, method)
        for which in range(len(data.names))
    ]
    return pd.DataFrame(
        {
            "covariate": list(data.names),
            "p": [test.p for test in found],
            "orders": [test.orders for test in found],
            "exact": [test.exact for test in found],
        }
    )


def _curve(data: NetworkInput, settings: _Settings) -> Curve | None:
    """Return the spline where there are about ten gardens for each of its terms and the other covariates."""
    axis = data.covariates[0]
    at_knots = knots(axis)
    if at_knots is None or not enough_gardens(data, len(data.names) + DEGREES - 1):
        return None
    level = bends(axis, at_knots).mean(axis=1, keepdims=True)
    design = np.vstack([_centred(data), bends(axis, at_knots) - level])
    bent = _fitted(data, design, settings.method)
    if bent.model is None and agree_exactly(bent.fit):
        return None
    test = joint_test(bent.fit, settings.interval, last=DEGREES - 1)
    return Curve(test, _band(data, bent, settings, (bends(_places(data), at_knots) - level).T))
