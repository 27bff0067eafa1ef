"""What a network's answer is computed from, checked: effects, variances and covariates of gardens."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt
import pandas as pd

from pipeline.response.arrays import Array
from sites.errors import InputError

Covariates: TypeAlias = pd.DataFrame | Mapping[str, npt.ArrayLike] | npt.ArrayLike

#: Sizes beyond which a number is no effect, variance or covariate but a slip. Within them no sum of third
#: powers of weights leaves the range of a double.
SMALLEST, LARGEST = 1e-50, 1e50

#: A variance this many times smaller than the median of all is a slip or an accident of equal plots: its
#: garden alone would be the answer, and at double precision the other gardens' part of it would be lost.
LEAST_SHARE_OF_MEDIAN = 1e-12

#: Covariates whose correlation matrix has a smaller eigenvalue than this cannot be told apart: one of them
#: is a sum of multiples of the others within rounding.
COLLINEAR = 1e-10


#: A covariate whose range is a smaller share of its size than this is constant within rounding.
CONSTANT = 1e-12


@dataclass(frozen=True)
class NetworkInput:
    """Effects `(k,)`, variances `(k,)` or None where no garden knows its error, covariates `(c, k)`."""

    effect: Array
    variance: Array | None
    covariates: Array
    names: tuple[str, ...]

    @property
    def k(self) -> int:
        """Return the number of gardens."""
        return len(self.effect)

    @property
    def terms(self) -> tuple[str, ...]:
        """Return the names of the terms of the design, `("intercept", ...)`."""
        return ("intercept", *self.names)

    @property
    def design(self) -> Array:
        """Return the design `(1 + c, k)`, the intercept first."""
        return np.vstack([np.ones((1, self.k)), self.covariates])


def checked(
    effect: npt.ArrayLike, variance: npt.ArrayLike | None, covariates: Covariates | None = None
) -> NetworkInput:
    """Return the input as arrays.

    `variance` is None, or missing for every garden, where no garden knows its own error. `covariates` is a
    frame or mapping of columns, an array `(k,)`, or an array `(k, c)`.

    Raises InputError that names the garden or column at fault: lengths that differ, no gardens, values that
    are missing or not finite, variances that are not above zero, covariates that are constant or collinear.
    """
    effects = _column(effect, "effect")
    if not effects.size:
        raise InputError("There is no garden effect to pool. Give at least one.")
    _refuse(
        ~np.isfinite(effects), effects, "effect", "is missing or not a number; fill it in or leave it out"
    )
    _refuse(np.abs(effects) > LARGEST, effects, "effect", "is too large to be one; check its unit")
    names, columns = _covariate_columns(covariates, effects.size)
    return NetworkInput(effects, _checked_variance(variance, effects.size), columns, names)


def _checked_variance(variance: npt.ArrayLike | None, gardens: int) -> Array | None:
    if variance is None:
        return None
    values = _column(variance, "variance")
    if values.size != gardens:
        raise InputError(f"There are {gardens} effects but {values.size} variances. Give one for each.")
    if np.all(np.isnan(values)):
        return None
    _refuse(
        ~np.isfinite(values), values, "variance", "is missing or not a number; fill it in or leave it out"
    )
    _refuse(values <= 0, values, "variance", "is not above zero; no effect is known without error")
    out_of_range = (values < SMALLEST) | (values > LARGEST)
    _refuse(out_of_range, values, "variance", "is out of any sensible range; check its unit")
    floor = LEAST_SHARE_OF_MEDIAN * np.median(values)
    _refuse(values < floor, values, "variance", "is so small that this garden alone would be the answer")
    return values


def _covariate_columns(covariates: Covariates | None, gardens: int) -> tuple[tuple[str, ...], Array]:
    if covariates is None:
        return (), np.empty((0, gardens))
    if isinstance(covariates, (pd.DataFrame, Mapping)):
        named = {str(name): _column(covariates[name], str(name)) for name in covariates}
    else:
        columns = np.asarray(covariates)
        columns = columns[:, None] if columns.ndim == 1 else columns
        named = {
            f"covariate {j + 1}": _column(columns[:, j], f"covariate {j + 1}")
            for j in range(columns.shape[1])
        }
    for name, values in named.items():
        if values.size != gardens:
            raise InputError(
                f"There are {gardens} effects but {values.size} values of {name}. Give one for each."
            )
        _refuse(~np.isfinite(values), values, name, "is missing or not a number; fill it in or leave it out")
        _refuse(np.abs(values) > LARGEST, values, name, "is too large; check its unit")
    if gardens > len(named):
        _refuse_collinear(named)
    return tuple(named), np.array(list(named.values())).reshape(len(named), gardens)


def _refuse_collinear(named: Mapping[str, Array]) -> None:
    for name, values in named.items():
        if np.ptp(values) <= max(SMALLEST, CONSTANT * np.max(np.abs(values))):
            raise InputError(
                f"{name} is the same in every garden, so no gradient along it can be seen. Leave it out."
            )
    if len(named) > 1 and np.linalg.eigvalsh(np.corrcoef(list(named.values())))[0] < COLLINEAR:
        listed = ", ".join(named)
        raise InputError(
            f"The covariates {listed} say the same thing over these gardens. Leave one of them out."
        )


def _column(values: npt.ArrayLike, name: str) -> Array:
    try:
        column = np.atleast_1d(np.asarray(values, dtype=float))
    except (TypeError, ValueError) as error:
        raise InputError(f"{name} holds something that is not a number. Give numbers only.") from error
    if column.ndim != 1:
        raise InputError(f"{name} has {column.ndim} dimensions. Give one value for each garden.")
    return column


def _refuse(wrong: npt.NDArray[np.bool_], values: Array, name: str, why: str) -> None:
    if np.any(wrong):
        first = int(np.argmax(wrong))
        raise InputError(f"The {name} of garden {first + 1} of {values.size} ({values[first]:g}) {why}.")
