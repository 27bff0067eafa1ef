"""The kinds of array that the estimates are made of."""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]
Counts = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]
