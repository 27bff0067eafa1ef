"""What everybody may read of a closed season: rounded places, hidden gardens, the same answer."""

import numpy as np
import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish.place import public_places
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from pipeline.surroundings import read_surroundings
from pipeline.workspace import open_workspace
from sites.climate import at_garden
from sites.geography import public_place, read_counties
from sites.registry import read_registry

YIELD = "marketable_kg_per_plant"
AGREEMENTS = {"G02": "hidden", "G05": "county", "G07": "exact"}


@pytest.fixture(scope="module")
def workspace(tmp_path_factory):
    """A network of 12 gardens, one of them hidden and one known by its county alone, after its night."""
    truth = Truth(effects=(0.2, 0.07), slope_per_100_km=-0.03, tau=0.05, cv=0.1)
    made = simulate(
        tmp_path_factory.mktemp("public") / "net", Network(gardens=12, faults=0.0, truth=truth, seed=5)
    )
    registry = made.registry / "gardens.csv"
    gardens = pd.read_csv(registry, dtype="str")
    gardens["public_as"] = gardens["site"].map(AGREEMENTS)
    gardens["public_name"] = "Known to all"
    gardens.to_csv(registry, index=False)
    workspace = open_workspace(made.root)
    assert run_night(workspace).status == "published"
    return workspace


@pytest.fixture(scope="module")
def frames(workspace):
    engine = open_store(workspace.database_url)
    snapshot = newest_snapshot(engine)
    yield lambda name, season="2024": snapshot.frame(name, TRIAL, season)
    engine.dispose()


def test_every_public_position_stands_on_a_step_of_five_kilometres(frames):
    counties, band = frames("public_counties"), frames("public_band")
    for column in (counties["middle_km"], counties["across_km"], counties["axis_km"].dropna()):
        assert np.allclose(column % 5, 0)
    assert set(band.groupby("treatment")["at"].agg(["min", "max"]).to_numpy().ravel() % 5) == {0.0}


def test_the_public_answer_is_that_of_the_network(frames):
    public = frames("public_answer").set_index("treatment")
    network = frames("network")
    network = network[network["outcome"] == YIELD].set_index("treatment")
    for column in ("percent", "percent_low", "percent_high", "gardens"):
        pd.testing.assert_series_equal(public[column], network.loc[public.index, column])


def test_a_hidden_garden_counts_in_the_average_and_has_no_place(workspace, frames):
    about, counties = frames("public_trial").iloc[0], frames("public_counties")
    assert about["placed"] == about["gardens"] - 1
    one = counties[counties["treatment"] == frames("public_answer")["treatment"].iloc[0]]
    assert one["gardens"].sum() == about["placed"]
    assert frames("public_answer")["line_gardens"].tolist() == [about["placed"]] * 2


def test_the_line_is_fitted_through_the_rounded_places_by_an_independent_regression(workspace, frames):
    # Whatever variance lies between gardens, the slope is the weighted least squares with the weights
    # 1 / (variance + tau2) (Hedges & Olkin 1985, chapter 8), here by numpy over a range of tau2.
    axis = workspace.settings.axis
    places = public_place(
        read_registry(workspace.registry).gardens,
        read_counties(),
        axis.origin,
        axis.centre,
        axis.azimuth_deg,
    )
    effects = frames("effects").merge(places[["site", "axis_km"]], on="site")
    answer = frames("public_answer").iloc[0]
    own = effects[
        (effects["outcome"] == YIELD)
        & (effects["treatment"] == answer["treatment"])
        & effects["axis_km"].notna()
    ]
    slope = np.log1p(answer["slope_pct_per_100_km"] / 100) / 100

    def fitted(tau2: float) -> float:
        weights = 1 / np.sqrt(own["log_ratio_variance"] + tau2)
        return float(np.polyfit(own["axis_km"], own["log_ratio"], 1, w=weights)[0])

    among = [fitted(tau2) for tau2 in np.linspace(0, 0.2, 400)]
    assert min(among) - 1e-9 <= slope <= max(among) + 1e-9


def test_public_places_are_the_rounded_points_of_gardens_that_agreed(frames, workspace):
    shown = frames("public_places")
    gardens = read_registry(workspace.registry).gardens.set_index("site")
    assert len(shown) == frames("public_trial")["placed"].item() == len(gardens) - 1
    coarse = shown[shown["public_as"] == "coarse"]
    points = set(zip(coarse["lon"], coarse["lat"], strict=True))
    agreed = gardens.drop(list(AGREEMENTS))
    assert points == set(zip(agreed["lon"].round(1), agreed["lat"].round(1), strict=True))
    exact = shown[shown["public_as"] == "exact"]
    assert exact[["lon", "lat"]].to_numpy().tolist() == [gardens.loc["G07", ["lon", "lat"]].tolist()]
    assert shown.loc[shown["public_as"] == "county", "elevation_m"].isna().all()
    assert "site" not in shown
    assert np.allclose(shown["axis_km"] % 5, 0)
    assert np.allclose(shown["elevation_m"].dropna() % 50, 0)


def test_a_garden_whose_coordinates_cannot_be_used_has_no_public_place_either(workspace):
    around = read_surroundings(workspace)
    around.registry.gardens.loc[around.registry.gardens["site"] == "G01", "lon"] *= -1
    places = public_places(workspace, around).set_index("site")
    assert places.loc["G01", ["lon", "lat", "axis_km", "county_fips"]].isna().all()
    assert places.drop("G01").loc[["G03", "G07"], "lon"].notna().all()


def test_public_weather_is_that_of_the_public_point_and_height(frames, workspace):
    shown = frames("public_places")
    place = read_surroundings(workspace)
    one = shown[shown["public_as"] == "coarse"].iloc[0]
    trial = place.registry.trials.iloc[0]
    where = one[["lon", "lat", "elevation_m"]]
    days = at_garden(place.stations, place.daily, *where, trial["start"], trial["close"])
    # The night may take the west-to-east trend out, which moves a season's rain by some percent.
    assert one["rain_mm"] == pytest.approx(days["prcp_mm"].sum(), rel=0.25)
    assert shown[["degree_days_c", "rain_mm", "reference_et_mm"]].notna().all(axis=None)


def test_the_same_rounded_point_comes_out_on_every_night(workspace, frames):
    before = frames("public_places")
    assert run_night(workspace, rebuild=True).status == "published"
    engine = open_store(workspace.database_url)
    again = newest_snapshot(engine).frame("public_places", TRIAL, "2024")
    engine.dispose()
    pd.testing.assert_frame_equal(before, again)


def test_nothing_public_names_a_garden(frames):
    for name in ("public_trial", "public_answer", "public_counties", "public_band"):
        frame = frames(name)
        words = " ".join(frame.select_dtypes("str").fillna("").to_numpy().ravel())
        assert "G0" not in words
        assert "Known to all" not in words


def test_a_new_garden_is_told_by_the_line_only_within_it(frames):
    counties, band = frames("public_counties"), frames("public_band")
    answers = frames("public_answer").set_index("treatment")
    for name, rows in counties.groupby("treatment"):
        ends = band.loc[band["treatment"] == name, "at"].agg(["min", "max"])
        within = rows["middle_km"].between(*ends)
        told = bool(answers.loc[name, "is_slope_told"])
        assert set(rows.loc[~within, "basis"]) <= {"all gardens"}
        assert set(rows.loc[within, "basis"]) == {"line" if told else "all gardens"}
        rest = rows[rows["basis"] == "all gardens"]
        assert np.allclose(rest["expected"], answers.loc[name, "percent"])


def test_a_running_season_has_nothing_public(frames):
    assert frames("public_trial", "2025").empty
