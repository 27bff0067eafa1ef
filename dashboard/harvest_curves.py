"""What each garden picked of each treatment, adding up through the season."""

import math
from collections.abc import Mapping, Sequence
from operator import itemgetter
from typing import NamedTuple

import pandas as pd

#: The measure that adds up through the season.
SEASON_OUTCOME = "marketable_kg_per_plant"


class Curve(NamedTuple):
    """Days since the season's first picking, rising, and the kilograms a plant that were picked by then."""

    days: Sequence[int]
    kilograms: Sequence[float]


#: Curves by garden and treatment.
Curves = Mapping[tuple[str, str], Curve]


def curves_of(rows: pd.DataFrame, first: pd.Timestamp) -> Curves:
    """Return the curves since the day `first`.

    `rows` has site, treatment, date and marketable_kg_per_plant; those that lack a date or a weight are
    left out.
    """
    days = (rows["date"] - first).dt.days.tolist()
    points: dict[tuple[str, str], list[tuple[int, float]]] = {}
    columns = (rows["site"].tolist(), rows["treatment"].tolist(), days, rows[SEASON_OUTCOME].tolist())
    for site, treatment, day, kilograms in zip(*columns, strict=True):
        if math.isnan(day) or math.isnan(kilograms):
            continue
        points.setdefault((site, treatment), []).append((int(day), kilograms))
    by_day = itemgetter(0)
    return {key: Curve(*zip(*sorted(own, key=by_day), strict=True)) for key, own in points.items()}
