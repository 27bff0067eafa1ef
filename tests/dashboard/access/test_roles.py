"""Every page, route, callback, download and frame with every role and none; one without a rule fails here."""

import pytest

from dashboard.access.account import Account
from dashboard.access.asked import callback_name
from dashboard.access.rows import Seen
from dashboard.access.rules import RULES, allowed, may, rule_of
from dashboard.router import PAGES
from pipeline.publish.frames import FRAMES
from pipeline.response.middle_half import garden_totals, middle_half
from tests.dashboard.access.network import OTHER, OWN
from tests.dashboard.invented import RUNNING, TRIAL

ROLES = ("lead", "volunteer", "administrator", "public")
#: Routes that are asked with a stand-in for what their address holds.
STAND_INS = {
    "token": "none",
    "number": "999",
    "name": "moon",
    "filename": "none.css",
    "path": "moon",
    "upload": "1",
    "package_name": "moon",
    "fingerprinted_path": "moon.js",
}


def account_of(role: str) -> Account:
    return Account(role, role, (OWN,) if role == "volunteer" else ())


def address_of(route) -> str:
    """Return an address of a route, with a stand-in for each part that it leaves open."""
    address = route.rule
    for name, value in STAND_INS.items():
        for form in (f"<{name}>", f"<string:{name}>", f"<path:{name}>", f"<int:{name}>"):
            address = address.replace(form, value)
    return address


def server_callbacks(app) -> list[dict]:
    """Return the callbacks that run on the server, as Dash tells browsers to ask for them."""
    app.server.test_client().get("/privacy")
    return [one for one in app._callback_list if not one["clientside_function"]]


def request_for(callback: dict, values: dict[str, object]) -> dict:
    """Return what a browser sends to run a callback, with values by part and property."""

    def part(spec):
        key = f"{spec['id']}.{spec['property']}"
        one = {"id": spec["id"], "property": spec["property"], "value": values.get(key)}
        return [one] if str(spec["id"]).startswith("{") else one

    return {
        "output": callback["output"],
        "outputs": [
            dict(zip(("id", "property"), one.split("@")[0].rsplit(".", 1), strict=True))
            for one in callback["output"].strip(".").split("...")
            if "." in one
        ],
        "inputs": [part(spec) for spec in callback["inputs"]],
        "state": [part(spec) for spec in callback["state"]],
        "changedPropIds": [],
    }


def test_every_page_has_a_rule():
    assert [page.path for page in PAGES if rule_of("page", page.path) is None] == []


def test_every_route_has_a_rule(network):
    endpoints = {rule.endpoint for rule in network.app.server.url_map.iter_rules()}
    assert sorted(one for one in endpoints if rule_of("route", one) is None) == ["/_reload-hash", "static"]


def test_every_callback_has_a_rule(network):
    names = [callback_name(one["output"], one["inputs"]) for one in server_callbacks(network.app)]
    assert names != []
    assert [name for name in names if rule_of("callback", name) is None] == []


def test_every_frame_has_a_rule():
    assert [frame.name for frame in FRAMES if rule_of("frame", frame.name) is None] == []


def test_no_two_rules_are_about_the_same_thing():
    named = [(rule.kind, rule.name) for rule in RULES]
    assert len(named) == len(set(named))


def test_no_background_callback_is_registered(network):
    assert [one for one in server_callbacks(network.app) if one["background"]] == []


@pytest.mark.parametrize("role", ROLES)
def test_what_no_rule_names_is_denied(role):
    verdict = may(account_of(role), "page", "/moon")
    assert not verdict
    assert "No rule" in verdict.reason


@pytest.mark.parametrize("role", ROLES)
def test_what_is_listed_is_what_may_be_done(role):
    account = account_of(role)
    for kind in ("page", "route", "callback", "frame", "act"):
        listed = allowed(account, kind)
        assert listed == [rule.name for rule in RULES if rule.kind == kind and may(account, kind, rule.name)]
        assert all(role in rule_of(kind, name).roles for name in listed)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: f"{rule.kind} {rule.name}")
def test_a_volunteer_has_no_garden_but_the_own_one(rule):
    account = account_of("volunteer")
    if "volunteer" not in rule.roles:
        assert not may(account, rule.kind, rule.name, [OWN])
    elif rule.gardens == "own":
        assert may(account, rule.kind, rule.name, [OWN])
        assert not may(account, rule.kind, rule.name, [OTHER])
        assert not may(account, rule.kind, rule.name, [OWN, OTHER])


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
@pytest.mark.parametrize("role", ROLES)
def test_a_page_answers_as_its_rule_says(network, role, page):
    client = network.browser() if role == "public" else network.signed_in(role)
    verdict = may(account_of(role), "page", page.path)
    expected = 200 if verdict else (401 if role == "public" else 403)
    assert client.get(page.path).status_code == expected


@pytest.mark.parametrize(("page", "figure"), [(page, figure) for page in PAGES for figure in page.tables])
@pytest.mark.parametrize("door", ["/download/{}.csv", "/table/{}"])
@pytest.mark.parametrize("role", ROLES)
def test_a_table_answers_as_the_rule_of_its_page_says(network, role, page, figure, door):
    client = network.browser() if role == "public" else network.signed_in(role)
    answer = client.get(f"{door.format(page.name)}?figure={figure}")
    if may(account_of(role), "page", page.path):
        assert answer.status_code in {200, 404}
    else:
        assert answer.status_code == (401 if role == "public" else 403)
        assert "G0" not in answer.text


@pytest.mark.parametrize("role", ROLES)
def test_every_route_answers_as_its_rule_says(network, role):
    for rule in network.app.server.url_map.iter_rules():
        address = address_of(rule)
        for method in sorted(rule.methods - {"HEAD", "OPTIONS"}):
            client = network.browser() if role == "public" else network.signed_in(role)
            status = client.open(address, method=method).status_code
            if not may(account_of(role), "route", rule.endpoint):
                assert status == (401 if role == "public" else 403), (method, address)
            else:
                assert status < 500, (method, address)


@pytest.mark.parametrize("role", ROLES)
@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
def test_every_callback_refuses_a_page_that_the_role_may_not_open(network, role, page):
    client = network.browser() if role == "public" else network.signed_in(role)
    values = {"url.pathname": page.path, "url.search": "", "screen.data": {}}
    for callback in server_callbacks(network.app):
        if not any(spec["id"] == "url" for spec in (*callback["inputs"], *callback["state"])):
            continue
        status = client.post("/_dash-update-component", json=request_for(callback, values)).status_code
        if may(account_of(role), "page", page.path):
            assert status in {200, 204}
        else:
            assert status == (401 if role == "public" else 403)


@pytest.mark.parametrize("path", ["/gradient", "/my-garden", "/send"])
@pytest.mark.parametrize("role", ["volunteer", "administrator", "public"])
def test_every_callback_refuses_a_crafted_request_for_another_garden_and_the_audit_says_so(
    network, role, path
):
    client = network.browser() if role == "public" else network.signed_in(role)
    values = {"url.pathname": path, "url.search": f"?garden={OTHER}", "screen.data": {}}
    for callback in server_callbacks(network.app):
        # Whatever else a callback takes, it is sent the other garden's name as well.
        for spec in (*callback["inputs"], *callback["state"]):
            values.setdefault(f"{spec['id']}.{spec['property']}", {"garden": OTHER})
        before = len(network.audit())
        answer = client.post("/_dash-update-component", json=request_for(callback, values))
        assert answer.status_code == (401 if role == "public" else 403)
        assert OTHER not in answer.text.replace("another garden than yours: " + OTHER, "")
        if role != "public":
            name = callback_name(callback["output"], callback["inputs"])
            line = network.audit()[0]
            assert len(network.audit()) == before + 1
            assert f"refused | None | callback {name}" in line


def test_every_route_and_page_of_an_own_garden_refuses_another_one_and_the_audit_says_so(network):
    client = network.signed_in("volunteer")
    doors = [
        (route, method)
        for route in network.app.server.url_map.iter_rules()
        for method in sorted(route.methods - {"HEAD", "OPTIONS"})
        if rule_of("route", route.endpoint) and rule_of("route", route.endpoint).gardens == "own"
    ]
    addresses = [(address_of(route), method) for route, method in doors]
    addresses += [(page.path, "GET") for page in PAGES if rule_of("page", page.path).gardens == "own"]
    addresses += [
        (f"/table/{page.name}?figure={figure}", "GET")
        for page in PAGES
        for figure in page.tables
        if rule_of("page", page.path).gardens == "own"
    ]
    assert len(addresses) > 10
    for address, method in addresses:
        before = len(network.audit())
        answer = client.open(f"{address}{'&' if '?' in address else '?'}garden={OTHER}", method=method)
        assert answer.status_code == 403, (method, address)
        assert len(network.audit()) == before + 1, (method, address)
        assert "another garden than yours" in network.audit()[0]


@pytest.mark.parametrize("role", ROLES)
def test_the_index_the_layout_and_the_dependencies_hold_nothing_of_another_role(network, role):
    client = network.browser() if role == "public" else network.signed_in(role)
    account = account_of(role)
    text = "".join(client.get(path).text for path in ("/", "/_dash-layout", "/_dash-dependencies"))
    for page in PAGES:
        if not may(account, "page", page.path):
            assert f'"{page.path}"' not in text
            assert page.words.reading not in text
    assert "Corvane" not in text
    assert OTHER not in text


def test_the_list_of_callbacks_names_only_those_that_the_reader_may_run(network):
    names = {
        callback_name(one["output"], one["inputs"])
        for one in network.browser().get("/_dash-dependencies").get_json()
        if not one["clientside_function"]
    }
    assert names <= set(allowed(account_of("public"), "callback"))


def test_a_volunteer_sees_the_middle_half_of_the_others_and_none_of_them(published):
    seen = Seen(published, account_of("volunteer"))
    assert seen.frame("harvest_curves", TRIAL, RUNNING).empty
    middle = seen.unnamed(
        "harvest_curves", garden_totals, lambda totals: middle_half(totals, without=OWN), TRIAL, RUNNING
    )
    assert len(middle) > 0
    assert list(middle.columns) == ["date", "low", "high"]


def test_what_is_made_of_all_gardens_must_not_name_them(published):
    with pytest.raises(ValueError, match="names site"):
        Seen(published, account_of("volunteer")).unnamed(
            "harvest_curves", lambda rows: rows, lambda rows: rows[["site", "date"]], TRIAL, RUNNING
        )
