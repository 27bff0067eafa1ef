"""Days are read as people and spreadsheets write them."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.intake.dates import read_date

SEASON = (date(2025, 5, 1), date(2025, 10, 15))


@pytest.mark.parametrize(
    "cell",
    [
        "2025-07-12",
        "2025-07-12 00:00:00",
        "2025-07-12T08:30",
        "7/12/2025",
        "07/12/25",
        "7.12.2025",
        "July 12, 2025",
        "Jul 12 2025",
        "12 Jul 2025",
        "12-Jul-25",
        "Sat, Jul 12, 2025",
        "12 de julio de 2025",
        "sábado 12 julio 2025",
        "2025/07/12",
        "20250712",
        "7/12",
        "Jul 12",
        "45850",
    ],
)
def test_one_day_is_read_from_many_ways_to_write_it(cell):
    assert read_date(cell, "mdy", [SEASON]).value == date(2025, 7, 12)


@pytest.mark.parametrize(
    ("serial", "first_system", "second_system"), [("45000", date(2023, 3, 15), date(2027, 3, 16))]
)
def test_a_spreadsheet_serial_is_a_day_of_one_of_two_systems(serial, first_system, second_system):
    # Day 45000 of the 1900 and of the 1904 date system; computed from the definition of the two systems.
    assert read_date(serial).value == first_system
    assert read_date(serial, seasons=[(date(2027, 1, 1), date(2027, 12, 31))]).value == second_system


def test_a_serial_out_of_every_season_is_no_day():
    assert read_date("45000", seasons=[SEASON]).how == "unreadable"


@pytest.mark.parametrize(("order", "day"), [("mdy", date(2025, 7, 8)), ("dmy", date(2025, 8, 7))])
def test_the_network_s_order_settles_a_day_with_two_readings(order, day):
    found = read_date("7/8/2025", order, [SEASON])
    assert found.value == day
    assert found.other is not None


def test_a_reading_out_of_season_gives_way_to_one_in_season():
    found = read_date("12/6/2025", "mdy", [SEASON])
    assert found.value == date(2025, 6, 12)
    assert found.settled == "season"


def test_a_day_that_only_exists_in_the_other_order_is_read_in_it():
    assert read_date("25/7/2025", "mdy").value == date(2025, 7, 25)


@pytest.mark.parametrize(
    "cell", ["2025-02-30", "30/2/2025", "13/13/2025", "soon", "7/12", "60", "July", "2025"]
)
def test_what_is_no_day_is_not_forced_into_one(cell):
    assert read_date(cell).how == "unreadable"


@given(st.dates(date(2000, 1, 1), date(2060, 12, 31)), st.sampled_from(["iso", "mdy", "dmy", "named"]))
def test_any_day_reads_back_from_each_way_to_write_it(day, form):
    written = {
        "iso": day.isoformat(),
        "mdy": f"{day.month}/{day.day}/{day.year}",
        "dmy": f"{day.day}/{day.month}/{day.year}",
        "named": f"{day:%B} {day.day}, {day.year}",
    }[form]
    assert read_date(written, "dmy" if form == "dmy" else "mdy").value == day


@given(st.text(max_size=30))
def test_no_cell_breaks_the_reading(cell):
    found = read_date(cell, "mdy", [SEASON])
    assert (found.value is None) == (found.how in ("blank", "unreadable"))
