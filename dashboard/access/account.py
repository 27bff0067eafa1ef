"""Who looks at a page."""

from dataclasses import dataclass
from typing import Literal

Role = Literal["lead"]


@dataclass(frozen=True)
class Account:
    """One reader: a name and a role."""

    name: str
    role: Role


#: The reader of a network that keeps no accounts: whoever can open the page sees what its lead sees.
OPEN_ACCOUNT = Account("open", "lead")
