"""Weights, fruits and totals whose values are known from outside.

The pound and the ounce are exact by the international avoirdupois agreement of 1959 (NIST Special Publication
811, appendix B). The usual mass of a fruit is the crop table's; limits at three times it are common practice,
no source. Per planted plant and per surviving plant are two different yields; a blank is no zero: common
practice, no source.
"""

from datetime import date

import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import make_context
from pipeline.checks.judge import judge
from pipeline.checks.season.rows import season_rows
from pipeline.intake.tables import SentFile
from pipeline.intake.units import KG_PER_UNIT
from pipeline.intake.values import weight_kg
from pipeline.settings import Settings
from pipeline.workspace import make_workspace
from sites.crops import read_crops
from sites.registry import read_registry
from tests.pipeline.conftest import REGISTRY

HEADER = "site,plot,date,good fruits,weight (lb)\n"


def test_the_pound_and_the_ounce_are_exact():
    assert KG_PER_UNIT["lb"] == 0.45359237
    assert KG_PER_UNIT["oz"] * 1000 == pytest.approx(28.349523125, abs=1e-12)


def test_two_pounds_six_ounces_are_not_two_point_six_pounds():
    assert weight_kg("2 lb 6 oz")[0] == pytest.approx(2.375 * 0.45359237)
    assert weight_kg("2 lb 6 oz")[0] * 1000 == pytest.approx(1077.3, abs=0.1)
    assert weight_kg("2.6 lb")[0] * 1000 == pytest.approx(1179.3, abs=0.1)


def test_eight_slicing_tomatoes_of_forty_pounds_are_held_and_ounces_proposed(network, judged):
    # 40 lb of 8 are 5 lb each, over the hard limit of 1,350 g; 40 oz are 142 g each, inside 70 to 450 g.
    found = judged(network("tomato-slicing"), HEADER + "G01,1,2024-07-20,8,40\n").findings
    (finding,) = found.to_dicts()
    assert (finding["check"], finding["level"]) == ("weight-unit-slip", "held")
    assert '"number":40.0,"unit":"oz"' in finding["details"]


def test_ten_peppers_of_1_2_kilograms_are_accepted(network, asked):
    sent = "site,plot,date,good fruits,weight (kg)\nG01,1,2024-07-20,10,1.2\n"
    assert asked(network("pepper-bell"), sent, notes=True) == []


def test_a_hundred_cherry_tomatoes_of_seventeen_kilograms_are_asked_about_and_left_as_sent(network, judged):
    sent = "site,plot,date,good fruits,weight (kg)\nG01,1,2024-07-20,100,17\n"
    result = judged(network("tomato-cherry"), sent)
    (finding,) = result.findings.to_dicts()
    # 170 g each; 1.7 kg would make 17 g each, the usual.
    assert finding["check"] == "decimal-slip"
    assert '"number":1.7' in finding["details"]
    assert result.rows["harvest"]["marketable_weight"].to_list() == [17.0]


def test_dead_plants_stay_in_the_denominator(context):
    # 6 planted, 4 alive, 12.0 kg: 2.0 kg for each plant planted; 3.0 for each that lives would hide the loss.
    # Common practice, no source.
    rows = {
        "planting": pl.DataFrame(
            {"site": ["G01"], "season": ["2024"], "plot": ["1"], "date": [date(2024, 5, 20)], "plants": [6.0]}
        ),
        "condition": pl.DataFrame(
            {"site": ["G01"], "season": ["2024"], "plot": ["1"], "date": [date(2024, 8, 1)], "alive": [4.0]}
        ),
    }
    plot = season_rows(rows, context).plots.filter((pl.col("site") == "G01") & (pl.col("layout_plot") == "1"))
    assert 12.0 / plot["plants"].item() == 2.0


def test_a_blank_picking_is_a_visit_without_a_weight(context, judged):
    # 0, blank, 0.8: the total is 0.8 kg over two weights, and one is missing. Common practice, no source.
    days = "G01,1,2024-07-20,0,0\nG01,1,2024-07-25,2,\nG01,1,2024-07-30,3,0.8\n"
    rows = judged(context, f"site,plot,date,good fruits,weight (kg)\n{days}").rows["harvest"]
    weights = rows["marketable_weight"]
    assert weights.to_list() == [0.0, None, 0.8]
    assert (weights.sum(), weights.count(), weights.null_count()) == (0.8, 2, 1)


@pytest.fixture
def context_of_2026(tmp_path):
    """Make the context of the small network in the season of 2026, which begins in March."""
    trials = REGISTRY["trials.csv"].replace("2024-05-10", "2026-03-01").replace("2024", "2026")
    workspace = make_workspace(tmp_path / "network", Settings(), REGISTRY | {"trials.csv": trials})
    return make_context(read_registry(workspace.registry), read_crops(), date(2026, 9, 1))


@pytest.mark.parametrize(
    ("days", "order", "read"),
    [
        # A day over 12 cannot be a month, so the file writes days first: common practice, no source.
        (("03/04/2026", "25/04/2026"), "mdy", [date(2026, 4, 3), date(2026, 4, 25)]),
        (("25/04/2026", "03/04/2026"), "ymd", [date(2026, 4, 25), date(2026, 4, 3)]),
        # Alone it is read in the network's own order, and nobody is asked.
        (("03/04/2026",), "mdy", [date(2026, 3, 4)]),
        (("03/04/2026",), "dmy", [date(2026, 4, 3)]),
    ],
)
def test_a_day_that_fits_two_ways_follows_the_file_s_other_days(context_of_2026, days, order, read):
    rows = "".join(f"G01,{at},{day},4,3.{at}\n" for at, day in enumerate(days, start=1))
    sent = [SentFile("april.csv", f"{HEADER}{rows}".encode())]
    result = judge(sent, context_of_2026, Settings(date_order=order), CATALOGUE)
    assert result.rows["harvest"]["date"].to_list() == read
    asked = result.findings.filter(pl.col("check").str.contains("date"))["check"].to_list()
    assert asked == (["dates-other-order"] if len(days) > 1 else [])
