"""Numbers as JSON holds them: what is not known is null, never NaN."""

import math
from typing import SupportsFloat


def known(value: SupportsFloat) -> float | None:
    """Return a number as a plain float, None where it is not finite."""
    number = float(value)
    return number if math.isfinite(number) else None
