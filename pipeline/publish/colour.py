"""The colour of a garden is its place along the row, the same on every page.

Mixed in OKLab between seven stops, so that lightness falls from west to east and equal steps look equal
(Ottosson 2020, "A perceptual color space for image processing").
"""

from collections.abc import Sequence

import numpy as np

#: Ochre in the west, blue-green in the east; lightness falls at every stop, so that the order is kept in
#: grey and for colour-blind readers. For light and for dark paper.
ROW_LIGHT = ("#B97C28", "#99771A", "#717527", "#3E6F40", "#066254", "#005257", "#003F51")
ROW_DARK = ("#FFCD76", "#DEC76A", "#B0C372", "#81BC89", "#54AE9D", "#3E9CA5", "#3887A0")

_TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)


def place_colours(share: np.ndarray, stops: Sequence[str]) -> list[str]:
    """Return the colour of places, given as the share of the axis west of them (0 west, 1 east)."""
    lab = np.array([_oklab(stop) for stop in stops])
    at = np.clip(np.nan_to_num(share, nan=0.5), 0, 1) * (len(stops) - 1)
    mixed = np.column_stack([np.interp(at, np.arange(len(stops)), lab[:, part]) for part in range(3)])
    return [_hex(colour) for colour in mixed]


def _oklab(colour: str) -> np.ndarray:
    encoded = np.array([int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)])
    linear = np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4)
    return _TO_LAB @ np.cbrt(_TO_LMS @ linear)


def _hex(lab: np.ndarray) -> str:
    linear = np.clip(np.linalg.solve(_TO_LMS, np.linalg.solve(_TO_LAB, lab) ** 3), 0, 1)
    encoded = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)
    return "#" + "".join(f"{round(part * 255):02X}" for part in encoded)
