"""What an address means."""

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View
from dashboard.figures.template import Screen
from sites.errors import InputError
from tests.dashboard import synthetic


def test_gradient_opens_on_the_newest_closed_season(choose):
    assert choose("/").trial.season == synthetic.CLOSED


@pytest.mark.parametrize("path", ["/watch", "/compare"])
def test_watch_and_compare_open_on_the_running_season(choose, path):
    assert choose(path).trial.season == synthetic.RUNNING


def test_the_primary_outcome_and_the_first_treatment_are_shown_first(choose):
    selection = choose("/gradient")
    assert (selection.outcome, selection.treatment) == ("marketable_kg_per_plant", "corvane")
    assert selection.axis == "position_km"


def test_an_address_chooses_everything(choose):
    selection = choose(
        "/gradient", "?season=2024&outcome=marketable_share&treatment=tressel&axis=rain_mm&garden=G07"
    )
    assert (selection.outcome, selection.treatment, selection.axis, selection.garden) == (
        "marketable_share",
        "tressel",
        "rain_mm",
        "G07",
    )


def test_gradient_reads_out_a_garden_in_the_middle_while_none_is_chosen(choose):
    selection = choose("/gradient")
    sites = selection.gardens["site"].tolist()
    assert selection.garden == sites[len(sites) // 2]
    assert choose("/watch").garden is None


@pytest.mark.parametrize(
    ("query", "named"),
    [
        ("?garden=G99", "G99"),
        ("?season=1999", "1999"),
        ("?trial=okra", "okra"),
        ("?treatment=own-root", "own-root"),
        ("?axis=altitude", "altitude"),
        ("?outcome=taste", "taste"),
    ],
)
def test_what_nobody_knows_is_named_and_not_passed_over(choose, query, named):
    with pytest.raises(InputError, match=f"“{named}”"):
        choose("/gradient", query)


def test_a_measure_that_a_page_does_not_have_gives_way_to_the_usual_one(choose, published):
    effects = published.frame("effects", synthetic.TRIAL, synthetic.CLOSED)
    fewer = effects[effects["outcome"] != "mean_fruit_mass_g"]
    lacking = View(published.replacing(fewer, "effects", synthetic.TRIAL, synthetic.CLOSED), OPEN_ACCOUNT)
    query = "?season=2024&outcome=mean_fruit_mass_g"
    assert choose("/gradient", query, over=lacking).outcome == "marketable_kg_per_plant"
    assert choose("/compare", query, over=lacking).outcome == "mean_fruit_mass_g"


def test_the_control_is_not_among_the_treatments_to_choose(choose):
    selection = choose("/compare")
    assert selection.compared["treatment"].tolist() == ["corvane", "tressel"]
    assert selection.control_label == "own-root"
    assert selection.treatment_label == "Corvane stock"


def test_the_paper_changes_colours_and_nothing_else(choose):
    light, dark = choose("/watch"), choose("/watch", screen=Screen("dark"))
    assert light.gardens.drop(columns="colour").equals(dark.gardens.drop(columns="colour"))
    assert not light.gardens["colour"].equals(dark.gardens["colour"])
