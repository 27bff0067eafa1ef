"""From address to page."""

import itertools
import json

import pandas as pd
import plotly
import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.answered import OUTPUTS
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import PAGES, page_at, route, screen_of
from pipeline.publish import frames
from tests.dashboard import synthetic
from tests.dashboard.browsing import browsing
from tests.dashboard.drawn import DRAWN, accepted
from tests.dashboard.tree import find, text_of

SCREENS = [Screen(), Screen("dark", narrow=True)]
STATES = [
    "",
    "?season=2024",
    "?season=2025",
    "?season=2024&garden=G05&treatment=tressel&outcome=marketable_share",
]
ADDRESSES = list(itertools.product([page.path for page in DRAWN], STATES, SCREENS))


@pytest.mark.parametrize(("path", "search", "screen"), ADDRESSES)
def test_every_page_stands_in_every_state_on_every_screen(view, path, search, screen):
    routed = route(view, path, search, screen)
    assert find(routed.main, "H1")
    assert find(routed.main, "Graph")
    assert routed.title.endswith("Longrow")


@pytest.mark.parametrize(("path", "search", "screen"), ADDRESSES)
def test_plotly_accepts_every_figure_of_every_page(view, path, search, screen):
    for graph in find(route(view, path, search, screen).main, "Graph"):
        assert accepted(graph.figure).data


@pytest.mark.parametrize("path", [page.path for page in PAGES])
def test_the_same_address_gives_the_same_page(view, path):
    once, again = (
        plotly.io.json.to_json_plotly(route(view, path, "?season=2024", Screen()).main) for _ in range(2)
    )
    assert once == again


def test_the_address_without_a_path_opens_the_gradient():
    assert page_at("/") is page_at("/gradient")


def test_an_address_without_a_page_says_so(view):
    routed = route(view, "/moon", "", Screen())
    assert "no page at this address" in text_of(routed.main)
    assert find(routed.masthead, "A")


def test_an_address_that_names_the_unknown_says_what_and_offers_the_page_without_it(view):
    routed = route(view, "/watch", "?garden=G99", Screen())
    assert "“G99”" in text_of(routed.main)
    assert [link.href for link in find(routed.main, "A")] == ["/watch"]


def test_an_empty_snapshot_says_what_is_missing_on_every_page():
    empty = View(synthetic.SyntheticPublished({}), OPEN_ACCOUNT)
    for page in DRAWN:
        routed = route(empty, page.path, "", Screen())
        assert page.words.nothing in text_of(routed.main)
        assert not find(routed.main, "Graph")


@pytest.mark.parametrize(
    "name",
    [frame.name for frame in frames.FRAMES if frame.per_season],
)
def test_a_season_that_lacks_a_frame_still_has_a_page(published, name):
    declared = next(frame for frame in frames.FRAMES if frame.name == name)
    for season in (synthetic.CLOSED, synthetic.RUNNING):
        lacking = published.replacing(declared.empty(), name, synthetic.TRIAL, season)
        for page in DRAWN:
            routed = route(View(lacking, OPEN_ACCOUNT), page.path, f"?season={season}", Screen())
            assert find(routed.main, "H1")


def test_gradient_waits_for_four_gardens(published):
    effects = published.frame("effects", synthetic.TRIAL, synthetic.CLOSED)
    three = effects[effects["site"].isin(["G01", "G02", "G03"])]
    seen = View(published.replacing(three, "effects", synthetic.TRIAL, synthetic.CLOSED), OPEN_ACCOUNT)
    assert "at least 4 gardens" in text_of(route(seen, "/gradient", "", Screen()).main)


@pytest.mark.parametrize("paper", ["dark", "light"])
def test_a_garden_without_a_place_or_a_value_is_named_and_not_drawn(published, paper):
    gardens = published.frame("gardens")
    gardens.loc[gardens["site"] == "G07", "position_km"] = float("nan")
    effects = published.frame("effects", synthetic.TRIAL, synthetic.CLOSED)
    effects.loc[effects["site"] == "G09", ["percent", "percent_low", "percent_high"]] = float("nan")
    patchy = published.replacing(gardens, "gardens").replacing(
        effects, "effects", synthetic.TRIAL, synthetic.CLOSED
    )
    seen = View(patchy, OPEN_ACCOUNT)
    assert "not drawn: G09" in text_of(route(seen, "/gradient", "", Screen(paper)).main)
    assert "not drawn: G07" in text_of(route(seen, "/watch", "", Screen(paper)).main)


def test_a_running_season_carries_no_word_of_inference(view):
    for path in ("/gradient", "/compare"):
        words = text_of(route(view, path, "?season=2025", Screen()).main).lower()
        assert "can still change until sep\u00a030, 2025" in words
        for word in ("interval", "likely range", "19 of 20", "p-value", "percent more"):
            assert word not in words


@pytest.mark.parametrize(
    ("told", "expected"),
    [
        (
            {"paper": "dark", "width": "narrow", "zone": "America/Chicago"},
            Screen("dark", True, "America/Chicago"),
        ),
        ({}, Screen()),
        ({"paper": ["<"], "width": 7, "zone": None}, Screen(zone="None")),
    ],
)
def test_a_garbled_screen_is_taken_as_a_usual_one(told, expected):
    assert screen_of(told) == expected


def ask(client, path: str, search: str = "", standing: str = "", changed: str = "url.pathname"):
    """Ask the router as a browser does."""
    values = {("url", "pathname"): path, ("url", "search"): search, ("screen", "data"): {"paper": "light"}}
    values |= {(name, "data"): None for name in ("decided", "undone", "typed", "changed")}
    return client.post(
        "/_dash-update-component",
        json={
            "output": "..".join(["", "...".join(f"{part}.{prop}" for part, prop in OUTPUTS), ""]),
            "outputs": [{"id": part, "property": prop} for part, prop in OUTPUTS],
            "inputs": [
                {"id": part, "property": prop, "value": value} for (part, prop), value in values.items()
            ],
            "state": [{"id": "standing", "property": "data", "value": standing}],
            "changedPropIds": [changed],
        },
    )


def test_the_browser_gets_title_masthead_ruler_and_page_in_one_answer(client):
    answer = ask(client, "/watch").get_json()["response"]
    assert answer["title"]["data"] == "All gardens tonight · Longrow"
    assert set(answer) == {part for part, _ in OUTPUTS}


def chosen(client, path: str, first: str, then: str) -> dict:
    """Return what the browser gets when it opens a page and then chooses something else there."""
    opened = ask(client, path, first).get_json()["response"]
    standing = opened["standing"]["data"]
    return ask(client, path, then, standing, "url.search").get_json()["response"]


@pytest.mark.parametrize("path", ["/watch", "/gradient", "/plan"])
def test_choosing_another_garden_does_not_draw_the_figures_again(client, path):
    answer = chosen(client, path, "?garden=G03", "?garden=G05")
    assert set(answer) == {"ruler", "below", "garden"}
    assert answer["garden"]["data"]["site"] == "G05"


def test_what_a_page_says_of_the_chosen_garden_is_the_same_however_it_was_chosen(client):
    light = chosen(client, "/gradient", "?season=2024&garden=G03", "?season=2024&garden=G05")
    whole = ask(client, "/gradient", "?season=2024&garden=G05").get_json()["response"]
    assert {part: whole[part] for part in light} == light
    assert light["garden"]["data"]["lines"]["where"][0].startswith("G05")


@pytest.mark.parametrize(
    ("path", "then"),
    [
        ("/gradient", "?garden=G03&axis=rain_mm"),
        ("/gradient", "?garden=G03&season=2025"),
        ("/compare", "?garden=G05"),
        ("/gradient", "?garden=G99"),
    ],
)
def test_any_other_choice_draws_the_whole_page(client, path, then):
    assert "main" in chosen(client, path, "?season=2024&garden=G03", then)


def test_a_page_that_stood_before_the_last_night_is_drawn_anew(client):
    standing = ask(client, "/gradient", "?garden=G03").get_json()["response"]["standing"]["data"]
    older = json.dumps([-1, *json.loads(standing)[1:]])
    assert "main" in ask(client, "/gradient", "?garden=G05", older, "url.search").get_json()["response"]


def test_trouble_is_said_in_the_pages_own_words_and_written_to_the_log(caplog):
    def broken() -> synthetic.SyntheticPublished:
        raise OSError("the disk is gone")

    client = browsing(create_app(broken))
    answer = ask(client, "/watch")
    assert answer.status_code == 200
    assert set(answer.get_json()["response"]) == {"main", "below", "standing"}
    assert "We cannot show the gardens right now." in answer.text
    assert "disk" not in answer.text
    assert "the disk is gone" in caplog.text


def test_blank_dates_and_counts_do_not_break_the_late_ledger(published):
    states = published.frame("garden_states", synthetic.TRIAL, synthetic.RUNNING)
    states.loc[states["state"] == "late", ["last_sheet", "last_picking"]] = pd.NaT
    states.loc[states["state"] == "late", "days_silent"] = pd.NA
    seen = View(
        published.replacing(states, "garden_states", synthetic.TRIAL, synthetic.RUNNING), OPEN_ACCOUNT
    )
    assert "12 days without a picking" in text_of(route(seen, "/watch", "", Screen()).main)


def test_a_request_looks_once_for_what_is_published(published):
    looked: list[int] = []
    once = browsing(create_app(lambda: looked.append(1) or published))
    looked.clear()
    assert ask(once, "/watch", "?garden=G03").status_code == 200
    assert looked == [1]
