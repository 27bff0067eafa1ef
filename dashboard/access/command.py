"""`longrow account`: adding people, letting them in again, seeing and removing them."""

import getpass
from datetime import timedelta
from typing import Annotated, Any

import sqlalchemy as sa
import typer

from dashboard.access import audit, invitations, people
from dashboard.access.account import NOBODY, Account
from dashboard.access.door import moment
from dashboard.access.letters import as_blocks, write_letter
from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say, table
from pipeline.store.engine import open_store, writing
from pipeline.workspace import Workspace, open_workspace
from sites.errors import InputError
from sites.registry import read_registry

account = typer.Typer(
    help="Who may come in: add people, give them a new link, list and remove them.", no_args_is_help=True
)
NameArgument = Annotated[str, typer.Argument(help="The person's name, as they sign in with it.")]
HoursOption = Annotated[
    float,
    typer.Option("--hours", min=0.1, max=24 * invitations.INVITATION_DAYS, help="How long the link works."),
]
_DAYS_IN_HOURS = 24.0 * invitations.INVITATION_DAYS


@account.command()
def add(
    name: NameArgument,
    role: Annotated[str, typer.Option("--role", help="lead, volunteer or administrator.")] = "volunteer",
    garden: Annotated[
        list[str] | None, typer.Option("--garden", help="A volunteer's garden; may be given several times.")
    ] = None,
    mail: Annotated[str | None, typer.Option("--mail", help="Mail address, if they want letters.")] = None,
    language: Annotated[str | None, typer.Option("--language", help="en or es.")] = None,
    workspace: WorkspaceOption = None,
    as_json: JsonOption = False,
) -> None:
    """Add a person, and print the link that lets them in, once, within 7 days."""
    place, engine = _open(workspace)
    known = read_registry(place.registry).gardens["site"]
    with writing(engine) as connection:
        made = people.add(
            connection,
            name,
            role,
            garden or [],
            known_gardens=known,
            made_by=getpass.getuser(),
            now=moment(),
            mail=mail,
            language=language or place.settings.language,
        )
        audit.write(connection, NOBODY, "added an account", moment(), what=f"account {made.id}, {role}")
    _give_link(place, engine, made, _DAYS_IN_HOURS, as_json=as_json)


@account.command()
def link(
    name: NameArgument,
    hours: HoursOption = _DAYS_IN_HOURS,
    workspace: WorkspaceOption = None,
    as_json: JsonOption = False,
) -> None:
    """Print a new link for a person who has lost theirs; an older unused one stops working."""
    place, engine = _open(workspace)
    with engine.connect() as connection:
        found = _named(connection, name)
    _give_link(place, engine, found, hours, as_json=as_json)


@account.command("list")
def list_accounts(workspace: WorkspaceOption = None, as_json: JsonOption = False) -> None:
    """List everybody who may come in."""
    _, engine = _open(workspace)
    with engine.connect() as connection:
        entries = [_entry(person) for person in people.everybody(connection)]
    if as_json:
        print_json({"accounts": entries})
        return
    rows = [
        [one["name"], one["role"], ", ".join(one["gardens"]), one["mail"] or "", one["seen"] or "never"]
        for one in entries
    ]
    say(
        table(rows, ["name", "role", "gardens", "mail", "last seen"])
        if rows
        else "There are no accounts yet."
    )


@account.command()
def remove(name: NameArgument, workspace: WorkspaceOption = None) -> None:
    """Remove a person: they are signed out everywhere at once. What they sent stays."""
    _, engine = _open(workspace)
    with writing(engine) as connection:
        found = _named(connection, name)
        people.remove(connection, found, moment())
        audit.write(connection, NOBODY, "removed an account", moment(), what=f"account {found.id}")
    say(f"{found.name} cannot come in any more. What they sent stays; longrow erase blanks their name.")


def _open(workspace: Any) -> tuple[Workspace, sa.Engine]:
    place = open_workspace(workspace)
    return place, open_store(place.database_url)


def _named(connection: sa.Connection, name: str) -> Account:
    found = people.by_name(connection, name)
    if found is None:
        raise InputError(f"There is no account {name!r}. See them with: longrow account list")
    return found


def _entry(person: people.Person) -> dict[str, Any]:
    return {
        "name": person.account.name,
        "role": person.account.role,
        "gardens": list(person.account.gardens),
        "mail": person.mail,
        "language": person.account.language,
        "has_passphrase": person.has_passphrase,
        "seen": f"{person.seen:%Y-%m-%d %H:%M}" if person.seen else None,
    }


def _give_link(place: Workspace, engine: sa.Engine, person: Account, hours: float, *, as_json: bool) -> None:
    """Make a link, lay a letter with it into the outbox where there is a mail address, and print it."""
    lifetime = timedelta(hours=hours)
    with writing(engine) as connection:
        token = invitations.make(connection, person, getpass.getuser(), moment(), lifetime)
        mail = people.mail_of(connection, person)
        audit.write(connection, NOBODY, "made a link", moment(), what=f"account {person.id}")
    address = (place.settings.serving.address or "http://127.0.0.1:8050").rstrip("/")
    text = f"{address}/come-in/{token}"
    if mail:
        write_letter(place, person, mail, text, lifetime)
    if as_json:
        print_json({"name": person.name, "role": person.role, "gardens": person.gardens, "link": text})
        return
    say(f"{person.name}, {person.role}{' of ' + ', '.join(person.gardens) if person.gardens else ''}")
    say(f"This link works once, within {hours / 24:g} days. We show it only now:\n\n{text}\n")
    say(as_blocks(text))
    if mail:
        say(f"\nA letter with it to {mail} lies in outbox/.")
