"""Ten thousand guesses at a passphrase, from one address and from many."""

import pytest

from dashboard.access import delays, sign_in
from dashboard.access.browser import COOKIE, proof
from tests.dashboard.access.network import PASSPHRASE

GUESSES = 10_000


@pytest.mark.parametrize("many_addresses", [False, True])
def test_ten_thousand_guesses_in_an_hour_try_a_handful_of_passphrases(fresh, monkeypatch, many_addresses):
    tried = []

    def look(passphrase: str, _stored: str | None) -> bool:
        tried.append(passphrase)
        return passphrase == PASSPHRASE

    # The hash is slow on purpose; what is counted here is how often it is asked.
    monkeypatch.setattr(sign_in, "is_right", look)
    client = fresh.browser()
    sent = proof(fresh.door, client.get_cookie(COOKIE).value)
    statuses = set()
    for number in range(GUESSES):
        form = {"name": "Rosa Quist", "passphrase": f"guess number {number}", "proof": sent}
        address = f"198.51.{number // 250}.{number % 250}" if many_addresses else "198.51.100.7"
        answer = client.post("/sign-in", data=form, environ_base={"REMOTE_ADDR": address})
        statuses.add(answer.status_code)
        fresh.clock.move(seconds=0.36)
    assert statuses == {401, 429}
    assert len(tried) < 25
    # Rosa herself is let in once the longest wait is over.
    fresh.clock.move(seconds=delays.LONGEST_WAIT)
    form = {"name": "Rosa Quist", "passphrase": PASSPHRASE, "proof": sent}
    assert client.post("/sign-in", data=form, environ_base={"REMOTE_ADDR": "203.0.113.9"}).status_code == 303


def test_one_address_that_tries_many_names_is_slowed_as_well(fresh, monkeypatch):
    tried = []
    monkeypatch.setattr(sign_in, "is_right", lambda *_: bool(tried.append(1)))
    client = fresh.browser()
    sent = proof(fresh.door, client.get_cookie(COOKIE).value)
    for number in range(500):
        form = {"name": f"Name {number}", "passphrase": "password password", "proof": sent}
        client.post("/sign-in", data=form, environ_base={"REMOTE_ADDR": "198.51.100.7"})
    assert len(tried) <= delays.FREE["address"] + 1


def test_links_cannot_be_guessed_by_trying(fresh):
    client = fresh.browser()
    for guess in ("0", "a" * 43, "../account", "%00", "' OR used IS NULL --", "x" * 5000):
        assert client.post(f"/come-in/{guess}").status_code in {400, 401, 403, 404, 405, 410, 414}
    assert "Welcome" not in client.get("/account").text
