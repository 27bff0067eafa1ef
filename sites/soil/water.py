"""Water that a soil holds for plants, by texture and over a profile."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.scalars import Numbers, scalars_stay_scalars

#: Available water by texture, lowest and highest, m of water per m of soil (FAO-56, table 19, from memory).
#: Sandy clay loam and clay loam are not in that table: 1.5 to 2.1 and 1.6 to 2.4 inches per foot (USDA-NRCS
#: Wyoming, appearance of soils by moisture). For sandy clay neither has a value.
AVAILABLE_WATER = {
    "sand": (0.05, 0.11),
    "loamy sand": (0.06, 0.12),
    "sandy loam": (0.11, 0.15),
    "loam": (0.13, 0.18),
    "silt loam": (0.13, 0.19),
    "silt": (0.16, 0.20),
    "sandy clay loam": (0.125, 0.175),
    "clay loam": (0.133, 0.20),
    "silty clay loam": (0.13, 0.18),
    "silty clay": (0.13, 0.19),
    "clay": (0.12, 0.20),
}

#: Depth in cm over which a garden's available water is summed: where most roots of vegetables are (common
#: practice, no source).
ROOT_DEPTH_CM = 30.0


@scalars_stay_scalars
def available_water_of_texture(texture: Any, bound: str = "middle") -> npt.NDArray[Any]:
    """Return available water, cm per cm, of a texture class: its range's middle, or its "low" or "high" end.

    Missing where the tables have no value, and for constructed media (raised-bed and compost mixes), which
    lie outside of them: pass those as missing.
    """
    position = {"low": 0, "high": 1}
    classes = np.asarray(texture, dtype=object)
    values = {
        name: ends[position[bound]] if bound in position else sum(ends) / 2
        for name, ends in AVAILABLE_WATER.items()
    }
    return np.array([values.get(each, np.nan) for each in classes.ravel()]).reshape(classes.shape)


@scalars_stay_scalars
def profile_available_water_cm(thickness_cm: Numbers, available_water: Numbers) -> npt.NDArray[Any]:
    """Return the water a profile holds, cm: the sum over layers (the last axis) of thickness by cm per cm."""
    return (np.asarray(thickness_cm, dtype=float) * np.asarray(available_water, dtype=float)).sum(axis=-1)
