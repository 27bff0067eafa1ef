"""Pages that lead back to rows, over a small night of their own: two gardens, one slipped decimal point."""

import json
import re
from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import pandas as pd
import pytest

from dashboard.access.account import Account
from dashboard.app import create_app
from dashboard.data import View
from dashboard.desk import Desk
from dashboard.figures.template import Screen
from dashboard.pages.answering import FIELDS, decide
from dashboard.router import route
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.settings import Settings
from pipeline.store.engine import open_store
from pipeline.workspace import make_workspace
from sites.errors import InputError
from tests.dashboard.drawn import accepted
from tests.dashboard.tree import find, text_of
from tests.pipeline.conftest import REGISTRY, TODAY
from tests.pipeline.test_paper import png

HEAD = "site,plot,date,marketable_count,marketable_weight,recorded_by\n"
#: 2 eggplants of 7.2 kg each, where each weighs about a third of a kilogram (sites/data/crops.csv).
SLIP = "G01,2,2024-08-15,2,14.4 kg,Ana\n"


def harvest() -> str:
    lines = [
        f"{site},{plot},2024-08-{day:02d},3,{0.9 + 0.05 * plot:.2f} kg,Ana\n"
        for site in ("G01", "G02")
        for day in (1, 8, 22)
        for plot in (1, 2, 3, 4)
    ]
    others = [f"G01,{plot},2024-08-15,3,1.00 kg,Ana\n" for plot in (1, 3, 4)]
    return HEAD + "".join(lines) + SLIP + "".join(others)


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Desk:
    folder = tmp_path_factory.mktemp("lead") / "network"
    workspace = make_workspace(folder, Settings(today=TODAY, units="si"), REGISTRY)
    (workspace.inbox / "picked.csv").write_text(harvest(), encoding="utf-8")
    run_night(workspace)
    return Desk(workspace, open_store(workspace.database_url))


@pytest.fixture
def view(desk) -> View:
    return View(newest_of(desk.workspace, desk.engine)(), Account("Ines", "lead"), desk)


@pytest.fixture(autouse=True)
def undo_all(desk):
    yield
    for decision in desk.decisions()["decision_id"]:
        desk.undo(int(decision), "test")


def page(view: View, address: str, *, narrow: bool = False) -> list:
    path, _, search = address.partition("?")
    # Every request has a view of its own, which sees the store as it stands then.
    return list(route(replace(view), path, search, Screen(narrow=narrow)).main)


def case_of(view: View) -> dict:
    return find(page(view, "/questions"), "Store", id="case")[0].data


def filled(**fields: str) -> dict[str, str]:
    return dict.fromkeys(FIELDS, "") | {"scope": "one"} | fields


def test_the_question_shows_the_row_its_neighbours_and_its_line(view):
    words = text_of(page(view, "/questions"))
    assert "Plot 2 (B), Aug\u00a015" in words
    assert "picked.csv, row 26" in words
    assert SLIP.split(",")[4] in words
    assert "moves it far" in words


def test_the_question_says_neither_which_way_nor_the_name_of_the_treatment(view):
    words = text_of(page(view, "/questions"))
    for telling in ("percent more", "percent less", "% more", "% less", "Grafted", "Own-root", "Corvane"):
        assert telling not in words


def test_an_answer_takes_the_question_off_the_page_at_once_and_undo_brings_it_back(view):
    before = text_of(page(view, "/questions"))
    decide(view, "set aside", case_of(view), filled(why="the scale slipped"))

    after = text_of(page(view, "/questions"))
    assert "Noted: G01, plot 2, Aug\u00a015: set aside." in after
    assert "the scale slipped" in after
    kept = view.desk.decisions().iloc[0]
    assert (kept["made_by"], kept["answer"]) == ("Ines", "set aside")

    view.desk.undo(int(kept["decision_id"]), "Ines")
    assert text_of(page(view, "/questions")) == before


@pytest.mark.parametrize(
    ("pressed", "fields", "said"),
    [
        ("change it", {"column": "marketable_weight", "value": ""}, "Write the value"),
        ("change it", {"column": "marketable_weight", "value": "lots"}, "cannot be read"),
        ("change it", {"column": "moon", "value": "1"}, "no column moon"),
        ("swapped", {"other": "", "from": "2024-08-01"}, "swapped with"),
        ("swapped", {"other": "2", "from": "2024-08-01"}, "swapped with"),
        ("guess", {}, "not known"),
    ],
)
def test_an_answer_that_lacks_something_is_refused_in_words(view, pressed, fields, said):
    with pytest.raises(InputError, match=said):
        decide(view, pressed, case_of(view), filled(**fields))
    assert view.desk.decisions().empty


def test_a_swap_names_both_plots_and_the_day(view):
    decide(
        view, "swapped", case_of(view), filled(where="planted this way", other="3", **{"from": "2024-08-01"})
    )
    kept = view.desk.decisions().iloc[0]
    assert (kept["answer"], kept["site"], kept["value"]) == ("planted this way", "G01", "2 3 2024-08-01")


def test_without_a_store_nothing_can_be_decided(view):
    with pytest.raises(InputError, match="not at hand"):
        decide(View(view.published, view.account), "use it", case_of(view), filled())


@pytest.mark.parametrize("narrow", [False, True])
def test_a_garden_leads_down_to_plot_row_file_and_line(view, narrow):
    rows = view.desk.garden_rows("harvest", "G01", "2024", view.published.run)
    row = rows[(rows["plot"] == "2") & (rows["date"] == pd.Timestamp("2024-08-15"))].iloc[0]
    address = f"/garden?garden=G01&plot=2&row=harvest-{row['row_id']}"
    words = text_of(page(view, address, narrow=narrow))
    assert "What became of picked.csv, row 26" in words
    assert SLIP.strip() in words
    assert "Rows of plot 2" in words


@pytest.mark.parametrize(("units", "unit", "per_kg"), [("si", "kg", 1.0), ("us", "lb", 1 / 0.45359237)])
def test_a_gardens_plots_are_weighed_in_the_networks_unit(view, units, unit, per_kg):
    # One pound is 0.45359237 kg exactly (international yard and pound agreement of 1959, NIST SP 811 B.8).
    desk = replace(view.desk, workspace=replace(view.desk.workspace, settings=Settings(units=units)))
    plots = find(page(replace(view, desk=desk), "/garden?garden=G02"), "Table")[0]
    trial = view.published.frame("trials").iloc[0]
    seasons = view.published.frame("plot_seasons", trial["trial"], trial["season"])
    seasons = seasons.set_index(["site", "plot"])
    weight = seasons.loc[("G02", "1"), "marketable_kg_per_plant"] * per_kg
    assert f"{unit} per plant" in text_of(plots)
    assert f"{weight:.2f}" in text_of(plots)


def test_a_garden_does_not_tell_of_another_gardens_row(view):
    other = view.desk.garden_rows("harvest", "G02", "2024", view.published.run)["row_id"].iloc[0]
    words = text_of(page(view, f"/garden?garden=G01&row=harvest-{other}"))
    assert "What became of" not in words


@pytest.mark.parametrize("row", ["harvest-", "harvest-999999", "moon-1", "harvest-1;drop"])
def test_a_row_that_is_not_there_is_passed_over(view, row):
    assert "What became of" not in text_of(page(view, f"/garden?garden=G01&row={row}"))


def test_the_visit_list_holds_the_gardens_open_questions(view):
    words = text_of(page(view, "/visits?garden=G01"))
    assert "Plot 2 (B), Aug\u00a015" in words
    assert "Seen:" in words
    assert "Plot 2 (B)" not in text_of(page(view, "/visits?garden=G02"))


def test_the_watch_page_says_that_the_night_ran(view):
    assert "The night ran at" in text_of(page(view, "/watch"))


@pytest.mark.parametrize(
    ("last", "said"),
    [
        (SimpleNamespace(status="failed", hours=1), "did not finish"),
        (SimpleNamespace(status="running", hours=40), "did not finish"),
        (SimpleNamespace(status="published", hours=40), "No night has run since"),
        (SimpleNamespace(status="nothing new", hours=40), "No night has run since"),
    ],
)
def test_a_night_that_did_not_run_is_said_loudly(view, last, said, monkeypatch):
    last.started = view.desk.now() - timedelta(hours=last.hours)
    monkeypatch.setattr(Desk, "last_run", lambda _: last)
    alerts = find(page(view, "/watch"), "Div", role="alert")
    assert said in text_of(alerts)
    assert "Nothing that was sent is lost" in text_of(alerts)


def test_a_night_that_is_under_way_is_no_alarm(view, monkeypatch):
    now = SimpleNamespace(status="running", started=view.desk.now())
    monkeypatch.setattr(Desk, "last_run", lambda _: now)
    assert not find(page(view, "/watch"), "Div", role="alert")


def test_every_page_of_the_lead_can_be_sent_as_it_stands(view):
    for address in ("/questions", "/garden?garden=G01&plot=2", "/plan?gain=15", "/visits", "/watch"):
        once, again = (json.dumps([str(part) for part in page(view, address)]) for _ in range(2))
        assert once == again


@pytest.mark.parametrize("address", ["/questions", "/garden?garden=G01&plot=2", "/plan?gain=15"])
def test_plotly_accepts_what_the_lead_is_shown(view, address):
    drawn = [accepted(graph.figure) for graph in find(page(view, address), "Graph")]
    assert drawn
    assert all(figure.data for figure in drawn)


def after_a_picture(view: View, desk: Desk) -> View:
    """Return what the reader sees after a night in which G02 sent a picture of its paper sheet."""
    folder = desk.workspace.inbox / "G02"
    folder.mkdir(exist_ok=True)
    (folder / "paper.png").write_bytes(png())
    run_night(desk.workspace)
    return View(newest_of(desk.workspace, desk.engine)(), view.account, desk)


def test_a_picture_of_paper_stands_beside_its_form_without_its_place(view, desk):
    seen = after_a_picture(view, desk)

    parts = page(seen, "/paper")

    assert "One picture waits" in text_of(parts)
    (shown,) = find(parts, "Img")
    assert "Paper record of" in shown.alt
    client = create_app(newest_of(desk.workspace, desk.engine), desk=desk).server.test_client()
    answer = client.get(shown.src)
    assert (answer.status_code, answer.mimetype, answer.data) == (200, "image/png", png())
    assert client.get("/picture/999999").status_code == 404
    assert "1\u00a0picture of paper waits" in text_of(page(seen, "/questions"))


def test_a_picture_stands_among_what_its_garden_sent(view, desk):
    seen = after_a_picture(view, desk)
    sent = text_of(page(seen, "/garden?garden=G02")).partition("What it sent")[2]
    assert re.match(r"\s+paper\.png\s+Sep\s1, 2024\s+a picture of a paper sheet", sent)


def test_a_gardens_curves_add_up_the_rows_that_counted_in_the_run(view):
    rows = view.desk.garden_rows("harvest", "G01", "2024", view.published.run)
    counted = rows[(rows["state"] == "counts") & rows["marketable_weight"].notna()]
    pickings = view.desk.weighed_pickings("G01", "2024", view.published.run)
    expected = zip(counted["plot"], counted["date"], counted["marketable_weight"], strict=True)
    assert sorted(pickings) == sorted(expected)
    assert view.desk.weighed_pickings("G01", "2024", 0) == []
