"""Areas under the disease progress curve and class scales, against printed and computed values."""

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pipeline.response.disease import (
    HORSFALL_BARRATT_MIDPOINTS_PCT,
    audpc,
    audps,
    carry_deaths,
    disease_progress,
    disease_severity_index,
    horsfall_barratt_midpoint,
    relative_audpc,
)
from sites.errors import InputError
from tests.reference import values
from tests.reference.groups import HELD

PLOT, GARDEN = ["site", "plot"], ["site"]


def series(pairs):
    days, severity = zip(*pairs, strict=True)
    return list(days), list(severity)


@st.composite
def curves(draw):
    gaps = draw(st.lists(st.floats(0.5, 20), min_size=1, max_size=8))
    days = np.cumsum([draw(st.floats(0, 200)), *gaps])
    severity = draw(st.lists(st.floats(0, 100), min_size=len(days), max_size=len(days)))
    return days, np.array(severity)


# Source: tests/reference, plots made up and areas summed in R.
def test_areas_meet_the_reference_values():
    found = {}
    ((dataset, pattern),) = HELD["disease"]
    for plot, rows in values.data(dataset).groupby("plot"):
        days, severity = rows["day"].to_numpy(), rows["severity_percent"].to_numpy()
        area = audpc(days, severity)
        found |= {
            f"{plot}.audpc": area,
            f"{plot}.relative_audpc": relative_audpc(days, severity),
            f"{plot}.audps": audps(days, severity),
            f"{plot}.mean_severity": area / (days[-1] - days[0]),
        }
    assert values.compare(dataset, found, pattern) == []


# Sources: first row, worked example of the APS Education Center's pages on disease progress; second row,
# the example of the R package agricolae's manual, from memory; third row by hand.
@pytest.mark.parametrize(
    ("days", "severity", "area"),
    [
        ([0, 2, 5, 6], [1, 2, 7, 7.5], 23.75),
        ([14, 21, 28], [40, 80, 90], 1015),
        ([0, 7, 14, 21, 28], [0, 5, 15, 40, 65], 647.5),
    ],
)
def test_printed_examples_of_the_area_are_met(days, severity, area):
    assert audpc(days, severity) == pytest.approx(area, abs=1e-9)


# Source: by hand from the definitions in Shaner & Finney 1977 and Simko & Piepho 2012.
def test_the_stairs_and_the_relative_area_of_the_printed_example():
    days, severity = [0, 2, 5, 6], [1, 2, 7, 7.5]
    assert relative_audpc(days, severity) == pytest.approx(23.75 / 600, abs=1e-12)
    assert relative_audpc([14, 21, 28], [40, 80, 90]) == pytest.approx(0.725, abs=1e-12)
    assert audps(days, severity) == pytest.approx(32.25, abs=1e-9)


@given(severity=st.floats(0, 100), days=st.lists(st.integers(0, 300), min_size=2, max_size=9, unique=True))
@settings(deadline=None)
def test_a_level_curve_covers_its_severity_times_the_window(severity, days):
    days = sorted(days)
    length = days[-1] - days[0]
    assert audpc(days, [severity] * len(days)) == pytest.approx(severity * length)
    assert relative_audpc(days, [severity] * len(days)) == pytest.approx(severity / 100)
    stairs = severity * length * len(days) / (len(days) - 1)
    assert audps(days, [severity] * len(days)) == pytest.approx(stairs)


@given(curve=curves(), shift=st.floats(-100, 100), stretch=st.floats(0.1, 10))
@settings(deadline=None)
def test_the_area_ignores_where_the_calendar_starts_and_follows_its_unit(curve, shift, stretch):
    days, severity = curve
    area = audpc(days, severity)
    assert audpc(days + shift, severity) == pytest.approx(area, rel=1e-6, abs=1e-6)
    assert audpc(days * stretch, severity) == pytest.approx(area * stretch)
    assert relative_audpc(days * stretch, severity) == pytest.approx(relative_audpc(days, severity))


@given(curve=curves())
@settings(deadline=None)
def test_the_area_is_that_of_numpys_trapezoids(curve):
    days, severity = curve
    assert audpc(days, severity) == pytest.approx(np.trapezoid(severity, days))


@given(curve=curves(), data=st.data())
@settings(deadline=None)
def test_a_further_visit_on_the_straight_line_leaves_the_area_as_it_is(curve, data):
    days, severity = curve
    gap = data.draw(st.integers(0, len(days) - 2))
    middle = (days[gap] + days[gap + 1]) / 2
    more_days = np.insert(days, gap + 1, middle)
    more = np.insert(severity, gap + 1, (severity[gap] + severity[gap + 1]) / 2)
    assert audpc(more_days, more) == pytest.approx(audpc(days, severity))


def test_many_plots_at_once_are_as_one_by_one():
    days = [0, 7, 10, 21]
    plots = np.array([[0, 5, 20, 60], [0, 0, 1, 2], [10, 10, np.nan, 40], [0, np.nan, np.nan, 100]])
    for area in (audpc, relative_audpc, audps):
        together = area(days, plots)
        assert together.shape == (4,)
        assert together == pytest.approx([area(days, plot) for plot in plots])
    assert audpc(days, plots.reshape(2, 2, 4)).shape == (2, 2)


def test_one_plot_gives_a_plain_float():
    assert type(audpc([0, 7], [0, 10])) is float
    assert type(relative_audpc([0, 7], [0, 10])) is float
    assert type(audps([0, 7], [0, 10])) is float


def test_a_missed_visit_in_between_is_bridged_by_a_straight_line():
    assert audpc([0, 7, 14], [0, np.nan, 50]) == audpc([0, 14], [0, 50]) == 350.0
    assert audps([0, 7, 14], [0, np.nan, 50]) == audps([0, 14], [0, 50])


@pytest.mark.parametrize(
    ("days", "severity", "sentence"),
    [
        (
            [0, 14, 7],
            [0, 1, 2],
            "Visit days must rise: day 7 comes after day 14. "
            "Sort the visits by date and keep one reading for each day.",
        ),
        (
            [0, 7, 7],
            [0, 1, 2],
            "Visit days must rise: day 7 comes after day 7. "
            "Sort the visits by date and keep one reading for each day.",
        ),
        (
            [0, 7],
            [np.nan, 5],
            "The first visit (day 0) has no severity reading. Areas compare only over equal windows: "
            "give that reading, or leave the plot or the visit out.",
        ),
        (
            [0, 7],
            [[0, 5], [0, np.nan]],
            "The last visit (day 7) of plot 2 has no severity reading. Areas compare only over equal "
            "windows: give that reading, or leave the plot or the visit out.",
        ),
        (
            [0, 7],
            [0, 101],
            "Severity 101 is not between 0 and 100 percent. Write the share of tissue affected.",
        ),
        (
            [0],
            [0],
            "A disease progress curve needs at least two visits; give their days in order.",
        ),
        (
            [0, 7, 14],
            [0, 5],
            "There are 3 visit days and 2 severity readings per plot. "
            "Give one reading for each visit, blank where there was none.",
        ),
    ],
)
@pytest.mark.parametrize("area", [audpc, relative_audpc, audps])
def test_a_curve_that_cannot_be_compared_is_refused(area, days, severity, sentence):
    with pytest.raises(InputError) as refusal:
        area(days, severity)
    assert str(refusal.value) == sentence


def test_a_day_that_is_missing_is_refused():
    with pytest.raises(InputError, match="Visit days must rise"):
        audpc([0, np.nan, 14], [0, 1, 2])


def test_dead_plants_are_carried_at_100_to_the_end():
    days = [0, 7, 14, 21]
    seen = [[0, 20, np.nan, np.nan], [0, 5, 10, 20]]
    carried = carry_deaths(days, seen, [12, np.nan])
    assert carried.tolist() == [[0, 20, 100, 100], [0, 5, 10, 20]]
    assert audpc(days, carried)[0] == pytest.approx(70 + 420 + 700)
    assert carry_deaths(days, [0, 1, 2, 3], 7).tolist() == [0, 100, 100, 100]


def looks(*rows):
    return pd.DataFrame(rows, columns=["site", "plot", "day", "severity_pct"])


def test_the_frame_form_agrees_with_the_array_form_on_ragged_plots():
    table = looks(
        ("K01", "a", 10, 0.0), ("K01", "a", 20, 30.0), ("K01", "a", 40, 80.0),
        ("K01", "b", 40, 60.0), ("K01", "b", 10, 0.0),
        ("K02", "a", 5, 1.0), ("K02", "a", 25, 11.0),
    )  # fmt: skip
    progress = disease_progress(table, PLOT, GARDEN)
    for row, (days, severity) in zip(
        progress.itertuples(),
        [([10, 20, 40], [0, 30, 80]), ([10, 40], [0, 60]), ([5, 25], [1, 11])],
        strict=True,
    ):
        assert row.readings == len(days)
        assert (row.first_day, row.last_day) == (days[0], days[-1])
        assert row.audpc == pytest.approx(audpc(days, severity))
        assert row.relative_audpc == pytest.approx(relative_audpc(days, severity))
        assert row.audps == pytest.approx(audps(days, severity))
    assert progress["why"].isna().all()


def test_a_plot_outside_its_gardens_window_has_no_area_and_says_why():
    table = looks(
        ("K01", "late", 20, 30.0), ("K01", "late", 40, 80.0),
        ("K01", "short", 10, 0.0), ("K01", "short", 20, 5.0),
        ("K01", "whole", 10, 0.0), ("K01", "whole", 40, 5.0),
        ("K01", "blank", 10, np.nan),
        ("K02", "once", 12, 5.0),
    )  # fmt: skip
    progress = disease_progress(table, PLOT, GARDEN).set_index("plot")
    assert progress["why"].dropna().to_dict() == {
        "blank": "no severity reading",
        "late": "no reading at the garden's first visit",
        "once": "only one visit in the garden, so there is no curve",
        "short": "no reading at the garden's last visit",
    }
    areas = progress[["audpc", "relative_audpc", "audps"]]
    assert areas.notna().all(axis=1).to_dict() == {name: name == "whole" for name in progress.index}
    assert progress.loc["blank", "readings"] == 0


def test_the_frame_form_carries_dead_plots_through_the_gardens_later_visits():
    table = looks(
        ("K01", "dead", 0, 0.0), ("K01", "dead", 7, 20.0),
        ("K01", "well", 0, 0.0), ("K01", "well", 7, 5.0),
        ("K01", "well", 14, 10.0), ("K01", "well", 21, 20.0),
    )  # fmt: skip
    table["dead_on"] = np.where(table["plot"] == "dead", 12.0, np.nan)
    progress = disease_progress(table, PLOT, GARDEN, death_day="dead_on").set_index("plot")
    carried = carry_deaths([0, 7, 14, 21], [0, 20, np.nan, np.nan], 12)
    assert progress.loc["dead", "audpc"] == pytest.approx(audpc([0, 7, 14, 21], carried))
    assert progress.loc["dead", "readings"] == 4
    assert progress.loc["well", "audpc"] == pytest.approx(audpc([0, 7, 14, 21], [0, 5, 10, 20]))


@given(order=st.permutations(range(6)))
@settings(deadline=None, max_examples=15)
def test_the_order_of_rows_in_a_frame_does_not_matter(order):
    table = looks(
        ("K01", "a", 0, 0.0), ("K01", "a", 7, 20.0), ("K01", "a", 9, 40.0),
        ("K01", "b", 0, 0.0), ("K01", "b", 8, 5.0), ("K01", "b", 9, 10.0),
    )  # fmt: skip
    shuffled = disease_progress(table.iloc[list(order)], PLOT, GARDEN)
    pd.testing.assert_frame_equal(shuffled, disease_progress(table, PLOT, GARDEN))


def test_two_readings_of_a_plot_on_one_day_are_refused():
    table = looks(("K01", "a", 0, 0.0), ("K01", "a", 7, 20.0), ("K01", "a", 7, 30.0))
    with pytest.raises(InputError) as refusal:
        disease_progress(table, PLOT, GARDEN)
    assert str(refusal.value) == (
        "Plot K01, a has more than one severity reading on day 7. "
        "Average the readings of several people first, or keep one."
    )


def test_a_reading_without_a_day_is_refused():
    with pytest.raises(InputError) as refusal:
        disease_progress(looks(("K01", "a", np.nan, 5.0)), PLOT, GARDEN)
    assert str(refusal.value) == (
        "Plot K01, a has a severity reading without a day. Give the day of the visit."
    )


def test_a_frame_without_any_reading_gives_plots_without_an_area():
    progress = disease_progress(looks(("K01", "a", 0, np.nan)), PLOT, GARDEN)
    assert progress["why"].tolist() == ["no severity reading"]
    assert disease_progress(looks(), PLOT, GARDEN).empty


# Source: Horsfall & Barratt 1945, Phytopathology 35:655; midpoints of the printed class limits.
@pytest.mark.parametrize(("grade", "midpoint"), [(1, 1.5), (5, 37.5), (7, 81.5), (0, 0), (11, 100)])
def test_horsfall_barratt_grades_have_these_midpoints(grade, midpoint):
    assert horsfall_barratt_midpoint(grade, "0-11") == midpoint
    assert horsfall_barratt_midpoint(grade + 1, "1-12") == midpoint


def test_horsfall_barratt_midpoints_mirror_each_other_about_fifty():
    midpoints = np.array(HORSFALL_BARRATT_MIDPOINTS_PCT)
    assert (midpoints + midpoints[::-1]).tolist() == [100.0] * 12


def test_grades_are_averaged_as_midpoints_not_as_grades():
    midpoints = horsfall_barratt_midpoint([1, 2, 4, 5], "0-11")
    assert np.mean(midpoints) == pytest.approx(15.5, abs=1e-9)
    assert horsfall_barratt_midpoint(3, "0-11") == 9.0


def test_a_grade_that_was_not_given_stays_missing():
    assert np.array_equal(horsfall_barratt_midpoint([np.nan, 1], "0-11"), [np.nan, 1.5], equal_nan=True)


@pytest.mark.parametrize(
    ("grade", "numbered", "span"),
    [(12, "0-11", "0 to 11"), (0, "1-12", "1 to 12"), (2.5, "0-11", "0 to 11"), (-1, "0-11", "0 to 11")],
)
def test_a_grade_off_the_scale_is_refused(grade, numbered, span):
    with pytest.raises(InputError) as refusal:
        horsfall_barratt_midpoint(grade, numbered)
    assert str(refusal.value) == (
        f"A Horsfall-Barratt grade is not a whole number from {span}. "
        "Look at the sheet's scale: grades are numbered 0-11 or 1-12."
    )


# Source: by hand, (2x0 + 3x1 + 3x2 + 1x3 + 1x4 + 0x5) / (5 x 10).
def test_the_severity_index_of_ten_plants():
    assert disease_severity_index([2, 3, 3, 1, 1, 0]) == pytest.approx(32.0, abs=1e-9)


@given(plants=st.integers(1, 500), classes=st.integers(2, 12), times=st.integers(1, 5))
@settings(deadline=None)
def test_the_severity_index_runs_from_0_to_100_and_ignores_how_many_plants(plants, classes, times):
    healthy = [plants] + [0] * (classes - 1)
    assert disease_severity_index(healthy) == 0.0
    assert disease_severity_index(healthy[::-1]) == 100.0
    mixed = np.array([plants] * classes)
    assert disease_severity_index(mixed * times) == pytest.approx(disease_severity_index(mixed))


def test_the_severity_index_of_no_plants_is_unknown():
    found = disease_severity_index([[0, 0, 0], [0, 1, 0]])
    assert math.isnan(found[0])
    assert found[1] == 50.0


@pytest.mark.parametrize(
    ("counts", "sentence"),
    [
        (
            [1.5, 2],
            "Plants per severity class are whole numbers from 0 up; write 0 for an empty class.",
        ),
        (
            [-1, 2],
            "Plants per severity class are whole numbers from 0 up; write 0 for an empty class.",
        ),
        (
            [np.nan, 2],
            "Plants per severity class are whole numbers from 0 up; write 0 for an empty class.",
        ),
        (
            [4],
            "A severity scale has at least two classes; give one count for each, class 0 first.",
        ),
    ],
)
def test_counts_that_cannot_be_are_refused(counts, sentence):
    with pytest.raises(InputError) as refusal:
        disease_severity_index(counts)
    assert str(refusal.value) == sentence
