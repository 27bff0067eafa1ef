"""Notes of a season. Floods: Nebraska Extension (90 days) and 7 CFR 205.203 (120 days). Heat: National
Weather Service. Lead: U.S. EPA directives of January 2024 (200 mg/kg) and October 2025 (600 mg/kg)."""

import numpy as np
import pandas as pd
import pytest

from sites.crops import read_crops
from sites.season_notes import (
    LOCAL_RULES_FIRST,
    NOTE_COLUMNS,
    GardenDays,
    chill_notes,
    flood_note,
    fruit_set_notes,
    hardening_notes,
    heat_band,
    heat_notes,
    lead_band,
    lead_notes,
    transplanting_notes,
    warm_soil_notes,
)

TOMATO = read_crops().loc["tomato-slicing"]


def at_garden(tmax, tmin, start="2025-06-01", days=60):
    dates = np.arange(np.datetime64(start), np.datetime64(start) + days)
    shape = (1, days)
    return GardenDays(pd.Series(["K1"]), dates, np.full(shape, float(tmax)), np.full(shape, float(tmin)))


def day_of(days, date):
    return int(np.flatnonzero(days.dates == np.datetime64(date))[0])


def test_safe_planting_dates_are_the_even_and_the_one_in_ten_chance():
    risk = pd.DataFrame({"last_spring_50": [110.0, np.nan], "last_spring_10": [121.9, np.nan]})
    notes = transplanting_notes(pd.Series(["K1", "K2"]), risk, 2026)
    assert notes["site"].tolist() == ["K1", "K1"]
    assert notes["number"].tolist() == [50, 10]
    assert notes["from_date"].dt.strftime("%m-%d").tolist() == ["04-20", "05-02"]


def test_hardening_off_begins_a_week_before_planting():
    notes = hardening_notes(pd.Series(["K1", "K2"]), pd.Series(["2026-05-10", None]))
    assert notes["from_date"].tolist() == [pd.Timestamp("2026-05-03")]
    assert notes["to_date"].tolist() == [pd.Timestamp("2026-05-10")]


def test_warm_nights_at_flowering_are_counted_45_days_before_the_first_harvest():
    """40 to 50 days from flower to ripe fruit: common practice, no source."""
    days = at_garden(34, 20)
    days.tmin_c[0, day_of(days, "2025-06-10") : day_of(days, "2025-06-15")] = 25.0
    notes = fruit_set_notes(days, TOMATO, pd.Series(["2025-08-08"])).set_index("code")
    assert notes.loc["flowers-warm-nights-severe", "number"] == 4
    assert notes.loc["flowers-hot-days", "number"] == 14
    assert notes.loc["flowers-hot-days", "from_date"] == pd.Timestamp("2025-06-11")
    assert "flowers-cold-nights" not in notes.index


def test_mild_weather_at_flowering_makes_no_note():
    assert fruit_set_notes(at_garden(25, 16), TOMATO, pd.Series(["2025-08-08"])).empty


def test_a_garden_that_has_not_harvested_hears_nothing_of_its_flowers():
    assert fruit_set_notes(at_garden(40, 30), TOMATO, pd.Series([pd.NaT])).empty


def test_soil_is_warm_once_eleven_days_of_air_were():
    """Eleven days: Zheng, Hunt & Running 1993, from memory; 60 °F: common practice, no source."""
    days = at_garden(15, 5, start="2025-01-01", days=120)
    days.tmax_c[0, 90:], days.tmin_c[0, 90:] = 22.0, 12.0
    notes = warm_soil_notes(days)
    mean = np.r_[np.full(90, 10.0), np.full(30, 17.0)]
    first = next(day for day in range(10, 120) if mean[day - 10 : day + 1].mean() >= 15.6)
    assert notes["from_date"].tolist() == [pd.Timestamp("2025-01-01") + pd.Timedelta(days=first)]


def test_soil_that_has_not_warmed_or_is_not_known_gives_no_date():
    assert warm_soil_notes(at_garden(15, 5, days=40)).empty
    assert warm_soil_notes(at_garden(np.nan, np.nan, days=40)).empty
    assert warm_soil_notes(at_garden(30, 20, days=5)).empty


def test_cold_nights_after_planting_are_counted():
    days = at_garden(20, 12)
    days.tmin_c[0, 3:7] = 8.0
    notes = chill_notes(days, pd.Series(["2025-06-01"]))
    assert notes[["code", "number"]].to_numpy().tolist() == [["chill-after-planting", 4.0]]
    assert chill_notes(days, pd.Series(["2025-06-20"])).empty


def test_fruit_set_after_a_flood_waits_90_days():
    note = flood_note("K1", "2026-07-01", "off the soil", formed="after").iloc[0]
    assert (note["code"], note["from_date"]) == ("flood-wait", pd.Timestamp("2026-09-29"))


def test_what_touches_the_soil_waits_120_days_and_what_was_flooded_is_discarded():
    assert flood_note("K1", "2026-07-01", "on the soil", "after")["from_date"].item() == pd.Timestamp(
        "2026-10-29"
    )
    assert flood_note("K1", "2026-07-01", "off the soil", "before")["code"].item() == "flood-discard"


@pytest.mark.parametrize(
    ("index_f", "band"),
    [
        (79.9, "none"),
        (80, "caution"),
        (90, "extreme caution"),
        (103, "danger"),
        (125, "extreme danger"),
        (np.nan, "none"),
    ],
)
def test_heat_index_bands_of_the_weather_service(index_f, band):
    assert heat_band(index_f) == band


def test_a_network_may_set_other_heat_bands():
    assert heat_band(104, bands=((80.0, "caution"), (105.0, "danger"))) == "caution"


def test_the_hottest_of_past_days_is_noted_with_its_index():
    days = at_garden(20, 10, days=3)
    days.tmax_c[0, 1], days.tmin_c[0, 1] = 34.0, 20.0
    notes = heat_notes(days)
    assert notes["from_date"].tolist() == [pd.Timestamp("2025-06-02")]
    assert notes["code"].tolist() == ["heat-extreme-caution"]
    assert 90 <= notes["number"].item() < 103


def test_days_without_weather_are_never_hot():
    assert heat_notes(at_garden(np.nan, np.nan)).empty


@pytest.mark.parametrize(
    ("lead", "band"),
    [
        (99, "no text"),
        (100, "good practice"),
        (150, "good practice"),
        (250, "above screening"),
        (700, "above removal"),
        (np.nan, "no text"),
    ],
)
def test_lead_bands_trigger_a_closer_look_and_never_say_safe(lead, band):
    assert lead_band(lead) == band
    assert "safe" not in band


def test_the_highest_lead_of_the_newest_test_is_noted():
    tests = pd.DataFrame(
        {
            "site": ["K1", "K1", "K1", "K2"],
            "date": ["2024-04-01", "2025-04-01", "2025-04-01", "2025-04-01"],
            "lead_ppm": [700.0, 120.0, 250.0, 30.0],
        }
    )
    notes = lead_notes(tests)
    assert notes[["site", "code", "number"]].to_numpy().tolist() == [["K1", "lead-above-screening", 250.0]]


def test_every_note_has_the_same_columns_and_defers_to_local_rules():
    tables = [
        flood_note("K1", "2026-07-01", "off the soil", "after"),
        hardening_notes(pd.Series(["K1"]), pd.Series(["2026-05-10"])),
        heat_notes(at_garden(36, 22)),
        fruit_set_notes(at_garden(36, 22), TOMATO, pd.Series(["2025-08-08"])),
        chill_notes(at_garden(20, 5), pd.Series(["2025-06-01"])),
        warm_soil_notes(at_garden(25, 15)),
    ]
    for table in tables:
        assert len(table)
        assert tuple(table.columns) == NOTE_COLUMNS
        assert (table["defer"] == LOCAL_RULES_FIRST).all()
