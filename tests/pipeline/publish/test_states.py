"""The state of a garden is what somebody must act on first."""

from datetime import date

import pandas as pd
import pytest

from pipeline.publish.states import garden_states, state_of_trial, weeks

DAY = pd.Timestamp
NO_ABSENCE = pd.DataFrame({"site": [], "from": pd.to_datetime([]), "to": pd.to_datetime([])})
PLOTS = pd.DataFrame({"site": ["G01"], "pickings_expected": [3], "pickings_received": [3]})


def pickings(*days):
    return pd.DataFrame({"site": ["G01"] * len(days), "date": pd.to_datetime(list(days))}).astype(
        {"date": "datetime64[us]"}
    )


def state(picked=(), *, levels=(), tonight="2025-08-20", status="active", absences=NO_ABSENCE):
    findings = pd.DataFrame({"site": ["G01"] * len(levels), "level": list(levels)}, dtype="str")
    gardens = pd.DataFrame({"site": ["G01"], "status": [status]})
    table = garden_states(
        PLOTS,
        gardens,
        pickings(*picked),
        findings,
        pd.Series(dtype="datetime64[us]"),
        absences,
        start=DAY("2025-05-10"),
        close=DAY("2025-10-05"),
        tonight=DAY(tonight),
        late_days=14,
    )
    return table.loc[0, "state"]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        ({"picked": ["2025-08-18"]}, "in step"),
        ({"picked": ["2025-08-01"]}, "late"),
        ({"picked": ["2025-08-18"], "levels": ["question"]}, "question"),
        ({"picked": ["2025-08-18"], "levels": ["question", "held"]}, "held"),
        ({"picked": ["2025-08-01"], "levels": ["held"]}, "late"),
        ({"tonight": "2025-07-01"}, "not yet picked"),
        ({"tonight": "2025-09-01"}, "late"),
        ({"picked": ["2025-08-01"], "status": "paused"}, "resting"),
        ({"picked": ["2025-08-18"], "tonight": "2025-11-01"}, "closed"),
    ],
)
def test_a_garden_is_in_the_state_that_comes_first(given, expected):
    assert state(**given) == expected


def test_inside_an_absence_nothing_is_late():
    away = pd.DataFrame({"site": ["G01"], "from": [DAY("2025-08-05")], "to": [DAY("2025-08-25")]})
    assert state(["2025-08-01"], absences=away) == "resting"


def test_weeks_are_sent_part_missing_absent_or_early():
    away = pd.DataFrame({"site": ["G01"], "from": [DAY("2025-08-11")], "to": [DAY("2025-08-17")]})
    grid = weeks(
        ["G01"],
        pickings("2025-07-15", "2025-07-22", "2025-08-19"),
        pickings("2025-07-23"),
        away,
        start=DAY("2025-07-07"),
        until=DAY("2025-08-20"),
    )
    assert grid["state"].tolist() == ["early", "sent", "part", "missing", "missing", "absent", "sent"]
    assert grid["week"].iloc[0] == DAY("2025-07-07")


def test_before_anybody_picked_every_week_is_early():
    grid = weeks(
        ["G01"], pickings(), pickings(), NO_ABSENCE, start=DAY("2025-05-10"), until=DAY("2025-06-10")
    )
    assert set(grid["state"]) == {"early"}


@pytest.mark.parametrize(
    ("tonight", "expected"),
    [
        (date(2025, 5, 9), "planned"),
        (date(2025, 5, 10), "running"),
        (date(2025, 10, 5), "running"),
        (date(2025, 10, 6), "closed"),
    ],
)
def test_a_trial_is_closed_from_the_day_after_its_closing_day(tonight, expected):
    assert state_of_trial(date(2025, 5, 10), date(2025, 10, 5), tonight) == expected


def test_a_week_begins_on_monday_also_over_the_turn_of_a_year():
    # ISO 8601: Monday 2025-12-29 is the first day of week 1 of 2026.
    assert DAY("2025-12-29").isocalendar() == (2026, 1, 1)
    picked = pickings("2025-12-28", "2026-01-04")
    found = weeks(
        ["G01"],
        picked,
        pickings()[:0],
        NO_ABSENCE,
        start=DAY("2025-12-22"),
        until=DAY("2026-01-04"),
    )
    assert found["week"].tolist() == [DAY("2025-12-22"), DAY("2025-12-29")]
    assert found["state"].tolist() == ["sent", "sent"]
