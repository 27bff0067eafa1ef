"""Coming in and going out: passphrases, links, sessions, and what slows guessing down."""

import re

import pytest

from dashboard.access import delays, invitations, people, sessions
from dashboard.access.browser import COOKIE, proof
from dashboard.access.passphrases import LONGEST, hashed, is_right, refuse_weak
from dashboard.access.sign_in import inside
from pipeline.store.engine import writing
from sites.errors import InputError
from tests.dashboard.access.network import NAME_OF, OWN, PASSPHRASE, make_network

NEW = "brown kettle sings at midnight"


def try_passphrase(network, client, name, passphrase, **further):
    token = client.get_cookie(COOKIE).value
    return client.post(
        "/sign-in",
        data={"name": name, "passphrase": passphrase, "proof": proof(network.door, token), **further},
    )


def link_for(network, role: str) -> str:
    with writing(network.engine) as connection:
        return invitations.make(connection, network.account(role), "test", network.clock())


def who(client) -> str:
    found = re.search(r"You are ([^.]*)\.", client.get("/account").text)
    return found[1] if found else ""


def test_a_name_and_its_passphrase_let_in(fresh):
    client = fresh.browser()
    answer = try_passphrase(fresh, client, "  rosa QUIST ", PASSPHRASE, next="/account")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/account")
    assert who(client) == "Rosa Quist"


def test_signing_in_gives_a_token_that_the_browser_has_not_had(fresh):
    client = fresh.browser()
    before = client.get_cookie(COOKIE).value
    try_passphrase(fresh, client, "Rosa Quist", PASSPHRASE)
    after = client.get_cookie(COOKIE)
    assert after.value != before
    assert after.http_only
    assert after.same_site == "Lax"


@pytest.mark.parametrize("name", ["Rosa Quist", "Nobody Here"])
def test_a_wrong_passphrase_and_an_unknown_name_are_answered_alike(fresh, name):
    client = fresh.browser()
    answer = try_passphrase(fresh, client, name, "not the passphrase")
    assert answer.status_code == 401
    assert "do not go together" in answer.text
    assert who(client) == ""


@pytest.mark.parametrize(
    ("address", "expected"),
    [
        ("/watch?garden=G05", "/watch?garden=G05"),
        ("//evil.example", "/"),
        ("/\\evil.example", "/"),
        ("https://evil.example/", "/"),
        ("evil.example", "/"),
        ("/a\r\nSet-Cookie: x=1", "/"),
        ("", "/"),
    ],
)
def test_signing_in_leads_nowhere_else(address, expected):
    assert inside(address) == expected


def test_opening_a_link_uses_nothing_up_and_the_button_lets_in_once(fresh):
    token = link_for(fresh, "volunteer")
    client = fresh.browser()
    for _ in range(3):
        # Mail programs open links to look at them.
        assert "Welcome, Rosa Quist" in client.get(f"/come-in/{token}").text
    assert client.post(f"/come-in/{token}").status_code == 303
    assert who(client) == "Rosa Quist"
    assert fresh.browser().post(f"/come-in/{token}").status_code == 410
    assert fresh.browser().get(f"/come-in/{token}").status_code == 410


def test_a_link_expires_after_seven_days(fresh):
    token = link_for(fresh, "volunteer")
    fresh.clock.move(days=6, hours=23)
    assert fresh.browser().get(f"/come-in/{token}").status_code == 200
    fresh.clock.move(hours=1)
    assert fresh.browser().post(f"/come-in/{token}").status_code == 410


def test_a_new_link_ends_the_older_unused_one(fresh):
    older = link_for(fresh, "volunteer")
    newer = link_for(fresh, "volunteer")
    assert fresh.browser().get(f"/come-in/{older}").status_code == 410
    assert fresh.browser().get(f"/come-in/{newer}").status_code == 200


def test_no_secret_is_in_the_store(fresh):
    link = link_for(fresh, "lead")
    client = fresh.browser()
    try_passphrase(fresh, client, "Rosa Quist", PASSPHRASE)
    token = client.get_cookie(COOKIE).value
    fresh.engine.dispose()
    kept = b"".join(path.read_bytes() for path in fresh.workspace.root.glob("longrow.db*"))
    for secret in (link, token, PASSPHRASE):
        assert secret.encode() not in kept


@pytest.mark.parametrize(("role", "idle_days"), [("lead", 0.5), ("volunteer", 30)])
def test_a_session_ends_when_it_is_not_used(fresh, role, idle_days):
    client = fresh.signed_in(role)
    fresh.clock.move(days=idle_days * 0.9)
    assert who(client) == NAME_OF[role]
    fresh.clock.move(days=idle_days * 0.9)
    assert who(client) == NAME_OF[role]
    fresh.clock.move(days=idle_days * 1.01)
    assert who(client) == ""


def test_a_session_ends_after_its_whole_life_however_much_it_is_used(fresh):
    client = fresh.signed_in("lead")
    whole, _ = sessions.LIFETIME_DAYS["lead"]
    for _ in range(int(whole * 3)):
        fresh.clock.move(hours=8)
        last = who(client)
    assert last == ""


def test_a_session_survives_a_restart(fresh, published, tmp_path):
    client = fresh.signed_in("volunteer")
    token = client.get_cookie(COOKIE).value
    again = make_network(tmp_path / "row", published, with_people=False)
    restarted = again.app.server.test_client()
    restarted.set_cookie(COOKIE, token)
    assert who(restarted) == "Rosa Quist"
    assert again.door.key == fresh.door.key
    again.engine.dispose()


def test_signing_out_ends_the_session_for_good(fresh):
    client = fresh.signed_in("volunteer")
    token = client.get_cookie(COOKIE).value
    assert client.post("/sign-out").status_code == 200
    replayed = fresh.app.server.test_client()
    replayed.set_cookie(COOKIE, token)
    assert who(replayed) == ""


def test_removing_an_account_ends_its_sessions_and_links(fresh):
    client, token = fresh.signed_in("volunteer"), link_for(fresh, "volunteer")
    with writing(fresh.engine) as connection:
        people.remove(connection, fresh.account("volunteer"), fresh.clock())
    assert who(client) == ""
    assert fresh.browser().post(f"/come-in/{token}").status_code == 410
    assert try_passphrase(fresh, fresh.browser(), "Rosa Quist", PASSPHRASE).status_code == 401


def test_the_last_lead_cannot_be_removed_and_a_hand_over_can_be_made(fresh):
    with writing(fresh.engine) as connection:
        with pytest.raises(InputError, match="only lead"):
            people.remove(connection, fresh.account("lead"), fresh.clock())
        people.add(connection, "Uma Vale", "lead", [], known_gardens=[], made_by="test", now=fresh.clock())
        people.remove(connection, fresh.account("lead"), fresh.clock())
        assert people.leads(connection) == 1


def test_changing_the_passphrase_signs_other_devices_out(fresh):
    here, elsewhere = fresh.signed_in("volunteer"), fresh.signed_in("volunteer")
    answer = here.post("/account/passphrase", data={"old": PASSPHRASE, "new": NEW})
    assert "Saved" in answer.text
    assert who(here) == "Rosa Quist"
    assert who(elsewhere) == ""
    assert try_passphrase(fresh, fresh.browser(), "Rosa Quist", NEW).status_code == 303


def test_the_passphrase_changes_only_with_the_old_one(fresh):
    client = fresh.signed_in("volunteer")
    answer = client.post("/account/passphrase", data={"old": "a guess, nothing more", "new": NEW})
    assert answer.status_code == 422
    assert try_passphrase(fresh, fresh.browser(), "Rosa Quist", NEW).status_code == 401


def test_guesses_at_the_old_passphrase_are_slowed_like_those_at_the_door(fresh):
    client = fresh.signed_in("volunteer")
    form = {"old": "a guess, nothing more", "new": NEW}
    statuses = [client.post("/account/passphrase", data=form).status_code for _ in range(9)]
    assert statuses == [422] * delays.FREE["account"] + [429] * (9 - delays.FREE["account"])
    # The right one waits as well: whoever guesses must not learn that it was right.
    right = {"old": PASSPHRASE, "new": NEW}
    assert client.post("/account/passphrase", data=right).status_code == 429
    assert "gave a wrong old passphrase" in network_acts(fresh)
    fresh.clock.move(seconds=delays.LONGEST_WAIT)
    assert client.post("/account/passphrase", data=right).status_code == 200


def network_acts(network) -> set[str]:
    return {line.split(" | ")[1] for line in network.audit()}


@pytest.mark.parametrize(
    "passphrase",
    [
        "too short",
        "x" * (LONGEST + 1),
        "aaaaaaaaaaaaaaaaaaaa",
        "123456789012345678",
        "abcabcabcabcabcabc",
        "Rosa Quist Rosa Quist",
        "rosa quist test row 1",
        "password password",
        "PasswordPassword1!",
        "Correct-Horse-Battery-Staple",
        "1qaz2wsx3edc4rfv",
        "tomato garden harvest 2025",
        "esta es mi contraseña",
    ],
)
def test_what_is_easily_guessed_is_not_taken(passphrase):
    with pytest.raises(InputError):
        refuse_weak(passphrase, ("Rosa Quist", "Test row"))


@pytest.mark.parametrize(
    "passphrase",
    [PASSPHRASE, "a tomato under the seventh bridge", "ñandú pequeño en la milpa", "x9$ kelp  ~ Torrent!"],
)
def test_any_other_passphrase_is_taken_whatever_is_in_it(passphrase):
    refuse_weak(passphrase, ("Rosa Quist", "Test row"))
    assert is_right(passphrase, hashed(passphrase))
    assert not is_right(passphrase.strip("!") + " ", hashed(passphrase))


def test_a_passphrase_is_kept_under_argon2id_with_the_parameters_of_the_standard():
    # RFC 9106, 4: the second recommended option, 64 MiB of memory, 3 passes, 4 lanes.
    assert hashed(PASSPHRASE).startswith("$argon2id$v=19$m=65536,t=3,p=4$")


def test_failures_make_the_next_attempt_wait_longer_and_longer(fresh):
    attempt = delays.Try("rosa quist", "192.0.2.1")
    waits = []
    with writing(fresh.engine) as connection:
        for _ in range(20):
            waits.append(delays.wait_seconds(connection, attempt, fresh.door.key, fresh.clock()))
            delays.failed(connection, attempt, fresh.door.key, fresh.clock())
    assert waits[:5] == [0] * 5
    assert waits[5:] == sorted(waits[5:])
    assert max(waits) == delays.LONGEST_WAIT


def test_nobody_is_shut_out_for_good_and_a_link_lets_in_at_once(fresh):
    client = fresh.browser()
    with writing(fresh.engine) as connection:
        for _ in range(1000):
            delays.failed(connection, delays.Try("rosa quist", "127.0.0.1"), fresh.door.key, fresh.clock())
    waiting = try_passphrase(fresh, client, "Rosa Quist", PASSPHRASE)
    assert waiting.status_code == 429
    assert 0 < int(waiting.headers["Retry-After"]) <= delays.LONGEST_WAIT + 1
    token = link_for(fresh, "volunteer")
    assert client.post(f"/come-in/{token}").status_code == 303
    fresh.clock.move(seconds=delays.LONGEST_WAIT)
    assert try_passphrase(fresh, fresh.browser(), "Rosa Quist", PASSPHRASE).status_code == 303


def test_names_and_addresses_of_failures_are_not_kept_in_plain(fresh):
    try_passphrase(fresh, fresh.browser(), "Rosa Quist", "not the passphrase")
    with fresh.engine.connect() as connection:
        rows = connection.exec_driver_sql("SELECT who FROM sign_in_failure").scalars().all()
    assert len(rows) == 2
    assert all(re.fullmatch("[0-9a-f]{64}", who) for who in rows)


def test_the_key_of_the_network_is_for_its_owner_alone(fresh):
    path = fresh.workspace.root / ".longrow-key"
    assert path.stat().st_mode & 0o777 == 0o600
    assert len(path.read_bytes()) == 32


@pytest.mark.parametrize(("language", "words"), [("en", "Sign in"), ("es", "Entrar")])
def test_the_door_speaks_the_language_of_the_browser(fresh, language, words):
    answer = fresh.browser().get("/sign-in", headers={"Accept-Language": language})
    assert f'<html lang="{language}">' in answer.text
    assert words in answer.text


def test_a_mailed_link_goes_to_the_outbox_and_the_answer_tells_nothing(published, tmp_path):
    settings = '[serving]\naddress = "https://trial.example"\nmail_links = true\n'
    network = make_network(tmp_path / "row", published, settings)
    host = {"Host": "trial.example", "Sec-Fetch-Site": "same-origin"}
    answers = []
    for name in ("Rosa Quist", "Nobody Here"):
        client = network.app.server.test_client()
        form = client.get("/sign-in", headers=host, base_url="https://trial.example")
        sent = re.search(r'name="proof" value="(\w+)"', form.text)[1]
        answer = client.post(
            "/sign-in/link",
            data={"name": name, "proof": sent},
            headers=host,
            base_url="https://trial.example",
        )
        answers.append(re.sub(r'name="proof" value="\w+"', "", answer.text))
    assert answers[0] == answers[1]
    letters = list((network.workspace.root / "outbox").glob("*.eml"))
    assert len(letters) == 1
    assert "https://trial.example/come-in/" in letters[0].read_text()
    assert letters[0].stat().st_mode & 0o777 == 0o600
    network.engine.dispose()


def test_the_first_account_is_a_leads_and_until_then_this_machine_alone_is_let_in(published, tmp_path):
    network = make_network(tmp_path / "row", published, with_people=False)
    assert network.browser().get("/watch").status_code == 200
    handed_on = network.app.server.test_client().get("/watch", headers={"X-Forwarded-For": "192.0.2.7"})
    assert handed_on.status_code == 401
    with writing(network.engine) as connection:
        for role, gardens in (("volunteer", [OWN]), ("administrator", [])):
            with pytest.raises(InputError, match="first account"):
                people.add(
                    connection, "Ann", role, gardens, known_gardens=[OWN], made_by="", now=network.clock()
                )
        people.add(connection, "Ann", "lead", [], known_gardens=[OWN], made_by="", now=network.clock())
    assert network.browser().get("/watch").status_code == 401
    network.engine.dispose()
