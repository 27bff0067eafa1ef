"""The move of an answer, held against the answer worked out anew in the plainest way."""

import numpy as np
import pandas as pd
import pytest

from pipeline.response.plots import NO_LOOKS
from pipeline.response.question_influence import (
    Otherwise,
    effects_otherwise,
    plots_otherwise,
    points_moved,
    size_of,
)

SITES = ("A", "B", "C", "D")
NOTHING = pd.DataFrame({"question": [], "kind": [], "row_id": []}).astype(
    {"question": "int64", "kind": "str", "row_id": "int64"}
)


def layout() -> pd.DataFrame:
    return pd.DataFrame(
        [
            {"site": site, "block": block, "plot": f"{block}{arm}", "in_ground": arm, "plants_per_plot": 2}
            for site in SITES
            for block in "12"
            for arm in ("own", "graft")
        ]
    )


def harvest(seed: int = 7) -> pd.DataFrame:
    random = np.random.default_rng(seed)
    days = pd.date_range("2025-07-01", periods=5, freq="7D")
    rows = layout()[["site", "plot"]].merge(pd.DataFrame({"date": days}), how="cross")
    weight = random.lognormal(0.0, 0.3, len(rows))
    return rows.assign(
        row_id=range(1, len(rows) + 1),
        marketable_weight=weight,
        marketable_count=np.ceil(weight * 4),
        cull_weight=np.nan,
    )


def planting() -> pd.DataFrame:
    columns = ["row_id", "site", "plot", "date", "event", "plants"]
    return pd.DataFrame({name: pd.Series(dtype="object") for name in columns}).astype(
        {"row_id": "int64", "date": "datetime64[us]", "plants": "float64"}
    )


def by_hand(rows: pd.DataFrame) -> pd.Series:
    """Return each garden's log ratio from sums over its plots (complete blocks: means of the arms)."""
    totals = rows.groupby(["site", "plot"])["marketable_weight"].sum().reset_index()
    totals["arm"] = totals["plot"].str[1:]
    means = totals.groupby(["arm", "site"])["marketable_weight"].mean()
    return np.log(means["graft"] / means["own"])


def moved(otherwise: Otherwise, weight: float | pd.Series = 1.0) -> pd.Series:
    rows = {"harvest": harvest(), "planting": planting(), "condition": NO_LOOKS.assign(row_id=0)}
    plots = plots_otherwise(layout(), rows, otherwise, control="own", completeness=0.8, early_days=21)
    then = effects_otherwise(plots, "own", "marketable_kg_per_plant")
    ratio = by_hand(harvest())
    effects = pd.DataFrame({"site": ratio.index, "treatment": "graft", "log_ratio": ratio.to_numpy()})
    return points_moved(otherwise.about, then, effects.assign(weight=weight))


def about(site: str) -> pd.DataFrame:
    return pd.DataFrame({"question": [1], "site": [site]})


def test_a_row_left_out_moves_the_answer_as_far_as_working_it_out_without_the_row():
    row = harvest().query("site == 'B' and plot == '1graft'")["row_id"].iloc[2]
    without = pd.DataFrame({"question": [1], "kind": ["harvest"], "row_id": [row]})

    points = moved(Otherwise(about("B"), without, {}))

    left = harvest().query("row_id != @row")
    wanted = abs(np.exp(by_hand(left).mean()) - np.exp(by_hand(harvest()).mean())) * 100
    assert points[1] == pytest.approx(wanted)


def test_a_row_on_hold_moves_the_answer_as_far_as_working_it_out_with_the_row():
    row = {"question": 1, "site": "C", "plot": "2own", "date": pd.Timestamp("2025-07-08"), "row_id": 999}
    added = pd.DataFrame([row | {"marketable_weight": 3.0, "marketable_count": 9.0, "cull_weight": np.nan}])

    points = moved(Otherwise(about("C"), NOTHING, {"harvest": added}))

    more = pd.concat([harvest(), added], ignore_index=True)
    wanted = abs(np.exp(by_hand(more).mean()) - np.exp(by_hand(harvest()).mean())) * 100
    assert points[1] == pytest.approx(wanted)


def test_a_garden_that_would_fall_out_leaves_the_mean_of_the_others():
    rows = harvest().query("site == 'A'")["row_id"]
    without = pd.DataFrame({"question": 1, "kind": "harvest", "row_id": rows})

    points = moved(Otherwise(about("A"), without, {}))

    ratio = by_hand(harvest())
    wanted = abs(np.exp(ratio.drop("A").mean()) - np.exp(ratio.mean())) * 100
    assert points[1] == pytest.approx(wanted)


def test_a_garden_with_little_weight_moves_the_answer_little():
    row = harvest().query("site == 'B' and plot == '1graft'")["row_id"].iloc[2]
    without = pd.DataFrame({"question": [1], "kind": ["harvest"], "row_id": [row]})
    otherwise = Otherwise(about("B"), without, {})
    light = pd.Series({"A": 1.0, "B": 0.01, "C": 1.0, "D": 1.0}).to_numpy()
    assert moved(otherwise, light)[1] < moved(otherwise)[1] / 50


def test_questions_are_worked_out_side_by_side_as_alone():
    rows = harvest()["row_id"].iloc[[3, 30, 61]]
    sites = harvest()["site"].iloc[[3, 30, 61]].tolist()
    alone = [
        moved(
            Otherwise(about(site), pd.DataFrame({"question": [1], "kind": ["harvest"], "row_id": [row]}), {})
        )[1]
        for row, site in zip(rows, sites, strict=True)
    ]
    together = moved(
        Otherwise(
            pd.DataFrame({"question": [1, 2, 3], "site": sites}),
            pd.DataFrame({"question": [1, 2, 3], "kind": "harvest", "row_id": rows.to_numpy()}),
            {},
        )
    )
    assert together.tolist() == pytest.approx(alone)


@pytest.mark.parametrize(
    ("points", "word"), [(0.0, "small"), (0.24, "small"), (0.25, "some"), (1.0, "large"), (np.nan, None)]
)
def test_a_move_is_named_by_whole_points(points, word):
    assert size_of(points) == word
