"""Every garden's treatments against its control: difference and log ratio, with their variances.

Shapes: `G` gardens, `T` treatments with the control first, `n` plots, as in `garden_model`.
"""

from dataclasses import dataclass, replace

import numpy as np

from pipeline.response.arrays import Array, Codes, Flags
from pipeline.response.effects import log_of_positive, squared_cv_of_mean, welch_df
from pipeline.response.error_variance import VarianceKind, error_variance
from pipeline.response.garden_model import GardenModels


@dataclass(frozen=True)
class Contrasts:
    """Contrasts `(G, T)`, their covariances between treatments `(G, T, T)`, and what their variance rests on.

    Treatments of a garden share its control, so their contrasts covary. `df` belongs to the difference.
    """

    difference: Array
    difference_covariance: Array
    df: Array
    log_ratio: Array
    log_ratio_covariance: Array
    variance_from: np.ndarray


@dataclass(frozen=True)
class Arms:
    """Each arm of each garden by itself, `(G, T)`; the standard deviation is nan below two plots."""

    plots: Array
    mean: Array
    sd: Array


def arms(response: Array, garden: Codes, treatment: Codes, models: GardenModels) -> Arms:
    """Return plots, mean and standard deviation of every arm, plots as independent."""
    cell, shape = garden * models.plots.shape[1] + treatment, models.plots.shape
    plots = models.plots.astype(float)
    present = np.where(plots > 0, plots, np.nan)
    mean = np.bincount(cell, response, plots.size).reshape(shape) / present
    squares = np.bincount(cell, (response - mean.ravel()[cell]) ** 2, plots.size).reshape(shape)
    df = np.where(plots > 1, plots - 1, np.nan)
    return Arms(plots, mean, np.sqrt(squares / df))


def contrasts(models: GardenModels, kind: VarianceKind, entering: Flags) -> Contrasts:
    """Return the contrasts from the gardens' linear models.

    Only gardens that are `entering` `(G,)` lend to or borrow from others. For ratios the pooled and the
    moderated variance are squared coefficients of variation, the residual mean square over the squared mean
    of the garden's plots: a mean square in kg^2 would weight gardens by their yield.
    """
    df = np.where(entering, models.df, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        square = error_variance(np.where(entering, models.rss, 0), df, kind)
        squared_cv = error_variance(np.where(df > 0, models.rss / models.plot_mean**2, 0), df, kind)
    by_means = square.value[:, None, None] * _log_ratio_covariance(models.mean, models.mean_covariance)
    by_cv = squared_cv.value[:, None, None] * models.contrast_covariance
    log_mean = log_of_positive(models.mean)
    return Contrasts(
        difference=models.contrast,
        difference_covariance=square.value[:, None, None] * models.contrast_covariance,
        df=_for_each_treatment(square.df, models),
        log_ratio=log_mean - log_mean[:, :1],
        log_ratio_covariance=np.where((square.source == "garden")[:, None, None], by_means, by_cv),
        variance_from=_for_each_treatment(square.source, models),
    )


def with_own_arms(found: Contrasts, own: Arms) -> Contrasts:
    """Return the contrasts with each arm's own variance wherever both arms of a contrast have one.

    Source: Hedges, Gurevitch & Curtis 1999, Ecology 80:1150-1156, equation 1, for the ratio; Welch 1947,
    Biometrika 34:28-35, for the difference.
    """
    part, squared_cv = own.sd**2 / own.plots, squared_cv_of_mean(own.mean, own.sd, np.maximum(own.plots, 1))
    usable = (part + part[:, :1]) > 0
    both = usable[:, :, None] & usable[:, None, :]
    df = welch_df(part, own.plots - 1, part[:, :1], own.plots[:, :1] - 1)
    return replace(
        found,
        difference_covariance=np.where(both, _sharing_control(part), found.difference_covariance),
        df=np.where(usable, df, found.df),
        log_ratio_covariance=np.where(both, _sharing_control(squared_cv), found.log_ratio_covariance),
        variance_from=np.where(usable, "garden", found.variance_from),
    )


def _log_ratio_covariance(mean: Array, covariance: Array) -> Array:
    """Return the unscaled covariance of log(mean / control mean) by the delta method."""
    positive = np.where(mean > 0, mean, np.nan)
    relative = covariance / (positive[:, :, None] * positive[:, None, :])
    return relative - relative[:, :, :1] - relative[:, :1, :] + relative[:, :1, :1]


def _sharing_control(part: Array) -> Array:
    """Return the covariances of contrasts between independent arms with variances `part`, control first."""
    return part[:, :, None] * np.eye(part.shape[1]) + part[:, 0, None, None]


def _for_each_treatment(values: np.ndarray, models: GardenModels) -> np.ndarray:
    return np.repeat(values[:, None], models.plots.shape[1], axis=1)
