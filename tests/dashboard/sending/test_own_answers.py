"""What a garden answers on its own page is kept under its name until the night, and can be taken back."""

import hashlib
import io

import pytest

from dashboard.access.account import OPEN_ACCOUNT
from dashboard.app import create_app
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from dashboard.sending.gate import Gate
from dashboard.serve import newest_of
from pipeline.nightly import run_night
from pipeline.said_right import FOLDER
from pipeline.store.engine import open_store
from tests.dashboard.browsing import browsing
from tests.dashboard.tree import find, text_of

#: A blank weight is asked about; a plot that is not there waits.
SHEET = (
    "site,plot,date,count,weight,unit\n"
    "K01,1,2025-08-05,8,3.1,lb\n"
    "K01,2,2025-08-05,7,2.9,lb\n"
    "K01,1,2025-08-12,8,,lb\n"
    "K01,3x,2025-08-12,8,3.1,lb\n"
)


@pytest.fixture
def gate(network) -> Gate:
    (network.inbox / "K01").mkdir(parents=True)
    (network.inbox / "K01" / "sheet.csv").write_text(SHEET, encoding="utf-8")
    report = run_night(network)
    assert report.status == "published", report.trouble
    return Gate(network, open_store(network.database_url))


@pytest.fixture
def client(gate):
    return browsing(create_app(newest_of(gate.workspace, gate.engine), gate=gate))


def finding(gate: Gate, check: str) -> str:
    asked = (one for one in gate.open_questions("K01") if one["check"] == check)
    return str(next(asked)["finding_id"])


def test_it_is_right_is_kept_as_the_gardens_answer(client, gate):
    form = {"finding": finding(gate, "weight-blank"), "answer": "use it"}
    told = client.post("/my-garden/answer?garden=K01&lang=es", data=form).get_json()
    assert told["next"] == "/my-garden?garden=K01&lang=es"
    (given,) = gate.answers("K01")
    assert (given["answer"], given["finding_id"]) == ("use it", int(form["finding"]))
    assert gate.answers("K02") == []


def test_a_typed_value_is_kept_and_what_cannot_be_read_is_asked_again(client, gate):
    form = {"finding": finding(gate, "plot-unknown"), "answer": "change it", "column": "plot", "value": "2"}
    assert "next" in client.post("/my-garden/answer?garden=K01", data=form).get_json()
    assert [given["value"] for given in gate.answers("K01")] == ["2"]
    blank = {"finding": finding(gate, "weight-blank"), "answer": "change it", "column": "marketable_weight"}
    told = client.post("/my-garden/answer?garden=K01", data=blank | {"value": "a lot"}).get_json()
    assert "a lot" in told["wants"][0]


@pytest.mark.parametrize("answer", ["release it", "", "swapped"])
def test_an_answer_that_is_not_offered_is_not_kept(client, gate, answer):
    form = {"finding": finding(gate, "weight-blank"), "answer": answer}
    assert "wants" in client.post("/my-garden/answer?garden=K01", data=form).get_json()
    assert gate.answers("K01") == []


def test_another_gardens_question_is_not_there(client, gate):
    form = {"finding": finding(gate, "weight-blank"), "answer": "use it"}
    assert "wants" in client.post("/my-garden/answer?garden=K02", data=form).get_json()
    assert gate.answers("K02") == []


def test_an_answer_can_be_taken_back_by_its_own_garden_alone(client, gate):
    form = {"finding": finding(gate, "weight-blank"), "answer": "use it"}
    client.post("/my-garden/answer?garden=K01", data=form)
    number = {"decision": str(gate.answers("K01")[0]["decision_id"])}
    assert "wants" in client.post("/my-garden/undo?garden=K02", data=number).get_json()
    assert len(gate.answers("K01")) == 1
    assert "next" in client.post("/my-garden/undo?garden=K01", data=number).get_json()
    assert gate.answers("K01") == []
    assert "wants" in client.post("/my-garden/undo?garden=K01", data=number).get_json()


RIGHT_AT_ONCE = b"site,plot,date,count,weight,unit\nK01,1,2025-08-19,8,,lb\nK01,2,2025-08-19,7,2.9,lb\n"
FIX = "weight-blank!marketable_weight!2!right!!!"


def send(client, fix: str = "") -> dict[str, str]:
    """Hand in a sheet with a blank weight, say of it what `fix` says; return what the answer is about."""
    client.post("/send/file?garden=K01", data={"file": (io.BytesIO(RIGHT_AT_ONCE), "week.csv")})
    digest = hashlib.sha256(RIGHT_AT_ONCE).hexdigest()
    about = {"garden": "K01", "sent": digest, "file": "week.csv", "fix": fix}
    told = client.post("/send/right", query_string=about).get_json()
    assert told["next"].startswith(f"/send?garden=K01&sent={digest}")
    return about


def test_what_is_right_on_the_page_of_a_sheet_becomes_an_answer_once_the_night_has_read_it(client, gate):
    send(client, FIX)
    assert gate.answers("K01") == []
    assert run_night(gate.workspace).trouble == ""
    (given,) = gate.answers("K01")
    assert (given["answer"], given["check"]) == ("use it", "weight-blank")
    asked = [
        one["finding_id"]
        for one in gate.open_questions("K01")
        if (one["check"], one["file"]) == ("weight-blank", "week.csv")
    ]
    assert asked == [given["finding_id"]]
    assert list((gate.workspace.root / FOLDER).iterdir()) == []


def test_what_was_undone_before_the_night_is_no_answer(client, gate):
    about = send(client, FIX)
    client.post("/send/right", query_string=about | {"fix": ""})
    assert run_night(gate.workspace).trouble == ""
    assert gate.answers("K01") == []


def test_what_nobody_asked_about_a_sheet_is_no_answer(client, gate):
    send(client, "weight-blank!marketable_weight!3!right!!!,moon!!2!right!!!")
    assert not (gate.workspace.root / FOLDER).exists()


@pytest.mark.parametrize("number", ["", "x", "-1", "\u0661"])
def test_a_garbled_answer_to_take_back_is_not_there(client, number):
    assert "wants" in client.post("/my-garden/undo?garden=K01", data={"decision": number}).get_json()


@pytest.fixture
def two_seasons(network) -> Gate:
    """Give a garden that grew the trial in two seasons and has a question of each."""
    trials, plots = network.registry / "trials.csv", network.registry / "plots.csv"
    trials.write_text(
        trials.read_text() + "eggplant-graft,2024,eggplant,own-root,2024-05-10,2024-10-05,2,2\n"
    )
    own = [line for line in plots.read_text().splitlines() if ",K01," in line]
    plots.write_text(plots.read_text() + "".join(f"2024{line[4:]}\n" for line in own))
    (network.inbox / "K01").mkdir(parents=True)
    for season in ("2024", "2025"):
        text = SHEET.replace("2025-", f"{season}-")
        (network.inbox / "K01" / f"sheet {season}.csv").write_text(text, encoding="utf-8")
    report = run_night(network)
    assert report.status == "published", report.trouble
    return Gate(network, open_store(network.database_url))


@pytest.mark.parametrize(("season", "other"), [("2025", "2024"), ("2024", "2025")])
def test_the_chosen_seasons_questions_come_first_and_others_stand_apart(two_seasons, season, other):
    view = View(newest_of(two_seasons.workspace, two_seasons.engine)(), OPEN_ACCOUNT, gate=two_seasons)
    main = route(view, "/my-garden", f"?garden=K01&season={season}", Screen()).main
    (apart,) = find(main, "Details", className="others")
    assert "Of other seasons: 3" in text_of(apart)
    assert f"sheet {other}.csv" in text_of(apart)
    assert f"sheet {season}.csv" not in text_of(apart)
    assert all(f"sheet {season}.csv" in text_of(one) for one in find(main, "Article")[:2])
