"""The twelve texture classes of the USDA triangle, exact on their borders."""

from typing import Any

import numpy as np
import numpy.typing as npt

from sites.errors import InputError
from sites.scalars import Numbers, scalars_stay_scalars

#: Class names of the Soil Survey Manual (Soil Science Division Staff 2017, USDA Handbook 18), lower case.
CLASSES = (
    "sand",
    "loamy sand",
    "sandy loam",
    "loam",
    "silt loam",
    "silt",
    "sandy clay loam",
    "clay loam",
    "silty clay loam",
    "sandy clay",
    "silty clay",
    "clay",
)

#: How far sand, silt and clay may miss 100 % by rounding; they are then scaled to 100 (common practice, no
#: source).
SUM_TOLERANCE_PCT = 1.0

#: Borders are compared in whole thousandths of a percent, so that 15.0 % reached as 14.9 + 0.1 is on the
#: border.
STEPS_PER_PCT = 1000


#: Error of binary fractions that is no fault of the laboratory's, in percent.
ROUNDING = 1e-9


@scalars_stay_scalars
def texture_class(sand_pct: Numbers, silt_pct: Numbers, clay_pct: Numbers) -> npt.NDArray[Any]:
    """Return the USDA texture class, lower case, of sand, silt and clay in % of the fine earth.

    Borders follow Benham, Ahrens & Nettleton (USDA-NRCS, Clarification of Soil Texture Class Boundaries): a
    point on one belongs to the finer class, and every point to exactly one. USDA sizes: clay below 0.002 mm,
    sand from 0.05 mm; a laboratory that parts silt and sand at 0.063 mm is not comparable. Raises InputError
    for parts that are negative or miss 100 % by more than 1; a missing part gives None.
    """
    parts = np.stack(
        np.broadcast_arrays(*(np.asarray(each, dtype=float) for each in (sand_pct, silt_pct, clay_pct)))
    )
    missing = np.isnan(parts).any(axis=0)
    parts = np.where(missing, 100.0 / 3.0, parts)
    total = parts.sum(axis=0)
    wrong = (parts < -ROUNDING).any(axis=0) | (np.abs(total - 100.0) > SUM_TOLERANCE_PCT + ROUNDING)
    if wrong.any():
        sand, silt, clay = (part.ravel()[np.flatnonzero(wrong)[0]] for part in parts)
        raise InputError(
            f"Sand {sand:g} %, silt {silt:g} % and clay {clay:g} % are no soil: each must be 0 or more and "
            "together they must make 100. Look at the laboratory's report again."
        )
    steps = np.rint(parts / total * (100 * STEPS_PER_PCT)).astype(np.int64)
    names = np.array([*CLASSES, None], dtype=object)
    return names[np.where(missing, len(CLASSES), _class_number(*steps))]


def _class_number(
    sand: npt.NDArray[np.int64], silt: npt.NDArray[np.int64], clay: npt.NDArray[np.int64]
) -> npt.NDArray[Any]:
    """Return the position in CLASSES of parts in thousandths of a percent."""

    def pct(percent: float) -> int:
        return round(percent * STEPS_PER_PCT)

    coarse = silt + 2 * clay < pct(30)
    rules = [
        2 * silt + 3 * clay < 2 * pct(15),
        coarse,
        ((clay >= pct(7)) & (clay < pct(20)) & (sand > pct(52))) | ((clay < pct(7)) & (silt < pct(50))),
        (clay >= pct(7)) & (clay < pct(27)) & (silt >= pct(28)) & (silt < pct(50)) & (sand <= pct(52)),
        (silt >= pct(50)) & (clay < pct(27)) & ((clay >= pct(12)) | (silt < pct(80))),
        (silt >= pct(80)) & (clay < pct(12)),
        (clay >= pct(20)) & (clay < pct(35)) & (silt < pct(28)) & (sand > pct(45)),
        (clay >= pct(27)) & (clay < pct(40)) & (sand > pct(20)) & (sand <= pct(45)),
        (clay >= pct(27)) & (clay < pct(40)) & (sand <= pct(20)),
        (clay >= pct(35)) & (sand > pct(45)),
        (clay >= pct(40)) & (silt >= pct(40)),
        (clay >= pct(40)) & (sand <= pct(45)) & (silt < pct(40)),
    ]
    return np.select(rules, range(len(CLASSES)), len(CLASSES))
