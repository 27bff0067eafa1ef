"""Two arms of plots compared: the log response ratio and the difference, each with its variance."""

from typing import Literal

import numpy as np
import numpy.typing as npt

from pipeline.response.arrays import Array
from sites.errors import InputError

Numbers = npt.ArrayLike


def log_response_ratio(
    mean_treatment: Numbers,
    sd_treatment: Numbers,
    n_treatment: Numbers,
    mean_control: Numbers,
    sd_control: Numbers,
    n_control: Numbers,
    *,
    bias_corrected: bool = False,
) -> tuple[Array, Array]:
    """Return the log of treatment mean over control mean, and its sampling variance.

    Arguments are scalars or arrays that broadcast; so are the two results. The ratio is nan where a mean is
    not above zero, the variance also where an arm has no standard deviation: neither exists there.

    `bias_corrected` moves the ratio by half the difference of the two squared coefficients of variation of
    the means, and takes the variance to second order, which matters for arms of two or three plots.

    Raises InputError for a negative standard deviation or an arm of less than one plot.

    Source: Hedges, Gurevitch & Curtis 1999, Ecology 80:1150-1156, equation 1; the corrected form is
    Lajeunesse 2015, Ecology 96:2056-2063.
    """
    treatment = squared_cv_of_mean(mean_treatment, sd_treatment, n_treatment)
    control = squared_cv_of_mean(mean_control, sd_control, n_control)
    ratio = log_of_positive(mean_treatment) - log_of_positive(mean_control)
    variance = treatment + control
    if bias_corrected:
        ratio = ratio + (treatment - control) / 2
        variance = variance + (treatment**2 + control**2) / 2
    return ratio, variance


def difference(
    mean_treatment: Numbers,
    sd_treatment: Numbers,
    n_treatment: Numbers,
    mean_control: Numbers,
    sd_control: Numbers,
    n_control: Numbers,
    *,
    arms: Literal["own", "pooled"] = "own",
) -> tuple[Array, Array]:
    """Return treatment mean minus control mean, and its sampling variance.

    Arguments are scalars or arrays that broadcast. `arms="own"` keeps each arm's variance apart (Welch 1938,
    Biometrika 29:350-362); `arms="pooled"` takes one variance for both, weighted by degrees of freedom.

    Raises InputError for a negative standard deviation or an arm of less than one plot.
    """
    sd_t, n_t = _checked_arm(sd_treatment, n_treatment)
    sd_c, n_c = _checked_arm(sd_control, n_control)
    estimate = np.asarray(mean_treatment, dtype=float) - np.asarray(mean_control, dtype=float)
    if arms == "own":
        return estimate, sd_t**2 / n_t + sd_c**2 / n_c
    with np.errstate(divide="ignore", invalid="ignore"):
        pooled = ((n_t - 1) * sd_t**2 + (n_c - 1) * sd_c**2) / (n_t + n_c - 2)
    return estimate, pooled * (1 / n_t + 1 / n_c)


def squared_cv_of_mean(mean: Numbers, sd: Numbers, n: Numbers) -> Array:
    """Return the squared coefficient of variation of an arm's mean, nan where the mean is not above zero.

    For a control it is also the covariance of two log ratios that share that control (Lajeunesse 2011,
    Ecology 92:2049-2055, equation 8).
    """
    sd, n = _checked_arm(sd, n)
    mean = np.asarray(mean, dtype=float)
    return sd**2 / (n * np.where(mean > 0, mean, np.nan) ** 2)


def welch_df(
    part_treatment: Numbers, df_treatment: Numbers, part_control: Numbers, df_control: Numbers
) -> Array:
    """Return the degrees of freedom of a sum of two variances, each known to its own degrees of freedom.

    Source: Satterthwaite 1946, Biometrics Bulletin 2:110-114; Welch 1947, Biometrika 34:28-35.
    """
    a, b = np.asarray(part_treatment, dtype=float), np.asarray(part_control, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return (a + b) ** 2 / (a**2 / np.asarray(df_treatment) + b**2 / np.asarray(df_control))


def log_of_positive(values: Numbers) -> Array:
    """Return the natural logarithm, nan where there is none."""
    values = np.asarray(values, dtype=float)
    return np.log(np.where(values > 0, values, np.nan))


def _checked_arm(sd: Numbers, n: Numbers) -> tuple[Array, Array]:
    sd, n = np.asarray(sd, dtype=float), np.asarray(n, dtype=float)
    if np.any(sd < 0):
        raise InputError(f"A standard deviation is {np.min(sd):g}, below zero. Give it as zero or more.")
    if np.any(n < 1):
        raise InputError(f"An arm has {np.min(n):g} plots. A mean needs at least one.")
    return sd, n
