"""Labels on the map: each beside its garden, none over another, over a mark or off the sheet."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

#: Pixels that a letter takes in bold and in regular 13 px text, and the state's mark with its air.
BOLD_PX, LETTER_PX, MARK_PX = 7.1, 6.3, 22.0
#: Height of a label of two lines, pixels.
HEIGHT_PX = 34.0
#: Distances from the garden that a label may have, pixels: sideways, and up or down.
SIDEWAYS = (12.0, 26.0, 44.0, 70.0)
UP_DOWN = tuple(float(step) for step in range(-84, 85, 7))
#: What an overlapped square pixel costs against a pixel of distance, over labels, marks and beyond the sheet.
OVER_LABEL, OVER_MARK, OFF_SHEET = 1.0, 1.6, 0.6
#: Rounds in which every label may look for a better place once the others stand.
ROUNDS = 4


@dataclass(frozen=True)
class Label:
    """A label's place: its box in pixels from its garden, and whether it stands west of it."""

    left: float
    top: float
    width: float
    height: float
    is_west: bool

    @property
    def needs_leader(self) -> bool:
        """Whether the label stands too far from its garden to be read without a line."""
        sideways = -(self.left + self.width) if self.is_west else self.left
        return sideways > SIDEWAYS[0] or abs(self.top + self.height / 2) > self.height / 2


def width_of(heading: str, reason: str) -> float:
    """Return the width of a label with its mark, in pixels."""
    return max(BOLD_PX * len(heading), LETTER_PX * len(reason)) + MARK_PX


@dataclass(frozen=True)
class Scene:
    """The map at one width of the screen, in pixels, up to down.

    `anchors` are the gardens to label, west to east, `marks` the middles of all discs, `sheet` the left,
    top, right and bottom that labels keep within.
    """

    anchors: Sequence[tuple[float, float]]
    marks: Sequence[tuple[float, float]]
    sheet: tuple[float, float, float, float]


def place_labels(
    scenes: Sequence[Scene], widths: Sequence[float], mark_radius: float, height: float = HEIGHT_PX
) -> list[Label]:
    """Return a place for the label of each garden that does well in all the scenes.

    `widths` are the labels' own, in pixels. Each label takes the place that costs least and may move
    again in further rounds; the same input gives the same places.
    """
    choices = [_choices(width, height) for width in widths]
    own = [_distance(choice) for choice in choices]
    boxes: list[list[np.ndarray]] = []
    for scene in scenes:
        discs = np.array(
            [(x - mark_radius, y - mark_radius, x + mark_radius, y + mark_radius) for x, y in scene.marks]
        )
        boxes.append([_boxes(*pair) for pair in zip(choices, scene.anchors, strict=True)])
        for index, candidates in enumerate(boxes[-1]):
            cost = OVER_MARK * _overlap(candidates, discs) + OFF_SHEET * _outside(candidates, scene.sheet)
            own[index] = own[index] + cost
    # One greedy order may wedge a label in; the better of the two is taken.
    count = len(choices)
    orders = (range(count), range(count - 1, -1, -1))
    picked = min(
        (_settle(boxes, own, order) for order in orders), key=lambda picks: _total(boxes, own, picks)
    )
    return [choice[pick] for choice, pick in zip(choices, picked, strict=True)]


def _settle(
    boxes: Sequence[Sequence[np.ndarray]], own: Sequence[np.ndarray], order: Sequence[int]
) -> list[int]:
    """Return the place that each label takes when they choose in this order, round after round."""
    picked: dict[int, int] = {}
    for _ in range(ROUNDS):
        for index in order:
            cost = own[index]
            for scene in boxes:
                others = np.array([scene[other][pick] for other, pick in picked.items() if other != index])
                cost = cost + OVER_LABEL * _overlap(scene[index], others)
            picked[index] = int(np.argmin(cost))
    return [picked[index] for index in range(len(own))]


def _total(boxes: Sequence[Sequence[np.ndarray]], own: Sequence[np.ndarray], picked: Sequence[int]) -> float:
    """Return what all places cost together."""
    total = sum(float(own[index][pick]) for index, pick in enumerate(picked))
    for scene in boxes:
        taken = np.array([scene[index][pick] for index, pick in enumerate(picked)])
        total += OVER_LABEL * sum(
            float(_overlap(taken[index : index + 1], taken[index + 1 :])[0]) for index in range(len(taken))
        )
    return total


def _choices(width: float, height: float) -> list[Label]:
    places = []
    for is_west, sideways, middle in product((False, True), SIDEWAYS, UP_DOWN):
        left = -sideways - width if is_west else sideways
        places.append(Label(left, middle - height / 2, width, height, is_west))
    return places


def _boxes(choices: Sequence[Label], anchor: tuple[float, float]) -> np.ndarray:
    x, y = anchor
    return np.array(
        [(x + one.left, y + one.top, x + one.left + one.width, y + one.top + one.height) for one in choices]
    )


def _distance(choices: Sequence[Label]) -> np.ndarray:
    """Return what distance costs: more for up and down, and a little for standing west."""
    sideways = np.array([-(one.left + one.width) if one.is_west else one.left for one in choices])
    up_down = np.array([abs(one.top + one.height / 2) for one in choices])
    return sideways + 1.2 * up_down + np.array([4.0 * one.is_west for one in choices])


def _overlap(boxes: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Return for each box the area that it shares with all the others together."""
    if len(others) == 0:
        return np.zeros(len(boxes))
    lower = np.maximum(boxes[:, None, :2], others[None, :, :2])
    upper = np.minimum(boxes[:, None, 2:], others[None, :, 2:])
    return np.clip(upper - lower, 0, None).prod(axis=2).sum(axis=1)


def _outside(boxes: np.ndarray, sheet: tuple[float, float, float, float]) -> np.ndarray:
    """Return for each box its area beyond the sheet."""
    whole = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    return whole - _overlap(boxes, np.array([sheet]))
