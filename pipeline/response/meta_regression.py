"""The regression of garden effects on covariates of the gardens, as the answer reports it."""

from dataclasses import replace
from typing import Any

import numpy as np
from scipy import special

from pipeline.response.between_gardens import Method
from pipeline.response.intervals import Interval, agree_exactly, coefficient_estimates, joint_test
from pipeline.response.known_numbers import known
from pipeline.response.network_answer import Regression, Term, because, plain
from pipeline.response.network_input import NetworkInput
from pipeline.response.random_effects import random_effects
from pipeline.response.weighted_regression import WeightedFit, fit

#: Fewest residual degrees of freedom for an interval or a test: with one, a t interval reaches 12.7 standard
#: errors each way.
FEWEST_DF = 2

TOO_FEW = "too few gardens for so many terms"
NO_ERROR_KNOWN = "no garden has plots enough to show its own error"
ALL_ALIKE = "the gardens agree exactly and none shows its own error, so nothing tells how sure this is"
NOTHING_TO_EXPLAIN = "the gardens differ no more than their own errors"


def regression(
    data: NetworkInput, method: Method, interval: Interval, level: float, tau2_without: float | None
) -> Regression:
    """Return the regression on all covariates, their terms uncentred.

    `tau2_without` is the variance between gardens without the covariates, for the share they explain. Where
    no garden knows its own error the fit is unweighted, with t on k - p degrees of freedom. With as many
    terms as gardens only the coefficients exist, with more terms not even these.

    Source: Knapp & Hartung 2003, Statistics in Medicine 22:2693-2710; r2: Raudenbush 2009, in The Handbook of
    Research Synthesis and Meta-Analysis, 2nd ed., ch. 16.
    """
    if data.k < len(data.terms):
        return _untested(data, None, TOO_FEW)
    if data.k == len(data.terms):
        return _untested(data, fit(data.effect, data.design, np.ones(data.k)), TOO_FEW)
    if data.variance is None:
        unknown = because(NO_ERROR_KNOWN, ("tau2", "r2", "qe", "qe_df", "qe_p"))
        plain_fit = fit(data.effect, data.design, np.ones(data.k))
        if agree_exactly(plain_fit):
            return _untested(data, plain_fit, ALL_ALIKE)
        return _tested(data, plain_fit, "knapp-hartung", level, {}, unknown)
    model = random_effects(data.effect, data.variance, data.design, method)
    spread = {
        "tau2": float(model.tau2),
        "r2": max(0.0, 1 - float(model.tau2) / tau2_without) if tau2_without else None,
        "qe": float(model.common.q),
        "qe_df": model.df,
        "qe_p": float(special.chdtrc(model.df, model.common.q)),
    }
    unknown = {} if tau2_without else {"r2": NOTHING_TO_EXPLAIN}
    return _tested(data, model.fit, interval, level, spread, unknown)


def _tested(
    data: NetworkInput,
    fitted: WeightedFit,
    interval: Interval,
    level: float,
    spread: dict[str, Any],
    unknown: dict[str, str],
) -> Regression:
    values = coefficient_estimates(fitted, interval, level)
    joint = joint_test(fitted, interval)
    enough = fitted.df >= FEWEST_DF

    def tested(value: Any) -> float | None:
        return known(value) if enough else None

    terms = tuple(
        Term(
            name,
            float(values.value[j]),
            known(values.se[j]),
            known(values.df),
            tested(values.low[j]),
            tested(values.high[j]),
            tested(values.p[j]),
        )
        for j, name in enumerate(data.terms)
    )
    return Regression(
        terms,
        f=tested(joint.f),
        f_df1=joint.df1,
        f_df2=known(joint.df2),
        f_p=tested(joint.p),
        unknown=unknown | ({} if enough else because(TOO_FEW, ("ci_low", "ci_high", "p", "f", "f_p"))),
        **spread,
    )


def _untested(data: NetworkInput, fitted: WeightedFit | None, why: str) -> Regression:
    """Return the coefficients alone, with the reason why they have no error; not even them without a fit."""
    values = [None] * len(data.terms) if fitted is None else [float(each) for each in fitted.coefficient]
    terms = tuple(Term(name, value) for name, value in zip(data.terms, values, strict=True))
    bare = Regression(terms)
    blank = [name for name, value in (plain(terms[0]) | plain(bare)).items() if value is None]
    return replace(bare, unknown=because(why, blank))
