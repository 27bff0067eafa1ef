"""Weather at a garden: inverse distance over the nearest stations that report (Shepard 1968), temperatures
moved with a fixed lapse rate. Numbers computed by hand from the stated formula."""

import numpy as np
import pandas as pd
import pytest
from pyproj import Geod

from sites.climate import Interpolation, at_garden, at_gardens, trend_of_record
from sites.errors import InputError

DAYS = pd.date_range("2025-07-01", periods=3)


def network(*rows):
    """Stations (name, lon, lat, elevation, tmax on each day), minimum 10 below, rain as many mm as the
    maximum."""
    stations = pd.DataFrame([row[:4] for row in rows], columns=["station", "lon", "lat", "elevation_m"])
    stations = stations.assign(name="", state="")
    daily = pd.concat(
        pd.DataFrame({"station": row[0], "date": DAYS, "tmax_c": np.array(row[4], dtype=float)})
        for row in rows
    )
    return stations, daily.assign(tmin_c=daily["tmax_c"] - 10.0, prcp_mm=daily["tmax_c"])


def days_at(stations, daily, lon=-98.0, lat=38.0, elevation_m=500.0, **options):
    return at_garden(stations, daily, lon, lat, elevation_m, DAYS[0], DAYS[-1], **options)


def test_a_value_is_the_mean_weighted_by_the_inverse_square_of_distance():
    stations, daily = network(("A", -98.0, 38.2, 500, [20, 20, 20]), ("B", -98.0, 37.6, 500, [30, 30, 30]))
    geod = Geod(ellps="GRS80")
    near, next_ = (geod.inv(-98.0, 38.0, -98.0, lat)[2] for lat in (38.2, 37.6))
    expected = (20 / near**2 + 30 / next_**2) / (1 / near**2 + 1 / next_**2)
    assert days_at(stations, daily)["tmax_c"].tolist() == pytest.approx([expected] * 3, abs=1e-4)


def test_temperatures_are_moved_to_the_gardens_height_and_rain_is_not():
    stations, daily = network(("A", -98.0, 38.0, 250, [28, 28, 28]))
    found = days_at(stations, daily, elevation_m=650.0, lapse_tmax=-6.5)
    assert found["tmax_c"].iloc[0] == pytest.approx(25.4, abs=1e-9)
    assert found["tmin_c"].iloc[0] == pytest.approx(18.0 - 4.5 * 0.4)
    assert found["prcp_mm"].iloc[0] == pytest.approx(28.0)


def test_a_garden_below_its_station_is_warmer():
    stations, daily = network(("A", -98.0, 38.0, 1000, [20, 20, 20]))
    assert days_at(stations, daily, elevation_m=700.0, lapse_tmax=-6.5)["tmax_c"].iloc[0] == pytest.approx(
        21.95
    )


def test_a_garden_of_unknown_height_takes_temperatures_as_they_are():
    stations, daily = network(("A", -98.0, 38.1, 250, [28, 28, 28]), ("B", -98.0, 37.9, 650, [24, 24, 24]))
    assert days_at(stations, daily, elevation_m=np.nan)["tmax_c"].iloc[0] == pytest.approx(26.0, abs=0.01)


def test_a_silent_station_is_replaced_by_the_next_that_reports():
    stations, daily = network(
        ("A", -98.0, 38.1, 500, [20, np.nan, 20]),
        ("B", -98.0, 37.7, 500, [24, 24, 24]),
        ("C", -98.0, 39.0, 500, [30, 30, 30]),
    )
    found = days_at(stations, daily, neighbours=1)
    assert found["tmax_c"].tolist() == pytest.approx([20.0, 24.0, 20.0])
    assert found["tmax_stations"].tolist() == ["A", "B", "A"]
    assert found["tmax_estimated"].tolist() == [False, True, False]


def test_the_stations_used_are_named_and_counted_with_their_distance():
    stations, daily = network(
        ("A", -98.0, 38.1, 500, [20, np.nan, 20]), ("B", -98.0, 37.7, 500, [24, 24, np.nan])
    )
    found = days_at(stations, daily)
    assert found["prcp_stations"].tolist() == ["A B", "B", "A"]
    assert found["prcp_stations_used"].tolist() == [2, 1, 1]
    assert found["prcp_nearest_km"].tolist() == pytest.approx([11.1, 33.3, 11.1], abs=0.05)


def test_a_day_is_estimated_where_others_carry_most_of_the_usual_weight():
    stations, daily = network(
        ("A", -98.0, 38.1, 500, [20, 20, np.nan]), ("B", -98.0, 37.8, 500, [24, np.nan, 24])
    )
    assert days_at(stations, daily)["tmax_estimated"].tolist() == [False, False, True]


def test_a_station_that_closed_long_ago_is_not_missed():
    stations, daily = network(("A", -98.0, 38.1, 500, [20, 20, 20]), ("B", -98.0, 37.7, 500, [24, 24, 24]))
    old = daily.assign(date=daily["date"] - pd.Timedelta(days=400))
    daily = pd.concat([daily[daily["station"] == "B"], old])
    assert not days_at(stations, daily)["tmax_estimated"].any()


@pytest.mark.parametrize(("lat", "far"), [(38.3, False), (38.4, True)])
def test_a_neighbour_over_40_kilometres_away_is_used_and_marked_far(lat, far):
    stations, daily = network(("A", -98.0, lat, 500, [20, 20, 20]))
    found = days_at(stations, daily)
    assert found["tmax_c"].notna().all()
    assert found["tmax_far"].tolist() == [far] * 3


def test_a_neighbour_over_300_metres_higher_is_marked_far():
    stations, daily = network(("A", -98.0, 38.1, 900, [20, 20, 20]))
    assert days_at(stations, daily, elevation_m=500.0)["tmax_far"].all()


def test_a_station_beyond_the_limit_is_refused():
    stations, daily = network(("A", -98.0, 40.5, 500, [20, 20, 20]))
    found = days_at(stations, daily)
    assert found[["tmax_c", "prcp_mm", "tmax_nearest_km"]].isna().all(axis=None)
    assert (found["tmax_stations_used"] == 0).all()
    assert days_at(stations, daily, limit_km=300)["tmax_c"].notna().all()


def test_days_outside_the_record_are_missing_and_not_made_up():
    stations, daily = network(("A", -98.0, 38.1, 500, [20, 20, 20]))
    found = at_garden(stations, daily, -98.0, 38.0, 500.0, "2025-06-30", "2025-07-05")
    assert found["tmax_c"].isna().tolist() == [True, False, False, False, True, True]


def test_a_garden_without_a_place_has_no_weather():
    stations, daily = network(("A", -98.0, 38.1, 500, [20, 20, 20]))
    assert days_at(stations, daily, lon=np.nan)["tmax_c"].isna().all()


def test_a_station_of_unknown_height_gives_rain_and_no_temperature():
    stations, daily = network(("A", -98.0, 38.1, np.nan, [20, 20, 20]), ("B", -98.0, 37.0, 500, [30, 30, 30]))
    found = days_at(stations, daily)
    assert found["tmax_stations"].unique().tolist() == ["B"]
    assert found["prcp_stations"].unique().tolist() == ["A B"]


def test_many_gardens_are_the_same_as_one_by_one(stations, daily):
    rng = np.random.default_rng(3)
    lon, lat, height = rng.uniform(-102, -95, 12), rng.uniform(37, 40, 12), rng.uniform(300, 1100, 12)
    together = at_gardens(stations, daily, lon, lat, height, "2024-06-01", "2024-08-31")
    for garden in range(12):
        alone = at_garden(
            stations, daily, lon[garden], lat[garden], height[garden], "2024-06-01", "2024-08-31"
        )
        pd.testing.assert_frame_equal(together.frame(garden), alone)


def test_arrays_of_gardens_give_one_frame_by_garden_and_date(stations, daily):
    found = at_garden(
        stations, daily, [-101.0, -96.0], [38.5, 38.5], [960.0, 370.0], "2024-06-01", "2024-06-03"
    )
    alone = at_garden(stations, daily, -96.0, 38.5, 370.0, "2024-06-01", "2024-06-03")
    assert found.index.names == ["garden", "date"]
    pd.testing.assert_frame_equal(found.loc[1], alone)


def test_a_station_gets_its_own_values_back(stations, daily):
    own = stations.iloc[5]
    found = at_garden(
        stations, daily, own["lon"], own["lat"], own["elevation_m"], "2024-05-01", "2024-05-31", neighbours=1
    )
    record = daily[daily["station"] == own["station"]].set_index("date")["tmax_c"].reindex(found.index)
    assert found["tmax_c"].where(record.notna()).to_numpy() == pytest.approx(record.to_numpy(), nan_ok=True)


def test_voted_rain_is_dry_where_most_of_the_weight_is(stations, daily):
    mean, voted = (
        at_garden(stations, daily, -97.6, 38.8, 373.0, "2024-05-01", "2024-09-30", rain=rain)
        for rain in ("mean", "vote")
    )
    assert (voted["prcp_mm"] >= 0.3).sum() < (mean["prcp_mm"] >= 0.3).sum()
    assert voted["prcp_mm"].sum() == pytest.approx(mean["prcp_mm"].sum(), rel=0.15)


def test_the_rescaling_of_voted_rain_comes_from_earlier_days(stations, daily):
    later = daily["date"] > "2024-09-30"
    changed = daily.assign(prcp_mm=daily["prcp_mm"].where(~later, 77.0))
    one, other = (
        at_garden(stations, each, -97.6, 38.8, 373.0, "2024-05-01", "2024-09-30", rain="vote")
        for each in (daily, changed)
    )
    assert one["prcp_mm"].tolist() == other["prcp_mm"].tolist()


def test_a_trend_must_be_fitted_with_the_estimates_lapse_rates(stations, daily):
    trend = trend_of_record(stations, daily, lapse_tmax=-5.0)
    with pytest.raises(InputError, match="Fit the trend again"):
        Interpolation(trend=trend)


def test_an_upside_down_window_is_refused(stations, daily):
    with pytest.raises(InputError, match="ends before it starts"):
        at_garden(stations, daily, -98.0, 38.0, 500.0, "2025-07-02", "2025-07-01")
