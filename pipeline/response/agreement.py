"""How well two people agree who looked at the same plots on the same day."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from sites.errors import InputError

#: Fewer pairs than this tell nothing about agreement; common practice, no source.
LEAST_PAIRS = 5


@dataclass(frozen=True)
class Agreement:
    """Pairs, their mean difference without its sign, the largest one, and the concordance.

    `concordance` is 1 where both people always say the same, 0 where one tells nothing of the other; nan
    below five pairs, or where nothing varies.
    """

    pairs: int
    mean_difference: float
    largest_difference: float
    concordance: float


def agreement(one: ArrayLike, other: ArrayLike) -> Agreement:
    """Return how two people's scores of the same plots agree.

    The concordance correlation coefficient, with moments over n: twice the covariance over the sum of the
    variances and the squared difference of the means (Lin 1989, Biometrics 45, 255-268). Raises InputError
    where the two differ in length or lack a value.
    """
    first, second = np.asarray(one, dtype=np.float64), np.asarray(other, dtype=np.float64)
    if first.shape != second.shape or first.ndim != 1 or not np.isfinite([first, second]).all():
        raise InputError("Give as many scores of the one person as of the other, without blanks.")
    if first.size == 0:
        return Agreement(0, np.nan, np.nan, np.nan)
    apart = np.abs(first - second)
    spread = first.var() + second.var() + (first.mean() - second.mean()) ** 2
    covariance = ((first - first.mean()) * (second - second.mean())).mean()
    is_known = first.size >= LEAST_PAIRS and spread > 0
    return Agreement(
        int(first.size),
        float(apart.mean()),
        float(apart.max()),
        float(2 * covariance / spread) if is_known else np.nan,
    )
