"""What `longrow serve` refuses, what `longrow account` does, and what the audit keeps."""

import json
from types import SimpleNamespace

import pytest
import sqlalchemy as sa
from flask import g
from typer.testing import CliRunner

from dashboard import app
from dashboard.access import audit
from dashboard.access.account import NOBODY
from dashboard.access.command import account
from dashboard.access.demo import demo_accounts
from dashboard.access.door import write_down
from dashboard.app import create_app
from dashboard.router import Routed
from dashboard.serve import serve
from pipeline.store.account_tables import audit as audit_table
from pipeline.store.engine import writing
from sites.errors import InputError
from tests.dashboard.access.network import OWN, make_network
from tests.dashboard.access.test_roles import request_for, server_callbacks


def run(network, *arguments):
    return CliRunner().invoke(account, [*arguments, "--workspace", str(network.workspace.root)])


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.1", "::"])  # noqa: S104
def test_nobody_beyond_this_machine_is_served_before_there_is_a_lead(published, tmp_path, host):
    network = make_network(tmp_path / "row", published, with_people=False)
    with pytest.raises(InputError, match="no lead's account"):
        serve(network.workspace.root, host=host, port=0)
    network.engine.dispose()


def test_a_public_address_is_not_served_before_there_is_a_lead(published, tmp_path):
    settings = '[serving]\naddress = "https://trial.example"\n'
    network = make_network(tmp_path / "row", published, settings, with_people=False)
    with pytest.raises(InputError, match="no lead's account"):
        serve(network.workspace.root, port=0)
    network.engine.dispose()


def test_other_machines_are_not_served_before_the_server_knows_its_name(fresh):
    with pytest.raises(InputError, match="its own name"):
        serve(fresh.workspace.root, host="192.0.2.1", port=0)


def test_adding_a_person_prints_a_link_that_lets_them_in(fresh):
    answer = run(fresh, "add", "Uma Vale", "--garden", OWN, "--language", "es", "--json")
    link = json.loads(answer.stdout)["link"]
    fresh.clock.now = fresh.clock.now.replace(year=2020)
    page = fresh.browser().get(link.removeprefix("http://127.0.0.1:8050"))
    assert "Uma Vale" in page.text


def test_people_are_listed_and_removed(fresh):
    listed = json.loads(run(fresh, "list", "--json").stdout)["accounts"]
    assert {one["name"] for one in listed} == {"Ada Lind", "Rosa Quist", "Max Orrin"}
    assert run(fresh, "remove", "rosa quist").exit_code == 0
    assert "Rosa" not in run(fresh, "list").stdout


@pytest.mark.parametrize(
    "arguments",
    [
        ["add", "Uma Vale", "--garden", "G99"],
        ["add", "Uma Vale"],
        ["add", "Uma Vale", "--role", "king"],
        ["add", "Rosa Quist", "--garden", OWN],
        ["add", "Uma Vale", "--role", "lead", "--garden", OWN],
        ["add", "Uma Vale", "--role", "lead", "--mail", "not an address"],
        ["link", "Nobody Here"],
        ["remove", "Ada Lind"],
    ],
)
def test_what_does_not_fit_is_refused_in_words(fresh, arguments):
    assert isinstance(run(fresh, *arguments).exception, InputError)


def test_a_new_link_for_a_lost_one_is_text_and_a_square(fresh):
    answer = run(fresh, "link", "Rosa Quist")
    assert "/come-in/" in answer.stdout
    assert "▀" in answer.stdout


def test_the_demo_has_an_account_of_each_role(published, tmp_path):
    network = make_network(tmp_path / "row", published, with_people=False)
    first = demo_accounts(network.workspace, network.engine)
    assert [name for name, _ in first] == ["lead", "volunteer", "administrator"]
    assert [name for name, _ in demo_accounts(network.workspace, network.engine)] == [
        name for name, _ in first
    ]
    network.engine.dispose()


def test_the_audit_says_who_signed_in_sent_and_saw_contact_details(fresh):
    lead = fresh.signed_in("lead")
    lead.get("/people")
    lead.post("/people/2/link")
    lead.post("/sign-out")
    acts = [line.split(" | ")[1] for line in fresh.audit()]
    assert acts == ["signed out", "made a link", "saw contact details"]


@pytest.mark.parametrize("role", ["volunteer", "administrator"])
def test_the_audit_is_for_leads(fresh, role):
    assert fresh.signed_in(role).get("/people").status_code == 403


def test_no_line_of_the_audit_can_be_changed_or_taken_out(fresh):
    with writing(fresh.engine) as connection:
        audit.write(connection, NOBODY, "tried", audit_now(), what="x")
    for statement in (sa.update(audit_table).values(act="other"), sa.delete(audit_table)):
        with pytest.raises(sa.exc.IntegrityError), writing(fresh.engine) as connection:
            connection.execute(statement)
    assert "nobody | tried | None | x" in fresh.audit()


def audit_now():
    from dashboard.access.door import moment

    return moment()


def test_lines_are_taken_out_after_their_time(fresh):
    with writing(fresh.engine) as connection:
        for year in (2020, 2026):
            audit.write(connection, NOBODY, f"in {year}", audit_now().replace(year=year))
        audit.sweep(connection, audit_now().replace(year=2026))
    assert [line.split(" | ")[1] for line in fresh.audit()] == ["in 2026"]


def test_a_person_can_take_away_what_is_kept_of_them(fresh):
    record = fresh.signed_in("volunteer").get("/account/record.json").get_json()
    assert record["accounts"][0]["name"] == "Rosa Quist"
    assert "argon2" not in json.dumps(record)


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_is_kept_of_people_stands_on_one_page(fresh, language):
    text = fresh.browser().get(f"/privacy?lang={language}").text
    assert "400" in text
    assert text.count("<tr>") == 7


def test_what_the_lead_releases_is_written_into_the_audit(fresh):
    with fresh.app.server.test_request_context("/release"):
        g.door, g.account = fresh.door, fresh.account("lead")
        write_down("released", what="graft|2024")
    with fresh.engine.connect() as connection:
        line = audit.newest(connection)[0]
    assert (line.name, line.act, line.what) == ("Ada Lind", "released", "graft|2024")


def test_who_typed_which_picture_in_is_written_into_the_audit(fresh, published):
    desk = SimpleNamespace(type_in=lambda *_asked: "paper-4.csv")
    fresh.app = create_app(lambda: published, door=fresh.door, desk=desk)
    typed = next(one for one in server_callbacks(fresh.app) if "typed.data" in one["output"])
    values = {"paper-save.n_clicks": 1, "paper-upload.data": 4, "paper-site.value": OWN}
    asked = request_for(typed, values) | {"changedPropIds": ["paper-save.n_clicks"]}
    # The cells: none were filled in.
    asked["state"][-1] = []
    assert fresh.signed_in("lead").post("/_dash-update-component", json=asked).status_code == 200
    assert fresh.audit()[0] == f"Ada Lind | typed a picture in | {OWN} | upload 4: paper-4.csv"


def test_only_whoever_may_decide_gets_the_desk_of_decisions(fresh, published, monkeypatch):
    handed = {}

    def route(view, *_asked):
        handed[view.account.role] = view.desk
        return Routed("", [], [])

    monkeypatch.setattr(app, "route", route)
    desk = SimpleNamespace()
    fresh.app = create_app(lambda: published, door=fresh.door, desk=desk)
    router = next(one for one in server_callbacks(fresh.app) if "main.children" in one["output"])
    values = {"url.pathname": "/results", "url.search": "", "screen.data": {}}
    for role in ("lead", "volunteer", "administrator"):
        client = fresh.signed_in(role)
        client.post("/_dash-update-component", json=request_for(router, values))
    assert handed == {"lead": desk, "volunteer": None, "administrator": None}
