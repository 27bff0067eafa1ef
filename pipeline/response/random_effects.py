"""The random-effects model of a network: garden effects scatter around a mean or a regression."""

from dataclasses import dataclass

import numpy as np

from pipeline.response.arrays import Array
from pipeline.response.between_gardens import Method, estimate_tau2, fit_at, typical_variance
from pipeline.response.weighted_regression import WeightedFit


@dataclass(frozen=True)
class RandomEffects:
    """A fitted model: effects and variances `(..., k)`, design `(..., p, k)`, everything else `(...)`.

    `tau2` is the variance between gardens that the design does not explain and `fit` has the weights that go
    with it; `common` is the fit as if that variance were 0.
    """

    effect: Array
    variance: Array
    design: Array
    tau2: Array
    fit: WeightedFit
    common: WeightedFit

    @property
    def df(self) -> int:
        """Return the residual degrees of freedom, k - p."""
        return self.fit.df

    @property
    def h2(self) -> Array:
        """Return the total variance over the typical within-garden variance (Higgins & Thompson 2002)."""
        return 1 + self.tau2 / typical_variance(self.effect, self.variance, self.design)

    @property
    def i2(self) -> Array:
        """Return the share of the total variance that lies between gardens (Higgins & Thompson 2002)."""
        return 1 - 1 / self.h2


def random_effects(effect: Array, variance: Array, design: Array, method: Method) -> RandomEffects:
    """Return the model fitted by the named method; needs more gardens than terms."""
    tau2 = np.asarray(estimate_tau2(effect, variance, design, method))
    return RandomEffects(
        effect,
        variance,
        design,
        tau2,
        fit_at(effect, variance, design, tau2),
        fit_at(effect, variance, design, 0.0),
    )
