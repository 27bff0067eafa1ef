"""The accounts of the demo: one of each role, for this machine alone."""

import secrets

import sqlalchemy as sa

from dashboard.access import people
from dashboard.access.door import moment
from dashboard.access.passphrases import hashed
from pipeline.store.engine import writing
from pipeline.workspace import Workspace
from sites.registry import read_registry

#: Words to pick a passphrase from. It guards an invented network on one machine.
# fmt: off
_WORDS = (
    "acorn", "barrow", "basket", "bean", "beet", "berry", "bucket", "button", "candle", "carrot", "cellar",
    "clover", "copper", "cotton", "cradle", "cricket", "daisy", "fennel", "ferry", "flint", "furrow",
    "garlic", "ginger", "hammer", "harrow", "hazel", "heron", "hollow", "kettle", "ladder", "lantern",
    "lentil", "linen", "maple", "marble", "meadow", "mitten", "mustard", "nettle", "olive", "orchard",
    "parsley", "pebble", "pepper", "pillow", "pocket", "poppy", "pumpkin", "ribbon", "saddle", "shovel",
    "silver", "spinach", "squash", "sunflower", "thistle", "timber", "turnip", "velvet", "violet", "wagon",
    "walnut", "willow", "winter",
)
# fmt: on
#: Name and role of each account; its name is what one signs in with.
_ACCOUNTS = (("lead", "lead"), ("volunteer", "volunteer"), ("administrator", "administrator"))


def demo_accounts(workspace: Workspace, engine: sa.Engine) -> list[tuple[str, str]]:
    """Return name and passphrase of the demo's accounts; the accounts are made where they are not there.

    Passphrases are made anew at each call, as the store keeps their hashes only.
    """
    sites = sorted(read_registry(workspace.registry).gardens["site"])
    given = []
    for name, role in _ACCOUNTS:
        passphrase = "-".join(secrets.choice(_WORDS) for _ in range(4))
        stored = hashed(passphrase)
        with writing(engine) as connection:
            account = people.by_name(connection, name) or people.add(
                connection,
                name,
                role,
                [sites[len(sites) // 2]] if role == "volunteer" else [],
                known_gardens=sites,
                made_by="demo",
                now=moment(),
            )
            people.set_passphrase(connection, account, stored)
        given.append((name, passphrase))
    return given
