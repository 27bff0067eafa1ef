"""The fitted mean at given places, with the band for the mean and the band for a new garden there."""

import numpy as np
import pandas as pd

from pipeline.response.arrays import Array
from pipeline.response.intervals import (
    Interval,
    agree_exactly,
    covariance_factor,
    estimates,
    interval_df,
)
from pipeline.response.prediction import Prediction, new_garden
from pipeline.response.random_effects import RandomEffects
from pipeline.response.weighted_regression import WeightedFit

#: Fewest residual degrees of freedom for a band for a new garden: with two, the t form has one and reaches
#: 12.7 standard deviations each way.
FEWEST_DF_FOR_NEW_GARDEN = 3


def bands(
    fitted: WeightedFit,
    model: RandomEffects | None,
    rows: Array,
    interval: Interval,
    prediction: Prediction,
    level: float,
) -> pd.DataFrame:
    """Return mean, low, high, new_low and new_high for each of the design rows `(m, p)`.

    `model` is None where no garden knows its own error: the fit is unweighted then and the band for a new
    garden nan, as it is where the gardens are too few. Where they also agree with the fit exactly, nothing
    tells how sure it is, and both bands are nan.
    """
    covariance = covariance_factor(fitted, interval) * fitted.covariance
    se = np.sqrt(np.einsum("mi,ij,mj->m", rows, covariance, rows))
    if model is None and agree_exactly(fitted):
        se = np.full(len(rows), np.nan)
    mean = estimates(rows @ fitted.coefficient, se, interval_df(fitted, interval), level)
    new_low = new_high = np.full(len(rows), np.nan)
    if model is not None and model.df >= FEWEST_DF_FOR_NEW_GARDEN:
        new_low, new_high = new_garden(model, mean, rows, prediction, level)
    return pd.DataFrame(
        {"mean": mean.value, "low": mean.low, "high": mean.high, "new_low": new_low, "new_high": new_high}
    )
