"""What of a record is believed, and by which method it is carried. Figures of left-out stations of the
invented network: reckoned apart with geopandas and numpy when the network was made (A 1.75 and 1.24 °C,
B 1.70 and 1.16 °C at maximum and minimum)."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import Interpolation, judged_record, read_normals
from sites.errors import InputError

SINCE = "2023-01-01"


@pytest.fixture(scope="module")
def normals(sample_data):
    return read_normals(sample_data / "climate" / "normals.csv")


@pytest.fixture(scope="module")
def judged(stations, daily, normals):
    return judged_record(stations, daily, Interpolation(), SINCE, normals)


def network_mae(record, method):
    errors = record.errors[(record.errors["method"] == method) & (record.errors["group"] == "network")]
    return errors.set_index("element")["mae"]


def test_the_method_with_the_smaller_error_is_used_and_named(judged):
    assert judged.method_name == "B"
    assert judged.method.trend is not None
    assert set(judged.errors.loc[judged.errors["used"], "method"]) == {"B"}


def test_errors_of_both_methods_equal_those_reckoned_apart(judged):
    assert network_mae(judged, "A")[["tmax_c", "tmin_c"]].tolist() == pytest.approx([1.75, 1.24], abs=0.02)
    assert network_mae(judged, "B")[["tmax_c", "tmin_c"]].tolist() == pytest.approx([1.70, 1.16], abs=0.02)


def test_errors_are_told_for_the_network_its_seasons_and_its_stations(judged, stations):
    groups = judged.errors[judged.errors["method"] == "B"].groupby("group")["name"].agg(set)
    assert groups["season"] == {"winter", "spring", "summer", "autumn"}
    assert groups["station"] == set(stations["station"])


def test_without_any_past_years_the_nearest_are_averaged(stations, daily):
    record = judged_record(stations, daily, Interpolation(), SINCE)
    assert (record.method_name, set(record.errors["method"])) == ("A", {"A"})


def test_without_normals_the_trend_comes_from_the_years_before(stations, daily):
    assert judged_record(stations, daily, Interpolation(), "2025-01-01").method_name == "B"


def test_with_few_stations_there_is_no_trend_to_leave_one_out_of(stations, daily, normals):
    record = judged_record(stations.head(4), daily, Interpolation(), SINCE, normals)
    assert record.method_name == "A"


def test_a_station_in_fahrenheit_is_left_out_for_its_year_only(stations, daily, normals):
    name = stations["station"].iloc[5]
    wrong = daily.copy()
    own = (wrong["station"].astype("str") == name) & (wrong["date"].dt.year == 2024)
    for column in ("tmax_c", "tmin_c"):
        wrong[column] = wrong[column].mask(own, wrong[column] * 1.8 + 32)
    record = judged_record(stations, wrong, Interpolation(), SINCE, normals)
    found = record.doubts[record.doubts["doubt"] == "fahrenheit"]
    assert found[["station", "year"]].drop_duplicates().to_numpy().tolist() == [[name, 2024]]
    mine = record.daily[record.daily["station"].astype("str") == name].set_index("date")
    assert mine.loc["2024", ["tmax_c", "tmin_c"]].isna().all(axis=None)
    assert mine.loc["2023", "tmax_c"].notna().any()
    assert mine.loc["2024", "prcp_mm"].notna().any()


def test_the_record_that_was_handed_over_stays_as_it_is(stations, daily, normals):
    before = daily.copy()
    judged_record(stations, daily, Interpolation(), SINCE, normals)
    pd.testing.assert_frame_equal(daily, before)


def test_stations_without_a_record_are_no_neighbours(stations, daily, normals):
    extra = stations.head(1).assign(station="ZZ0NOTHING1")
    record = judged_record(
        pd.concat([stations, extra], ignore_index=True), daily, Interpolation(), SINCE, normals
    )
    assert "ZZ0NOTHING1" not in set(record.stations["station"])


def test_an_empty_record_has_nothing_to_judge(stations, daily):
    record = judged_record(stations, daily.iloc[:0], Interpolation(), SINCE)
    assert record.stations.empty
    assert record.errors.empty
    assert record.doubts.empty


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("station,month\nK1,1\n", "no column tmax_c"),
        ("station,month,tmax_c,tmin_c,prcp_mm\nK1,13,1,1,1\n", "line 2, month"),
        ("station,month,tmax_c,tmin_c,prcp_mm\nK1,1,warm,1,1\n", "line 2, tmax_c"),
    ],
)
def test_normals_that_cannot_be_read_say_where(tmp_path, text, complaint):
    (tmp_path / "normals.csv").write_text(text)
    with pytest.raises(InputError, match=complaint):
        read_normals(tmp_path / "normals.csv")


def test_a_blank_normal_is_missing(tmp_path):
    (tmp_path / "normals.csv").write_text("station,month,tmax_c,tmin_c,prcp_mm\nK1,1,,1,1\n")
    assert np.isnan(read_normals(tmp_path / "normals.csv")["tmax_c"].item())
