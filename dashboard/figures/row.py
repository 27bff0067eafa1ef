"""The row: one axis of kilometres that ruler, maps, strips and column heads all hang from."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.optimize import isotonic_regression

#: Kilometres beyond the outermost outline at either end, so that its line is not cut in half.
BEYOND_KM = 2.0
#: Pixels that a garden's short name takes in bold 13 px: each letter, and the air around the name.
LETTER_PX, AIR_PX = 8.0, 11.0
#: Least pixels from name to name: a finger's worth even where names are short.
LEAST_PX = 37.0


@dataclass(frozen=True)
class Row:
    """The stretch of the axis that is drawn, in kilometres from its origin."""

    low: float
    high: float

    @property
    def length(self) -> float:
        """Kilometres from end to end."""
        return self.high - self.low

    def fraction(self, km: float) -> float:
        """Return where `km` lies on the row: 0 at its western end, 1 at its eastern."""
        return (km - self.low) / self.length

    def ticks(self) -> list[float]:
        """Return six or so round kilometres to write at the axis, 0 among them where it is drawn."""
        return ticks(max(self.low, 0.0) if self.low < 0 < self.high else self.low, self.high, 6)


def row_over(outlines: pd.DataFrame, gardens: pd.DataFrame) -> Row:
    """Return the row that shows every outline and every garden whole."""
    km = np.concatenate(
        [outlines["x_km"].to_numpy(dtype=float), gardens["position_km"].to_numpy(dtype=float)]
    )
    km = km[np.isfinite(km)]
    if km.size == 0:
        return Row(0.0, 1.0)
    return Row(float(math.floor(km.min() - BEYOND_KM)), float(math.ceil(km.max() + BEYOND_KM)))


def ticks(low: float, high: float, about: int) -> list[float]:
    """Return about `about` round numbers from `low` to `high`, a 1, 2 or 5 times a power of ten apart."""
    if not high > low:
        return [low]
    rough = (high - low) / about
    power = 10.0 ** math.floor(math.log10(rough))
    step = power * min((1, 2, 5, 10), key=lambda nice: abs(math.log(nice * power / rough)))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(index * step, 10) for index in range(first, last + 1)]


def spread(places: Sequence[float], sizes: Sequence[float], low: float, high: float) -> list[float]:
    """Return places for labels that keep their order, never overlap and stray as little as can be.

    `places` are wanted centres in rising order, `sizes` what each label takes up along the line. The sum of
    squared distances to the wanted places is least (isotonic regression by pool adjacent violators).
    Centres stay within `low` and `high`; where there is no room for all of them, labels are squeezed
    evenly between the two.
    """
    wanted = np.asarray(places, dtype=float)
    size = np.asarray(sizes, dtype=float)
    if wanted.size == 0:
        return []
    offset = np.concatenate([[0.0], np.cumsum((size[:-1] + size[1:]) / 2)])
    if offset[-1] > high - low:
        return [float(place) for place in np.linspace(low, high, wanted.size)]
    fitted = isotonic_regression(wanted - offset).x
    return [float(place) for place in np.clip(fitted, low, high - offset[-1]) + offset]


def name_width(names: Iterable[str]) -> float:
    """Return the pixels to give each garden's short name along the row."""
    longest = max(map(len, names), default=0)
    return max(LEAST_PX, LETTER_PX * longest + AIR_PX)


def columns(row: Row, gardens: pd.DataFrame, plot_width: float, *, even: bool) -> list[float]:
    """Return the kilometre at which each garden's column stands, west to east.

    Columns stand at the garden's place or beside it where neighbours are close; `even` spaces them
    evenly instead, for screens too narrow for anything else.
    """
    count = len(gardens)
    if even:
        return [row.low + row.length * (index + 0.5) / count for index in range(count)]
    return name_places(list(gardens["position_km"]), list(gardens["site"]), row, plot_width)


def name_places(km: Sequence[float], names: Sequence[str], row: Row, plot_width: float) -> list[float]:
    """Return the kilometres at which short names stand, each near its garden and none over another."""
    gap = name_width(names) / plot_width * row.length
    # Half a name's width inside either end, so that a column under it is whole.
    return spread(km, [gap] * len(names), row.low + gap * 0.45, row.high - gap * 0.45)


def headed(sites: Sequence[str], chosen: str | None, plot_width: float) -> list[str]:
    """Return the gardens named over their columns: all where they fit, else the chosen one."""
    fits = len(sites) * name_width(sites) <= plot_width + LEAST_PX
    return [site for site in sites if fits or site == chosen]


def around(gardens: pd.DataFrame, chosen: str | None, most: int) -> pd.DataFrame:
    """Return at most `most` neighbouring gardens: those around the chosen one, or the westernmost."""
    if len(gardens) <= most:
        return gardens
    found = np.flatnonzero(gardens["site"] == chosen)
    shown = stretch_around(int(found[0]) if len(found) else 0, len(gardens), most)
    return gardens.iloc[shown.start : shown.stop].reset_index(drop=True)


def stretch_around(middle: int, length: int, most: int) -> range:
    """Return at most `most` neighbouring places of a row of `length`, as nearly around `middle` as it has."""
    start = max(min(middle - most // 2, length - most), 0)
    return range(start, min(start + most, length))
