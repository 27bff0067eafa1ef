"""Words of the straight line and the curve on Gradient."""

from types import MappingProxyType

WORDS = MappingProxyType(
    {
        "draw": "Draw",
        "line": "a straight line",
        "curve": "a curve",
        "bends": "A curve follows these gardens better than the line (natural spline with 3 degrees of "
        "freedom, p {p}, {gardens}). It ends where the gardens do.",
        "straight": "We cannot tell that the gain bends: a curve follows these gardens no better than the "
        "line (natural spline with 3 degrees of freedom, p {p}, {gardens}).",
        "too_few": "Only a straight line is drawn: a curve takes {fewest} gardens, and there are {gardens}.",
        "crowded": "Only a straight line is drawn: the gardens stand too close together along this axis for "
        "a curve.",
        "beside": "The thin straight line is there to compare with.",
    }
)
