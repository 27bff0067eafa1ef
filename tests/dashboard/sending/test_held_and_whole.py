"""On the garden's own page a held weight can be said to be right, and a whole sheet mended on Send."""

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.sending.gate import Gate
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.store.engine import open_store
from tests.dashboard.browsing import browsing
from tests.dashboard.tree import find, text_of

#: Fruits of 170 lb, which wait.
HEAVY = "site,plot,date,count,weight,unit\nK01,2,2025-08-12,8,1360,lb\n"
#: Counts that stand under the heading of weights.
SWAPPED = "site,plot,date,weight,count,unit\n" + "".join(
    f"K01,{plot},2025-{month:02}-{day:02},8,{weight},lb\n"
    for month, day in ((7, 20), (7, 27), (8, 3), (8, 10))
    for plot, weight in ((1, 3), (2, 4), (9, 3), (10, 2))
)


@pytest.fixture
def taken(network):
    """Return a function that lets a night take one sheet of a garden, and gives its gate."""

    def take(sheet: str) -> Gate:
        (network.inbox / "K01").mkdir(parents=True)
        (network.inbox / "K01" / "sheet.csv").write_text(sheet, encoding="utf-8")
        assert run_night(network).status == "published"
        return Gate(network, open_store(network.database_url))

    return take


def page_of(gate: Gate, path: str, query: str):
    newest = newest_of(gate.workspace, gate.engine)
    return route(View(newest(), OPEN_ACCOUNT, gate=gate), path, query, Screen()).main


def test_a_held_weight_that_the_garden_calls_right_no_longer_waits(taken):
    gate = taken(HEAVY)
    page = page_of(gate, "/my-garden", "?garden=K01")
    assert "It is right" in [text_of(one) for one in find(page, "Button")]
    (asked,) = (one["finding_id"] for one in gate.open_questions("K01") if one["check"] == "weight-unit-slip")
    client = browsing(create_app(newest_of(gate.workspace, gate.engine), gate=gate))
    client.post("/my-garden/answer?garden=K01", data={"finding": str(asked), "answer": "use it"})
    assert run_night(gate.workspace).trouble == ""
    assert "held" not in {one["level"] for one in gate.open_questions("K01")}


def test_what_mends_a_whole_sheet_opens_it_on_send_with_the_answer_chosen(taken):
    gate = taken(SWAPPED)
    page = page_of(gate, "/my-garden", "?garden=K01")
    (switch,) = [one for one in find(page, "A") if text_of(one) == "Switch them"]
    path, _, query = switch.href.partition("?")
    said = text_of(page_of(gate, path, f"?{query}"))
    assert "Your corrected sheet" in said
    assert "Switch them. Thank you." in said
