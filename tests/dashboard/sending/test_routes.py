"""What browsers hand in is kept, laid into the inbox, and told about at the address that comes back."""

import hashlib
import io

import pytest

from dashboard.app import create_app
from dashboard.serve import BeforeFirstNight
from tests.dashboard.browsing import browsing

SHEET = b"site,plot,date,count,weight,unit\nK01,1,2025-08-12,8,3.2,lb\nK01,3x,2025-08-12,8,3.1,lb\n"
DIGEST = hashlib.sha256(SHEET).hexdigest()


@pytest.fixture
def client(gate):
    workspace = gate.workspace
    before = BeforeFirstNight(workspace.today(), workspace.now())
    return browsing(create_app(lambda: before, gate=gate))


def test_a_file_is_kept_under_its_digest_and_waits_for_the_night(client, gate):
    answer = client.post("/send/file?garden=K01", data={"file": (io.BytesIO(SHEET), "our sheet.csv")})
    assert answer.get_json()["next"] == f"/send?garden=K01&sent={DIGEST}&file=our+sheet.csv"
    assert (gate.workspace.archive / DIGEST).read_bytes() == SHEET
    assert [file.name for file in gate.waiting("K01")] == ["our sheet.csv"]


def test_a_corrected_sheet_is_sent_as_a_file_of_its_own(client, gate):
    client.post("/send/file?garden=K01", data={"file": (io.BytesIO(SHEET), "sheet.csv")})
    fix = "plot-unknown!plot!3!2!!!3x"
    about = {"garden": "K01", "sent": DIGEST, "file": "sheet.csv", "fix": fix}
    answer = client.post("/send/corrected/send", query_string=about).get_json()
    digest = answer["next"].partition("sent=")[2].partition("&")[0]
    assert digest != DIGEST
    assert gate.told(digest, "sheet.csv", "K01").held == 0
    assert len(gate.waiting("K01")) == 2


def test_a_picking_by_hand_becomes_a_file_in_the_inbox(client, gate):
    fields = {"day": "2025-08-19", "unit": "lb", "count-1": "8", "weight-1": "3.2", "state-2": "zero"}
    client.post("/send/picking?garden=K01", data=fields)
    (file,) = gate.workspace.inbox.rglob("picking-K01-2025-08-19.csv")
    assert file.read_text(encoding="utf-8-sig").splitlines()[2] == "K01,2,2025-08-19,0,0,lb,,"


def test_a_picking_that_lacks_something_is_not_kept(client, gate):
    answer = client.post("/send/picking?garden=K02&lang=es", data={"day": "2025-08-19"})
    assert "Nada maduro" in answer.get_json()["wants"][0]
    assert gate.waiting("K02") == []


@pytest.mark.parametrize("path", ["/send/blank/harvest.csv", "/send/blank/soil.xlsx"])
def test_a_blank_sheet_is_a_file_to_take_away(client, path):
    answer = client.get(f"{path}?garden=K01&lang=es")
    assert answer.status_code == 200
    assert "attachment" in answer.headers["Content-Disposition"]


@pytest.mark.parametrize(
    "path",
    [
        "/send/blank/harvest.csv?garden=K99",
        "/send/blank/moon.csv?garden=K01",
        f"/send/corrected/csv?garden=K01&sent={'0' * 64}",
        "/send/corrected/csv?garden=K01&sent=../../network.toml",
    ],
)
def test_what_is_not_there_is_not_found(client, path):
    assert client.get(path).status_code == 404


def test_an_absence_is_added_once_to_the_registry(client, gate):
    days = {"from": "2025-08-22", "to": "2025-08-30"}
    for _ in range(2):
        assert client.post("/my-garden/away?garden=K01", data=days).status_code == 200
    assert len(gate.registry.absences) == 1
