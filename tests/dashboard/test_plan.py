import pandas as pd
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.data import View, trial_seasons
from dashboard.figures.template import Screen
from dashboard.pages.plan_gardens import fits, layout_of
from dashboard.pages.plan_inputs import inputs_of
from dashboard.router import route
from pipeline.publish import frames
from pipeline.response.planning import plan
from tests.dashboard.framing import framed
from tests.dashboard.tree import find, text_of


def main(view: View, query: str, *, narrow: bool = False) -> list:
    routed = route(view, "/plan", query, Screen(narrow=narrow))
    return [*routed.main, *routed.chosen.below]


def test_the_address_says_what_is_planned(view, choose):
    query = "?gain=15&cv=30&tau=8&blocks=4&plants=6&power=90"
    inputs = inputs_of(view, choose("/plan", query))
    assert inputs.planned() == plan(0.30, 0.08, 1.15, 4, 6, 0.90)


def test_a_plan_starts_from_how_the_closed_season_was(view, choose, published):
    inputs = inputs_of(view, choose("/plan"))
    closed = published.frame("network", "tomato-graft", "2024")
    of_primary = closed[closed["outcome"] == "marketable_kg_per_plant"]
    assert inputs.tau == round(100 * of_primary["tau2"].max() ** 0.5)
    assert inputs.closed is not None
    assert inputs.closed.season == "2024"


@pytest.mark.parametrize("narrow", [False, True])
def test_the_plan_draws_the_chance_and_the_next_garden(view, narrow):
    parts = main(view, "?gain=20", narrow=narrow)
    assert len(find(parts, "Graph")) == 3
    assert "gardens with" in text_of(find(parts, "H1"))


@pytest.mark.parametrize("query", ["?gain=lots", "?cv=inf", "?power=150", "?blocks=0", "?gain=-100"])
def test_what_cannot_be_worked_out_is_said_and_the_form_stays(view, query):
    parts = main(view, query)
    assert "cannot be worked out" in text_of(find(parts, "P", role="alert"))
    assert find(parts, "Form")


def asked_view(published, **about) -> View:
    gardens = published.frame("gardens").assign(
        status="active", beds=pd.NA, sun_hours=8.0, water_source="tap"
    )
    at = gardens["site"] == "G07"
    for name, value in ({"status": "asked", "beds": 12} | about).items():
        gardens.loc[at, name] = value
    return View(published.replacing(framed(frames.GARDENS, gardens), "gardens"), OPEN_ACCOUNT)


def test_a_garden_with_beds_sun_water_and_no_neighbour_fits(published):
    seen = asked_view(published)
    row = fits(seen, trial_seasons(seen)[0], 3).iloc[0]
    assert (row["site"], row["verdict"], row["next_garden"], row["plots_needed"]) == ("G07", "fits", "G08", 9)
    # Pythagoras, from the places of the two gardens: 47.3 km along and 56.5 km across.
    assert row["next_km"] == pytest.approx((47.3**2 + 56.5**2) ** 0.5)


@pytest.mark.parametrize(
    ("about", "column", "says"),
    [
        ({"beds": 8}, "has_beds", "no"),
        ({"beds": pd.NA}, "has_beds", ""),
        ({"sun_hours": 5.5}, "has_sun", "no"),
        ({"water_source": ""}, "has_water", ""),
        ({"position_km": 286.0, "across_km": -20.0}, "is_apart", "no"),
    ],
)
def test_a_garden_that_lacks_something_is_to_be_looked_at_again(published, about, column, says):
    seen = asked_view(published, **about)
    row = fits(seen, trial_seasons(seen)[0], 3).iloc[0]
    assert (row[column], row["verdict"]) == (says, "look again")


def test_a_garden_without_plots_gets_a_draft_with_every_code_in_every_block(view, choose):
    plots, is_draft = layout_of(view, choose("/plan", "?garden=G07"), 3)
    assert is_draft
    assert plots.groupby("block")["code"].agg(lambda codes: "".join(sorted(codes))).tolist() == ["ABC"] * 3


def test_a_garden_with_plots_shows_the_layout_that_counts(published, choose):
    rows = pd.DataFrame(
        {"site": "G07", "block": ["1", "1"], "plot": ["1", "2"], "code": ["B", "C"], "row": 1, "col": [1, 2]}
    )
    seen = View(
        published.replacing(framed(frames.LAYOUT, rows), "layout", "tomato-graft", "2025"), OPEN_ACCOUNT
    )
    plots, is_draft = layout_of(seen, choose("/plan", "?garden=G07", over=seen), 3)
    assert not is_draft
    assert plots["code"].tolist() == ["B", "C"]


def test_another_garden_changes_its_layout_and_nothing_else(view):
    here, there = (route(view, "/plan", f"?garden={site}&gain=15", Screen()) for site in ("G07", "G13"))
    assert [str(part) for part in here.main] == [str(part) for part in there.main]
    assert "A draft for G07" in text_of(here.chosen.below)
    assert "A draft for G13" in text_of(there.chosen.below)


def test_the_form_leaves_the_garden_to_the_browser_and_keeps_every_other_choice(view):
    form = find(main(view, "?garden=G07&season=2024&gain=15"), "Form")[0]
    assert getattr(form, "data-keeps") == "garden"
    assert [part.name for part in find(form, "Input", type="hidden")] == ["season"]


def test_what_cannot_be_worked_out_has_no_layout(view):
    assert list(route(view, "/plan", "?garden=G07&gain=lots", Screen()).chosen.below) == []
