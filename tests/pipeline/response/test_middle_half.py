"""The unnamed middle half of the other gardens, week by week."""

from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.middle_half import LEAST_OTHERS, garden_totals, middle_half

DAYS = pd.to_datetime(["2025-07-20", "2025-07-27"]).astype("datetime64[us]")
COLUMNS = ["site", "treatment", "date", "marketable_kg_per_plant"]


def curves(gardens: int) -> pd.DataFrame:
    """Return gardens that gave 1, 2, 3, ... kg per plant on the first day and twice that by the second."""
    return pd.DataFrame(
        [
            {"site": f"K{at:02}", "treatment": "own-root", "date": day, "marketable_kg_per_plant": at * times}
            for at in range(1, gardens + 1)
            for times, day in enumerate(DAYS, start=1)
        ]
    )


def test_the_middle_half_is_that_of_the_others_alone():
    """Quartiles of 1 to 5: 2 and 4 (Hyndman and Fan 1996, definition 7)."""
    rows = pd.concat([curves(5), curves(1).assign(site="K99", marketable_kg_per_plant=50.0)])
    middle = middle_half(garden_totals(rows), without="K99")
    assert middle["low"].tolist() == [2.0, 4.0]
    assert middle["high"].tolist() == [4.0, 8.0]


@pytest.mark.parametrize(("gardens", "weeks"), [(LEAST_OTHERS, 0), (LEAST_OTHERS + 1, 2)])
def test_fewer_than_five_other_gardens_show_no_middle_half(gardens, weeks):
    assert len(middle_half(garden_totals(curves(gardens)), without="K01")) == weeks


def test_a_garden_without_a_picking_is_compared_with_all_that_have_one():
    assert middle_half(garden_totals(curves(5)), without="K99")["low"].tolist() == [2.0, 4.0]


def test_before_the_first_picking_there_is_no_middle_half():
    middle = middle_half(garden_totals(curves(5).iloc[:0]), without="K01")
    assert middle.empty
    assert [str(middle[name].dtype) for name in middle] == ["datetime64[us]", "float64", "float64"]


def total_on(rows: list[tuple[str, str, date, float]], site: str, day: date) -> float | None:
    """Return a garden's total on a day: each treatment's last one by then, and of those the mean."""
    own = [row for row in rows if row[0] == site]
    if not own or day > max(row[2] for row in own) + timedelta(days=6):
        return None
    by_then: dict[str, tuple[date, float]] = {}
    for _, treatment, picked, weight in own:
        if picked <= day and (treatment not in by_then or picked > by_then[treatment][0]):
            by_then[treatment] = (picked, weight)
    return float(np.mean([weight for _, weight in by_then.values()])) if by_then else None


def plainly(rows: list[tuple[str, str, date, float]], without: str) -> list[tuple[date, float, float]]:
    """Return date, low and high of the others, found anew with numpy's quantile for every week."""
    others = [row for row in rows if row[0] != without]
    if not others:
        return []
    first, last = min(row[2] for row in others), max(row[2] for row in others)
    weeks = {first + timedelta(days=7 * at) for at in range((last - first).days // 7 + 1)} | {last}
    found = []
    for day in sorted(weeks):
        totals = [total_on(others, site, day) for site in {row[0] for row in others}]
        known = [total for total in totals if total is not None]
        if len(known) >= LEAST_OTHERS:
            found.append((day, *np.quantile(known, [0.25, 0.75], method="linear")))
    return found


PICKED = st.dictionaries(
    st.tuples(
        st.sampled_from([f"K{at:02}" for at in range(9)]),
        st.sampled_from(["graft", "own-root"]),
        st.dates(date(2025, 7, 1), date(2025, 8, 20)),
    ),
    # Grams, so that totals of two gardens are often the same.
    st.integers(0, 12_000).map(lambda grams: grams / 1000) | st.sampled_from([0.0, 1.0, 2.5]),
    max_size=60,
)


@given(PICKED, st.sampled_from([f"K{at:02}" for at in range(10)]))
def test_leaving_a_garden_out_afterwards_is_the_same_as_never_counting_it(picked, without):
    rows = [(*where, weight) for where, weight in picked.items()]
    frame = pd.DataFrame(rows, columns=COLUMNS).astype(
        {"site": "str", "treatment": "str", "date": "datetime64[us]", "marketable_kg_per_plant": "float64"}
    )
    middle = middle_half(garden_totals(frame), without)
    expected = plainly(rows, without)
    assert [day.date() for day in middle["date"]] == [day for day, _, _ in expected]
    np.testing.assert_allclose(
        middle[["low", "high"]].to_numpy().ravel(),
        np.array([ends for _, *ends in expected]).ravel(),
        rtol=1e-12,
        atol=1e-12,
    )
