"""A network with an account of each role, and browsers that are signed in."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache

import sqlalchemy as sa
from flask.testing import FlaskClient

from dashboard.access import people, sessions
from dashboard.access.account import Account
from dashboard.access.browser import COOKIE
from dashboard.access.door import Door, door_of
from dashboard.access.passphrases import hashed
from dashboard.app import create_app
from pipeline.store.engine import open_store, writing
from pipeline.workspace import Workspace, open_workspace
from tests.dashboard.browsing import browsing, proving

START = datetime(2025, 8, 12, 9, 0)
#: Of nobody and nothing; long enough to be taken.
PASSPHRASE = "quiet lantern over seven hills"  # noqa: S105
#: Gardens of the invented snapshot.
KNOWN = tuple(f"G{number:02}" for number in range(1, 25))
OWN, OTHER = "G05", "G07"
PEOPLE = {"Ada Lind": "lead", "Rosa Quist": "volunteer", "Max Orrin": "administrator"}
NAME_OF = {role: name for name, role in PEOPLE.items()}


class Clock:
    """A clock that stands until it is moved."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        return self.now

    def move(self, **by: float) -> None:
        self.now += timedelta(**by)


@cache
def stored(passphrase: str = PASSPHRASE) -> str:
    """Return the hash of a passphrase, worked out once: it is slow on purpose."""
    return hashed(passphrase)


@dataclass
class Network:
    """A running dashboard with its store."""

    workspace: Workspace
    engine: sa.Engine
    clock: Clock
    door: Door
    app: object = field(repr=False)

    def account(self, role: str) -> Account:
        with self.engine.connect() as connection:
            return people.by_name(connection, NAME_OF[role])

    def browser(self) -> FlaskClient:
        """Return a browser that nobody is signed in with."""
        return browsing(self.app)

    def signed_in(self, role: str) -> FlaskClient:
        """Return a browser with a session of the role."""
        client = self.app.server.test_client()
        with writing(self.engine) as connection:
            token = sessions.begin(connection, self.account(role), self.clock())
        client.set_cookie(COOKIE, token)
        return self.proving(client, token)

    def proving(self, client: FlaskClient, token: str) -> FlaskClient:
        from dashboard.access.browser import PROOF_COOKIE, proof

        client.set_cookie(PROOF_COOKIE, proof(self.door, token))
        return proving(client)

    def audit(self) -> list[str]:
        from dashboard.access import audit

        with self.engine.connect() as connection:
            return [
                " | ".join(str(part) for part in (line.name, line.act, line.site, line.what))
                for line in audit.newest(connection, most=10_000)
            ]


def make_network(folder, published, settings: str = "", *, with_people: bool = True) -> Network:
    """Return a network in an empty folder; `settings` is the text of its network.toml."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "network.toml").write_text(f'name = "Test row"\n{settings}', encoding="utf-8")
    workspace = open_workspace(folder)
    write_registry(folder / "registry")
    engine = open_store(workspace.database_url)
    clock = Clock()
    if with_people:
        with writing(engine) as connection:
            for name, role in PEOPLE.items():
                made = people.add(
                    connection,
                    name,
                    role,
                    [OWN] if role == "volunteer" else [],
                    known_gardens=KNOWN,
                    made_by="test",
                    now=START,
                    mail=f"{name.split()[0].lower()}@trial.example",
                )
                people.set_passphrase(connection, made, stored())
    made = door_of(workspace, engine)
    door = Door(engine, workspace, made.key, clock, made.hosts)
    return Network(workspace, engine, clock, door, create_app(lambda: published, door=door))


def write_registry(folder) -> None:
    """Write a registry of the gardens, one trial and one plot each, so that sheets can be judged."""
    gardens = [f"{site},Garden {site},-98.{at:02},38.5,contact of {site}" for at, site in enumerate(KNOWN)]
    plots = [f"{site},tomato,1,P{one},{which}" for site in KNOWN for one, which in ((1, "own"), (2, "graft"))]
    files = {
        "gardens.csv": ["site,name,lon,lat,contact", *gardens],
        "trials.csv": [
            "trial,season,crop,control,start,close,blocks,plants_per_plot",
            "tomato,2025,tomato,own,2025-04-01,2025-10-15,1,2",
        ],
        "treatments.csv": ["trial,treatment,code,label", "tomato,own,A,own-root", "tomato,graft,B,grafted"],
        "plots.csv": ["site,trial,block,plot,treatment", *plots],
    }
    for name, lines in files.items():
        (folder / name).write_text("\n".join(lines) + "\n", encoding="utf-8")
