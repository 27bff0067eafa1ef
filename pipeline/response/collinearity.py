"""Which covariates move together, so that the gradient cannot say which of them acts."""

from itertools import combinations

import numpy as np
import pandas as pd

from pipeline.response.network_input import NetworkInput

#: Gardens that each term of a regression should have, about. Cochrane Handbook for Systematic Reviews of
#: Interventions, section 10.11, asks ten studies for one covariate (from memory).
GARDENS_PER_TERM = 10

#: Absolute correlation from which two covariates count as moving together: Dormann et al. 2013, Ecography
#: 36:27-46 (from memory), find estimates of both badly distorted beyond it.
TOGETHER = 0.7


def correlations(data: NetworkInput) -> pd.DataFrame:
    """Return the correlation of every pair of covariates over the gardens: first, second, correlation."""
    table = np.atleast_2d(np.corrcoef(data.covariates))
    pairs = list(combinations(range(len(data.names)), 2))
    return pd.DataFrame(
        {
            "first": pd.Series([data.names[i] for i, _ in pairs], dtype="str"),
            "second": pd.Series([data.names[j] for _, j in pairs], dtype="str"),
            "correlation": np.array([table[pair] for pair in pairs], dtype=float),
        }
    )


def inflation(data: NetworkInput) -> pd.DataFrame:
    """Return how many times the others inflate the variance of each coefficient: covariate, inflation.

    1 where a covariate has nothing to do with the others.

    Source: Marquardt 1970, Technometrics 12:591-612: the diagonal of the inverse correlation matrix.
    """
    table = np.atleast_2d(np.corrcoef(data.covariates))
    return pd.DataFrame({"covariate": list(data.names), "inflation": np.diag(np.linalg.inv(table))})


def enough_gardens(data: NetworkInput, terms: int) -> bool:
    """Return whether there are about ten gardens for each of so many terms beside the intercept."""
    return data.k >= GARDENS_PER_TERM * terms
