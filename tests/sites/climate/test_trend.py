import numpy as np
import pandas as pd
import pytest

from sites.climate import Interpolation, at_garden, trend_of_normals, trend_of_record
from sites.errors import InputError

DATES = np.array(["2025-01-15", "2025-07-15"], dtype="datetime64[D]")


def normals_on_a_plane(stations):
    """Normals that fall 1 °C for each degree to the east and 6 °C for each km of height, warmer by month."""
    rows = [
        (each.station, month, 20.0 - (each.lon + 98.0) - 6.0 * each.elevation_m / 1000 + month, 5.0, 60.0)
        for each in stations.itertuples()
        for month in range(1, 13)
    ]
    return pd.DataFrame(rows, columns=["station", "month", "tmax_c", "tmin_c", "prcp_mm"])


def test_a_plane_is_found_again_with_height_taken_out(stations):
    trend = trend_of_normals(stations, normals_on_a_plane(stations))
    assert trend.at("tmax_c", [-98.0, -97.0], [38.0, 39.0], DATES) == pytest.approx(
        np.array([[21, 27], [20, 26]])
    )


def test_the_trend_of_rain_is_one_plane_for_all_months(stations):
    trend = trend_of_normals(stations, normals_on_a_plane(stations))
    assert np.exp(trend.at("prcp_mm", [-98.0], [38.0], DATES)) == pytest.approx(np.array([[720 / 365.25]]))


def test_normals_of_thirty_years_and_the_record_tell_the_same_trend(stations, daily, sample_data):
    """The invented record and its normals come from one climate; their July planes differ by under 2 °C."""
    normals = pd.read_csv(sample_data / "climate" / "normals.csv")
    old, new = trend_of_normals(stations, normals), trend_of_record(stations, daily)
    lon, lat = [-101.0, -98.0, -95.0], [38.5, 38.5, 38.5]
    assert np.abs(old.at("tmax_c", lon, lat, DATES[1:]) - new.at("tmax_c", lon, lat, DATES[1:])).max() < 2.0


def test_at_a_station_the_trend_changes_nothing(stations, daily):
    own, trend = stations.iloc[4], trend_of_record(stations, daily)
    place = (own["lon"], own["lat"], own["elevation_m"], "2023-05-01", "2023-05-31")
    plain, detrended = (
        at_garden(stations, daily, *place, neighbours=1),
        at_garden(stations, daily, *place, neighbours=1, trend=trend),
    )
    near = plain["tmax_nearest_km"] < 1
    assert detrended["tmax_c"][near].to_numpy() == pytest.approx(plain["tmax_c"][near].to_numpy())


def test_a_trend_needs_four_stations(stations, daily):
    with pytest.raises(InputError, match="needs 4 stations"):
        trend_of_record(stations.head(3), daily)


def test_normals_without_a_column_are_refused(stations):
    with pytest.raises(InputError, match="no column tmin_c"):
        trend_of_normals(stations, normals_on_a_plane(stations).drop(columns="tmin_c"))


def test_the_default_method_is_a_without_a_trend():
    assert Interpolation() == Interpolation(4, 2.0, 250.0, -6.0, -4.5, None)
