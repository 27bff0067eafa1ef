"""One decorator: a function written for arrays gives a plain number where it was handed plain numbers."""

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec

import numpy as np
import numpy.typing as npt

P = ParamSpec("P")

#: A number or anything that numpy reads as an array of numbers.
Numbers = float | npt.ArrayLike


def scalars_stay_scalars(function: Callable[P, npt.NDArray[Any]]) -> Callable[P, Any]:
    """Return `function` with arrays of no dimension given back as Python scalars, all others untouched."""

    @wraps(function)
    def wrapped(*args: P.args, **kwargs: P.kwargs) -> Any:
        result = np.asarray(function(*args, **kwargs))
        return result.item() if result.ndim == 0 else result

    return wrapped
