"""Own plots adding up, and the unnamed middle half of the other gardens."""

import pandas as pd
import pytest

from pipeline.response.plot_curves import LEAST_OTHERS, middle_half, plot_curves

DAYS = pd.to_datetime(["2025-07-20", "2025-07-27"]).astype("datetime64[us]")


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
    middle = middle_half(rows, without="K99")
    assert middle["low"].tolist() == [2.0, 4.0]
    assert middle["high"].tolist() == [4.0, 8.0]


@pytest.mark.parametrize(("gardens", "weeks"), [(LEAST_OTHERS, 0), (LEAST_OTHERS + 1, 2)])
def test_fewer_than_five_other_gardens_show_no_middle_half(gardens, weeks):
    assert len(middle_half(curves(gardens), without="K01")) == weeks


def test_a_plot_adds_up_and_a_blank_weight_adds_no_point():
    plots = pd.DataFrame({"site": ["K01"], "plot": ["1"], "plants": [2.0]})
    harvest = pd.DataFrame(
        {
            "site": "K01",
            "plot": "1",
            "date": [DAYS[0], DAYS[0] + pd.Timedelta(days=3), DAYS[1]],
            "marketable_weight": [1.0, float("nan"), 3.0],
        }
    )
    found = plot_curves(plots, harvest)
    assert found["date"].tolist() == [DAYS[0], DAYS[1]]
    assert found["marketable_kg_per_plant"].tolist() == [0.5, 2.0]
