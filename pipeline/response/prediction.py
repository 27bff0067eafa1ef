"""The interval for the true effect in a garden that is not in the network yet."""

from typing import Literal

import numpy as np

from pipeline.response.intervals import t_quantile
from pipeline.response.weighted_regression import Array

Prediction = Literal["t", "bootstrap"]


def t_prediction(estimate: Array, se: Array, tau2: Array, df: float, level: float) -> tuple[Array, Array]:
    """Return the interval estimate -+ t sqrt(tau2 + se^2); nan without degrees of freedom.

    Source: Higgins, Thompson & Spiegelhalter 2009, Journal of the Royal Statistical Society A 172:137-159;
    with the Knapp-Hartung standard error Partlett & Riley 2017, Statistics in Medicine 36:301-317.
    """
    margin = t_quantile(df, level) * np.sqrt(tau2 + se**2)
    return estimate - margin, estimate + margin
