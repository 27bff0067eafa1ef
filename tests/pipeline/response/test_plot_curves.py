"""Own plots adding up."""

import pandas as pd

from pipeline.response.plot_curves import plot_curves

DAYS = pd.to_datetime(["2025-07-20", "2025-07-27"]).astype("datetime64[us]")


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
