"""Who looks at a page."""

from dataclasses import dataclass, replace
from typing import Literal, get_args

from flask import g, has_request_context, request

from pipeline.words import LANGUAGES

#: A lead sees the network, a volunteer the own gardens, an administrator the totals, the public the released
#: answer.
Role = Literal["lead", "volunteer", "administrator", "public"]
#: Roles that an account can have; the public has none.
ACCOUNT_ROLES = tuple(role for role in get_args(Role) if role != "public")


@dataclass(frozen=True)
class Account:
    """One reader: a name, a role, and the gardens that a volunteer writes for.

    `id` is 0 for a reader without an account, `language` the one that pages speak to them.
    """

    name: str
    role: Role
    gardens: tuple[str, ...] = ()
    id: int = 0
    language: str = "en"


#: Somebody who has not signed in.
NOBODY = Account("", "public")
#: The reader of a network that keeps no accounts: whoever can open the page sees what its lead sees.
OPEN_ACCOUNT = Account("open", "lead")


def reader() -> Account:
    """Return the account behind the request that is being answered; outside of one, nobody."""
    if not has_request_context():
        return NOBODY
    account = g.get("account", NOBODY)
    # Whoever has no account is spoken to as the browser asks.
    return account if account.id else replace(account, language=_asked_by_browser())


def _asked_by_browser() -> str:
    return request.accept_languages.best_match(LANGUAGES) or LANGUAGES[0]
