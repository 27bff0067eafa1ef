"""Weather files. Layouts and flags: GHCN-Daily readme (sections III and by_station): tenths of °C and mm,
-9999 missing, values with a quality flag failed a check, measurement flag T is a trace."""

import gzip
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from sites.climate import read_daily, read_values, set_aside
from sites.errors import InputError

HEADER = "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
ROWS = "ZZ0,20250701,TMAX,331,,,V,2400\nZZ0,20250701,TMIN,-22,,,V,2400\nZZ0,20250701,PRCP,254,,,V,2400\n"


@pytest.fixture
def record(tmp_path):
    def write(text, name="ZZ0.csv"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return write


def dly_line(element, values, month=7, year=2025):
    fields = [
        f"{values.get(day, (-9999,))[0]:5d}{''.join(values.get(day, (0, '   '))[1])}" for day in range(1, 32)
    ]
    return f"ZZ000000001{year}{month:02}{element}" + "".join(fields) + "\n"


def one_day(path):
    return read_daily(path).iloc[0]


@pytest.mark.parametrize("header", [HEADER, HEADER.replace("DATA_VALUE", "VALUE"), ""])
def test_a_by_station_file_is_read_with_either_header_or_none(record, header):
    day = one_day(record(header + ROWS))
    assert (day["station"], day["date"]) == ("ZZ0", pd.Timestamp("2025-07-01"))
    assert (day["tmax_c"], day["tmin_c"], day["prcp_mm"]) == (33.1, -2.2, 25.4)


def test_a_packed_file_is_read_as_it_is(record):
    assert one_day(record(gzip.compress((HEADER + ROWS).encode()), "ZZ0.csv.gz"))["tmax_c"] == 33.1


def test_windows_line_ends_change_nothing(record):
    assert one_day(record((HEADER + ROWS).replace("\n", "\r\n")))["prcp_mm"] == 25.4


def test_a_missing_value_is_never_minus_999_degrees(record):
    day = one_day(record(HEADER + ROWS.replace("331", "-9999")))
    assert np.isnan(day["tmax_c"])


def test_a_value_with_a_quality_flag_is_dropped_and_counted(record):
    day = one_day(record(HEADER + ROWS.replace("331,,,", "331,,S,")))
    assert np.isnan(day["tmax_c"])
    assert day["set_aside"] == 1


def test_a_trace_is_no_rain_and_is_kept_apart(record):
    day = one_day(record(HEADER + ROWS.replace("PRCP,254,,", "PRCP,0,T,")))
    assert day["prcp_mm"] == 0.0
    assert day["prcp_trace"]


def test_the_rain_of_several_days_is_no_days_rain(record):
    path = record(HEADER + ROWS.replace("PRCP,254", "MDPR,254") + "ZZ0,20250701,DAPR,3,,,V,\n")
    assert np.isnan(one_day(path)["prcp_mm"])
    values = read_values(path)
    assert values.loc[values["element"] == "DAPR", "value"].tolist() == [3]
    assert set_aside(values)["why"].tolist() == ["several days", "several days"]


def test_a_reading_at_seven_reports_yesterdays_maximum_and_rain(record):
    found = read_daily(record(HEADER + ROWS.replace("2400", "0700"))).set_index("date")
    assert found.loc["2025-06-30", "tmax_c"] == 33.1
    assert found.loc["2025-06-30", "prcp_mm"] == 25.4
    assert found.loc["2025-07-01", "tmin_c"] == -2.2
    assert np.isnan(found.loc["2025-07-01", "tmax_c"])


@pytest.mark.parametrize("hour", ["1700", "2400", "0000", "1200", ""])
def test_a_reading_in_the_afternoon_or_at_midnight_stays_on_its_day(record, hour):
    found = read_daily(record(HEADER + ROWS.replace("2400", hour)))
    assert found["date"].tolist() == [pd.Timestamp("2025-07-01")]


def test_where_the_hour_changed_the_reading_that_was_not_moved_counts(record):
    text = HEADER + "ZZ0,20250701,TMAX,300,,,V,2400\nZZ0,20250702,TMAX,200,,,V,0700\n"
    assert one_day(record(text))["tmax_c"] == 30.0


def test_of_two_files_with_the_same_day_the_later_counts(record):
    first = record(HEADER + ROWS, "a.csv")
    second = record(HEADER + ROWS.replace("331", "340"), "b.csv")
    assert read_daily([first, second]).loc[0, "tmax_c"] == 34.0
    assert read_daily([second, first]).loc[0, "tmax_c"] == 33.1


def test_a_folder_stands_for_its_files(record, tmp_path):
    record(HEADER + ROWS, "a.csv")
    record(HEADER + ROWS.replace("ZZ0", "ZZ1"), "b.csv")
    assert read_daily(tmp_path)["station"].tolist() == ["ZZ0", "ZZ1"]


def test_a_note_in_the_folder_is_left_alone(record, tmp_path):
    record(HEADER + ROWS, "a.csv")
    record("what these files are", "README.md")
    record("left by a program", "._a.csv")
    assert len(read_daily(tmp_path)) == 1


def test_elements_that_are_not_needed_are_not_read(record):
    values = read_values(record(HEADER + ROWS + "ZZ0,20250701,SNWD,100,,,V,\n"))
    assert set(values["element"]) == {"TMAX", "TMIN", "PRCP"}


def test_day_31_of_a_dly_record_stands_in_columns_262_to_266(record):
    """Counted from one: 21 characters of key, then 31 fields of 8, of which 5 are the value."""
    line = dly_line("TMAX", {31: (305, "   ")})
    assert line[261:266] == "  305"
    found = read_daily(record(line, "ZZ0.dly")).set_index("date")
    assert found.loc["2025-07-31", "tmax_c"] == 30.5


def test_a_dly_record_has_269_characters(record):
    assert len(dly_line("TMAX", {}).rstrip("\n")) == 269


def test_a_dly_file_keeps_flags_and_leaves_out_days_that_do_not_exist(record):
    text = dly_line("PRCP", {1: (0, "T  "), 2: (254, "   "), 3: (999, " X ")}, month=2)
    found = read_daily(record(text, "ZZ0.dly")).set_index("date")
    assert found.index.max() == pd.Timestamp("2025-02-28")
    assert found.loc["2025-02-01", "prcp_trace"]
    assert found.loc["2025-02-02", "prcp_mm"] == 25.4
    assert np.isnan(found.loc["2025-02-03", "prcp_mm"])


def test_by_station_and_dly_give_the_same_table(record):
    dly = (
        dly_line("TMAX", {1: (331, "  V")})
        + dly_line("TMIN", {1: (-22, "  V")})
        + dly_line("PRCP", {1: (254, "  V")})
    )
    columns = ["date", "tmax_c", "tmin_c", "prcp_mm", "prcp_trace", "set_aside"]
    by_station, fixed = one_day(record(HEADER + ROWS)), one_day(record(dly, "ZZ0.dly"))
    assert by_station[columns].tolist() == fixed[columns].tolist()


def test_a_plain_table_in_us_units_is_read(record):
    found = read_daily(
        record("date,tmax_f,tmin_f,prcp_in\n2025-07-01,86,59,1.00\n2025-07-02,,,T\n", "porch.csv")
    )
    assert found["station"].tolist() == ["porch", "porch"]
    assert found.loc[0, ["tmax_c", "tmin_c", "prcp_mm"]].tolist() == pytest.approx([30.0, 15.0, 25.4])
    assert found["prcp_trace"].tolist() == [False, True]
    assert np.isnan(found.loc[1, "tmax_c"])


def test_a_plain_table_may_tell_station_and_hour(record):
    text = "station,date,tmax_c,obs_time\nA,2025-07-02,30.0,0700\nB,2025-07-02,31.0,1700\n"
    found = read_daily(record(text))
    assert found["date"].dt.day.tolist() == [1, 2]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("site,plot,date\nG1,A1,2025-07-01\n", "no daily weather record"),
        ("date,tmax_c\n2025-07-01,warm\n", "line 2, tmax_c: 'warm' is no number"),
        ("date,tmax_c\n1/7/2025,30\n", "'1/7/2025' is no date"),
        ("ID,DATE,ELEMENT,Q_FLAG\nZZ0,20250701,TMAX,\n", "no column VALUE"),
        (HEADER + "ZZ0,20250701,TMAX\n", "breaks off"),
        (b"\xff\xfe\x00", "cannot be read as text"),
    ],
)
def test_a_file_that_cannot_be_read_says_why(record, text, complaint):
    with pytest.raises(InputError, match=complaint):
        read_daily(record(text))


def test_a_file_that_is_not_there_and_an_empty_folder_are_named(tmp_path):
    with pytest.raises(InputError, match="Check the name"):
        read_daily(tmp_path / "none.csv")
    with pytest.raises(InputError, match="no weather file"):
        read_daily(tmp_path)


def test_the_demo_record_has_the_gaps_and_flags_that_were_put_there(daily):
    """The demo record: 114 flagged values; missing of 14 stations by 1,096 days 2.6, 2.3 and 3.4 % within
    service."""
    assert daily["set_aside"].sum() == 114
    assert daily["station"].nunique() == 14
    assert daily["prcp_trace"].sum() == 162
    values = daily.set_index("station").loc["ZZ0LGR00005"]
    assert values[values["date"].between("2024-06-10", "2024-07-26")]["tmax_c"].isna().all()


def test_thirty_years_of_a_fixed_width_record_are_read_whole(record):
    text = "".join(
        dly_line("TMAX", {day: (day, "   ") for day in range(1, 32)}, month, year)
        for year in range(1991, 2021)
        for month in range(1, 13)
    )
    found = read_daily(record(text, "ZZ0.dly"))
    assert len(found) == 10_958
    assert found["tmax_c"].notna().all()


def test_a_real_record_in_a_plain_table_is_read_whole():
    """Champion, Nebraska, 2014-2018; reference/weather tells where it comes from."""
    path = Path(__file__).parents[2] / "reference" / "weather" / "champion_ne_2014_2018.csv"
    found = read_daily(path)
    assert found["station"].unique().tolist() == ["champion_ne_2014_2018"]
    assert len(found) == 1826
    assert found["tmax_c"].iloc[0] == -0.39
    assert (found["tmax_c"] >= found["tmin_c"]).all()
