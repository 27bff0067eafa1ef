"""Records written back and joined. Layouts: GHCN-Daily readme (sections III, IV, VII and by_station). That
daily records are revised for 45 to 60 days: common practice, no source."""

import pandas as pd
import pytest

from sites.climate import read_daily, read_inventory, read_stations, read_values
from sites.climate.writing import by_station_text, inventory_text, joined, stations_text
from sites.errors import InputError

HEADER = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
ROWS = (
    "ZZ0,20250701,TMAX,331,,,V,0700\nZZ0,20250701,TMIN,-22,,,V,0700\nZZ0,20250701,PRCP,0,T,,V,0700\n"
    "ZZ0,20250702,TMAX,290,,I,V,\nZZ0,20250702,PRCP,-9999,,,V,\nZZ0,20250703,DAPR,3,,,V,\n"
)


@pytest.fixture
def values(tmp_path):
    def read(text, name="ZZ0.csv"):
        (tmp_path / name).write_text(text)
        return read_values(tmp_path / name)

    return read


def of_days(*days, value=300, element="TMAX"):
    return HEADER + "".join(f"ZZ0,{day:%Y%m%d},{element},{value},,,V,\n" for day in days)


def test_what_is_written_reads_back_the_same(values, tmp_path):
    once = values(HEADER + ROWS)
    (tmp_path / "again.csv").write_text(by_station_text(once))
    again = read_values(tmp_path / "again.csv")
    pd.testing.assert_frame_equal(again, once, check_categorical=False)
    pd.testing.assert_frame_equal(
        read_daily(tmp_path / "again.csv"), read_daily(tmp_path / "ZZ0.csv"), check_categorical=False
    )


def test_new_days_are_added_and_revised_ones_replaced(values):
    held = values(of_days(*pd.date_range("2025-07-01", "2025-07-10"), value=300))
    found = joined(held, values(of_days(*pd.date_range("2025-07-08", "2025-07-12"), value=310), "new.csv"))
    assert (found.new, found.changed, found.withdrawn) == (2, 3, 0)
    by_day = found.record.set_index("date")["value"]
    assert by_day["2025-07-07"] == 30.0
    assert (by_day["2025-07-08":] == 31.0).all()


def test_a_value_that_the_source_withdrew_in_the_last_sixty_days_goes(values):
    days = pd.date_range("2025-01-01", "2025-07-31")
    held = values(of_days(*days))
    lacking = [day for day in days if day not in pd.to_datetime(["2025-02-10", "2025-07-20"])]
    found = joined(held, values(of_days(*lacking), "new.csv"))
    assert found.withdrawn == 1
    left = set(found.record["date"])
    assert pd.Timestamp("2025-02-10") in left
    assert pd.Timestamp("2025-07-20") not in left


def test_an_element_that_did_not_come_is_left_alone(values):
    days = pd.date_range("2025-07-01", "2025-07-10")
    held = values(of_days(*days, element="PRCP"))
    assert joined(held, values(of_days(*days), "new.csv")).withdrawn == 0


def test_the_same_record_again_changes_nothing(values):
    once = values(HEADER + ROWS)
    found = joined(once, once)
    assert (found.new, found.changed, found.withdrawn) == (0, 0, 0)


def test_a_station_list_reads_back_the_same(stations, tmp_path):
    (tmp_path / "stations.txt").write_text(stations_text(stations))
    pd.testing.assert_frame_equal(read_stations(tmp_path / "stations.txt"), stations)


def test_a_station_of_unknown_height_stays_so(stations, tmp_path):
    (tmp_path / "stations.txt").write_text(stations_text(stations.assign(elevation_m=float("nan"))))
    assert read_stations(tmp_path / "stations.txt")["elevation_m"].isna().all()


def test_a_name_that_the_list_has_no_room_for_is_refused(stations):
    with pytest.raises(InputError, match="more than 11 characters"):
        stations_text(stations.assign(station="A-VERY-LONG-NAME"))


def test_an_inventory_reads_back_the_same(tmp_path):
    path = tmp_path / "inventory.txt"
    path.write_text("ZZ0LGR00001  39.4200 -101.8000 TMAX 1990 2025\n")
    assert inventory_text(read_inventory(path)) == path.read_text()
