"""The parts of pages: what they must carry for keyboards, screen readers and readers of black and white."""

import ast
import json
import re
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from dash import html

from dashboard.components.choice import choice
from dashboard.components.ruler import ruler
from dashboard.components.sentence import unbroken
from dashboard.components.stakes import NEAREST
from dashboard.figures.template import Screen
from dashboard.router import PAGES, route
from dashboard.worked import Worked
from tests.dashboard import synthetic
from tests.dashboard.drawn import DRAWN
from tests.dashboard.tree import find, text_of, walk

#: Pages that show a trial of the network.
OF_TRIALS = [page for page in PAGES if page.has_row]
WITHOUT_TRIAL = {page.path for page in PAGES if not page.has_row}

ROOT = Path(__file__).parents[2] / "dashboard"
SCREENS = [Screen(), Screen("dark", narrow=True)]


def calls(source: str) -> set[str]:
    return {
        node.func.attr
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
    }


def test_graphs_stand_in_the_one_figure_frame_and_nowhere_else():
    modules = [
        str(module.relative_to(ROOT))
        for module in ROOT.rglob("*.py")
        if "Graph" in calls(module.read_text(encoding="utf-8"))
    ]
    assert modules == ["components/figure.py"]


def test_figures_know_nothing_of_the_web():
    for module in (ROOT / "figures").rglob("*.py"):
        names = {
            name.split(".")[0]
            for node in ast.walk(ast.parse(module.read_text(encoding="utf-8")))
            for name in (
                [alias.name for alias in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else []
            )
        }
        assert not names & {"dash", "flask"}, module


@pytest.mark.parametrize("page", DRAWN, ids=lambda page: page.path)
@pytest.mark.parametrize("screen", SCREENS)
def test_every_figure_has_a_finding_a_caption_a_table_and_a_csv(view, client, page, screen):
    frames = find(route(view, page.path, "?season=2024", screen).main, "Figure")
    assert frames
    for frame in frames:
        drawings = find(frame, "Div", role="img")
        assert len(drawings) == 1
        assert len(getattr(drawings[0], "aria-label")) > 20
        assert find(frame, "Figcaption")
        csv = [link.href for link in find(frame, "A") if link.href.startswith("/download/")]
        tables = [getattr(box, "data-table") for box in find(frame, "Div") if hasattr(box, "data-table")]
        assert [client.get(address).status_code for address in csv + tables] == [200, 200]


@pytest.mark.parametrize("page", OF_TRIALS, ids=lambda page: page.path)
def test_there_is_one_heading_of_the_first_rank(view, page):
    assert len(find(route(view, page.path, "", Screen()).main, "H1")) == 1


@pytest.mark.parametrize("page", OF_TRIALS, ids=lambda page: page.path)
@pytest.mark.parametrize("screen", SCREENS)
def test_every_link_leads_to_a_page_and_names_what_is_there(view, choose, page, screen):
    routed = route(view, page.path, "?season=2024", screen)
    links = {link.href for link in find([routed.masthead, routed.chosen.ruler, routed.main], "A")}
    inside = [link.partition("?") for link in links if not link.startswith("/download/")]
    assert len(inside) > 24
    for path, _, search in inside:
        assert choose(path, f"?{search}", screen).trial is not None or path in WITHOUT_TRIAL


def test_the_chosen_option_is_marked_and_the_others_are_not():
    built = choice("Measure", [("weight", "/a"), ("fruits", "/b")], 1)
    assert [getattr(link, "aria-current", None) for link in find(built, "A")] == [None, "true"]
    assert getattr(built, "aria-label") == "Measure"


@pytest.mark.parametrize("screen", SCREENS)
def test_the_ruler_lists_every_garden_from_west_to_east_by_its_whole_name(view, choose, screen):
    selection = choose("/watch", screen=screen)
    built = ruler(view, selection, screen)
    listed = find(find(built, "Ol"), "A")
    expected = sorted(synthetic.GARDENS, key=lambda garden: garden[4])
    assert len(listed) == len(expected)
    for link, (site, name, _, _, km, *_) in zip(listed, expected, strict=True):
        label = getattr(link, "aria-label")
        assert f"{name}, {km:.0f} km east" in label
        state = synthetic.STATES.get(site, ("in step",))[0]
        assert label.endswith(state)
        assert f"garden={site}" in link.href


def test_the_ruler_marks_the_chosen_garden(view, choose):
    selection = choose("/watch", "?garden=G13")
    links = find(ruler(view, selection, Screen()), "A")
    current = [link for link in links if hasattr(link, "aria-current")]
    assert [getattr(link, "data-site") for link in current] == ["G13"]


@pytest.mark.parametrize(
    ("garden", "names"),
    [("G13", ["West: G15", "East: G14"]), ("G01", ["East: G02"]), ("G24", ["West: G23"])],
)
def test_the_narrow_ruler_steps_west_and_east_and_stops_at_the_ends(view, choose, garden, names):
    selection = choose("/watch", f"?garden={garden}")
    built = ruler(view, selection, Screen(narrow=True))
    steps = [
        getattr(link, "aria-label") for link in find(built, "A") if getattr(link, "className", "") == "step"
    ]
    assert [step[:9] for step in steps] == names


@pytest.mark.parametrize("screen", SCREENS)
def test_a_very_long_row_links_to_the_neighbours_and_to_those_out_of_step(view, choose, screen):
    selection = choose("/watch", screen=screen)
    many = pd.concat([selection.gardens] * 20, ignore_index=True).sort_values("position_km", kind="stable")
    many = many.assign(site=[f"G{index:03d}" for index in range(len(many))], state="in step")
    many.loc[many["site"] == "G400", "state"] = "late"
    longer = replace(selection, gardens=many.reset_index(drop=True), garden="G010")
    built = ruler(replace(view, worked=Worked()), longer, screen)
    listed = [getattr(link, "aria-label") for link in find(find(built, "Ol"), "A")]
    assert NEAREST <= len(listed) <= NEAREST + 1
    assert any("late" in name for name in listed) is not screen.narrow


def test_colour_never_stands_without_a_word(view):
    for page in PAGES:
        for part in walk(list(route(view, page.path, "", Screen()).main)):
            look = str(getattr(part, "className", ""))
            if look in ("stake", "key") or look.startswith("mk "):
                assert getattr(part, "aria-hidden") == "true"


def test_the_mark_over_a_figure_stands_at_the_chosen_garden(view):
    (over,) = find(route(view, "/gradient", "?garden=G05", Screen()).main, "Div", className="sight")
    places = json.loads(getattr(over, "data-places"))
    plumb, ring = over.children
    assert getattr(over, "data-chosen") == "G05"
    index = places["sites"].index("G05")
    assert float(plumb.style["--at"]) == pytest.approx(places["at"][index] / 10_000, abs=1e-4)
    assert ring.style["top"] == f"{places['up'][index]:.1f}px"
    assert not plumb.hidden


def test_without_a_chosen_garden_no_mark_is_seen(view):
    (over,) = find(route(view, "/watch", "", Screen()).main, "Div", className="sight")
    assert all(mark.hidden for mark in over.children)


@pytest.mark.parametrize("page", OF_TRIALS, ids=lambda page: page.path)
def test_a_page_keeps_few_enough_parts_to_stay_quick(view, page):
    # The renderer of Dash slows down with the square of its components: 4,800 took most of a minute.
    routed = route(view, page.path, "?season=2024", Screen())
    whole = [routed.masthead, routed.chosen.ruler, routed.main]
    parts = [part for part in walk(whole) if not isinstance(part, str)]
    assert len(parts) < 500


def test_no_script_stands_inside_a_page_or_the_index():
    for module in ROOT.rglob("*.py"):
        assert "html.Script" not in module.read_text(encoding="utf-8")
    index = (ROOT / "index.html").read_text(encoding="utf-8")
    assert re.findall(r"<script(?![^>]*src=)", index) == []


def test_no_style_sheet_or_script_names_another_server():
    for asset in [*ROOT.rglob("*.css"), *ROOT.rglob("*.js")]:
        text = re.sub(r"http://www\.w3\.org/\S+", "", asset.read_text(encoding="utf-8"))
        assert "http" not in text, asset


def test_every_font_comes_with_its_licence():
    fonts = {font.name for font in (ROOT / "assets" / "fonts").iterdir()}
    assert {"OFL-atkinson-next.txt", "OFL-besley.txt"} <= fonts
    assert len([name for name in fonts if name.endswith(".woff2")]) == 2


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        ("27 percent more than own-root plants.", ["own-root"]),
        ("Own-root, and (self-saved) seed", ["Own-root,", "(self-saved)"]),
        ("Nothing is out yet.", []),
        ("The answer −3 to 12% is – for now – open", []),
        ("a word-of-more-letters-than-a-line-has", []),
    ],
)
def test_a_short_word_of_a_heading_does_not_break_at_its_hyphen(words, kept):
    heading = html.H1(unbroken(words))
    assert [text_of(one) for one in find(heading, "Span", className="nowrap")] == kept
    assert "".join(str(text) for text in walk(heading) if isinstance(text, str)) == words
