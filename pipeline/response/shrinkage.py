"""What a single garden's true effect is likely to be, given its own plots and the network around it."""

import numpy as np

from pipeline.response.arrays import Array
from pipeline.response.prediction import ConfidenceDistribution, mixture_interval
from pipeline.response.random_effects import RandomEffects


def garden_estimates(
    model: RandomEffects, found: ConfidenceDistribution, level: float
) -> tuple[Array, Array, Array]:
    """Return estimate, low and high end `(k,)` of the true effect in each garden of one network.

    With a known variance between gardens the best linear unbiased predictor pulls a garden's own effect
    toward the regression, the more the larger its own variance is; estimate and interval are those of the
    mixture over all variances between gardens that the data allow, so that a variance estimated at 0 does
    not claim that all gardens are alike.

    Source: Raudenbush & Bryk 1985, Journal of Educational Statistics 10:75-98; Robinson 1991, Statistical
    Science 6:15-51.
    """
    tau2 = found.tau2[:, None]
    trust = tau2 / (tau2 + model.variance)
    regression = found.coefficient @ model.design
    regression_variance = np.einsum("ik,nij,jk->nk", model.design, found.covariance, model.design)
    mean = trust * model.effect + (1 - trust) * regression
    variance = trust * model.variance + (1 - trust) ** 2 * regression_variance
    low, high = mixture_interval(found.share[:, None], mean, np.sqrt(variance), level)
    return np.sum(found.share[:, None] * mean, axis=0), low, high
