"""What figures show, said from their rows. Expected values are counted by hand from the few rows given."""

from datetime import datetime

import pandas as pd
import pytest

from dashboard.harvest_curves import Curve
from dashboard.plot_curves import PlotCurve
from dashboard.wording import findings
from dashboard.wording.measures import OUTCOMES

TREATMENTS = pd.DataFrame({"treatment": ["own", "graft"], "label": ["own-root", "grafted"], "order": [0, 1]})
WEIGHT = OUTCOMES["marketable_kg_per_plant"]


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


def weeks(*states: tuple[str, str]) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {"site": f"G{at}", "week": pd.Timestamp(week), "state": state}
            for at, (week, state) in enumerate(states)
        ]
    )


def test_the_newest_whole_week_is_told_and_not_the_one_under_way():
    rows = weeks(
        *[("2025-08-11", state) for state in ("sent", "sent", "part", "missing", "absent")],
        ("2025-08-18", "missing"),
    )
    said = plain(findings.weeks_seen(rows))
    assert said == (
        "In the week of Aug 11, 2 of 4 gardens sent their pickings whole, and 1 in part, with rows that wait."
    )


def test_before_any_picking_is_expected_nothing_is_said_of_weeks():
    assert findings.weeks_seen(weeks(("2025-05-05", "early"))) == ""


EFFECTS = pd.DataFrame(
    {
        "percent": [20.0, -5.0, 8.0, None],
        "percent_low": [3.0, -20, -4, None],
        "percent_high": [40.0, 12, 22, None],
    }
)


def test_a_closed_season_tells_which_intervals_leave_out_the_same():
    said = plain(findings.differences_seen(EFFECTS, "own-root", is_closed=True))
    assert said == "2 of 3 gardens lie above own-root. Of their own intervals, 1 of 3 leave out “same”."


def test_a_running_season_tells_what_was_seen_so_far_and_no_interval():
    said = plain(findings.differences_seen(EFFECTS, "own-root", is_closed=False))
    assert said == "So far 2 of 3 gardens lie above own-root."


MEANS = pd.DataFrame(
    [
        *[
            {"site": site, "treatment": "own", "value": value}
            for site, value in [("A", 1.0), ("B", 3.0), ("C", 2.0)]
        ],
        *[{"site": site, "treatment": "graft", "value": value} for site, value in [("A", 1.5), ("B", 2.8)]],
    ]
)


def test_plots_tell_how_far_gardens_lie_apart_and_the_middle_gap():
    said = plain(findings.plots_seen(MEANS, TREATMENTS, "graft", WEIGHT, is_closed=True))
    # Gaps are 0.5 and -0.2, midway 0.15.
    assert said.startswith("The gardens’ own-root lie between 1.00 kg (A) and 3.00 kg (B).")
    assert said.endswith("In the middle garden grafted lies 0.15 kg above them.")


def test_plots_of_a_running_season_are_so_far():
    assert findings.plots_seen(MEANS, TREATMENTS, "graft", WEIGHT, is_closed=False).startswith("So far")


CURVES = {
    ("A", "own"): Curve([0, 20, 40], [0.0, 2.0, 3.0]),
    ("A", "graft"): Curve([0, 20, 40], [0.0, 1.0, 4.0]),
    ("B", "own"): Curve([0, 20, 40], [0.0, 1.0, 2.0]),
    ("B", "graft"): Curve([0, 20, 40], [0.0, 1.5, 2.5]),
}


def test_a_treatment_that_catches_up_is_ahead_at_the_end_only():
    said = plain(findings.lead_through_season(CURVES, TREATMENTS, "graft", is_closed=True))
    assert said == "Grafted is ahead in 2 of 2 gardens at the end; halfway through the pickings it was in 1."


def test_a_garden_is_judged_on_the_last_day_that_both_treatments_have():
    longer = CURVES | {("B", "own"): Curve([0, 20, 40, 80], [0.0, 1.0, 2.0, 9.0])}
    assert "2 of 2" in plain(findings.lead_through_season(longer, TREATMENTS, "graft", is_closed=True))


def test_a_short_season_so_far_has_no_half():
    short = {key: Curve(curve.days[:1], curve.kilograms[:1]) for key, curve in CURVES.items()}
    said = plain(findings.lead_through_season(short, TREATMENTS, "graft", is_closed=False))
    assert said == "So far grafted is ahead in 0 of 2 gardens."


def test_masses_name_each_treatments_middle_half():
    halves = pd.DataFrame({"label": ["own-root", "grafted"], "low": [316.2, 318], "high": [345.0, 344.6]})
    said = plain(findings.masses_seen(halves))
    assert said.endswith("own-root 316 to 345 g and grafted 318 to 345 g.")


def test_a_garden_names_its_plots_with_most_and_least():
    days = (datetime(2025, 8, 1), datetime(2025, 8, 8))
    rows = [
        PlotCurve("1", "grafted", 1, days, (1.0, 2.04)),
        PlotCurve("2", "own-root", 0, days, (0.4, 0.9)),
    ]
    said = plain(findings.garden_curves_seen(rows, "lb", is_closed=False))
    assert said == "Plot 1 (grafted) has given most, 2.0 lb per plant; plot 2 (own-root) least, 0.9 lb."


@pytest.mark.parametrize(
    ("weight", "on", "expected"),
    [
        (12.0, "2025-08-08", "Plot 4 on Aug 8: 12.00 lb. Its twins gave 1.10 to 1.40 lb that day."),
        (
            None,
            "2025-08-10",
            "Plot 4 on Aug 10: no weight that can count yet. Its twins gave 1.10 to 1.40 lb on Aug 8.",
        ),
    ],
)
def test_a_picking_stands_beside_its_twins_of_the_nearest_day(weight, on, expected):
    rows = pd.DataFrame(
        {
            "plot": ["4", "2", "7", "2"],
            "date": pd.to_datetime(["2025-08-01", "2025-08-08", "2025-08-08", "2025-08-01"]),
            "weight": [9.0, 1.1, 1.4, 0.3],
        }
    )
    assert plain(findings.picking_beside_others(rows, "4", pd.Timestamp(on), weight, "lb")) == expected


def test_a_county_that_sent_nothing_is_not_counted_as_zero():
    rows = pd.DataFrame({"county": ["Saline", "Ellis", "Ford"], "shown": [40.0, None, 12.0]})
    said = plain(findings.counties_seen(rows, 2025, "h"))
    assert (
        said == "In 2025, gardens in 2 of 3 counties sent their hours of work; most in Saline County, 40 h."
    )
