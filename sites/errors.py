"""The few exceptions of Longrow. Their text is for people: what is wrong, where, and how to mend it."""

from collections.abc import Sequence
from dataclasses import dataclass


class LongrowError(Exception):
    """Something that a person can mend; the message says what, where and how."""


class SettingsError(LongrowError):
    """A setting of the network is unknown, missing or out of range."""


class WorkspaceError(LongrowError):
    """A folder or file that a workspace needs is missing or cannot be used."""


class WorkspaceBusyError(WorkspaceError):
    """Another run holds the workspace."""


class InputError(LongrowError):
    """A file or a number that was handed over cannot be used as it is."""


@dataclass(frozen=True, order=True)
class Problem:
    """One thing to mend in a file that a person keeps."""

    file: str
    line: int | None
    column: str | None
    what: str
    mend: str

    def __str__(self) -> str:
        """Return the place, what is wrong and how to mend it, on one line."""
        place = [self.file]
        if self.line is not None:
            place.append(f"line {self.line}")
        if self.column is not None:
            place.append(self.column)
        return f"{', '.join(place)}: {self.what} {self.mend}"


class RegistryError(LongrowError):
    """The registry does not hold together; `problems` lists every place to mend."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = sorted(
            problems, key=lambda problem: (problem.file, problem.line or 0, problem.column or "")
        )
        count = len(self.problems)
        heading = (
            "One thing in the registry needs mending:"
            if count == 1
            else f"{count} things in the registry need mending:"
        )
        super().__init__("\n".join([heading, *(f"  {problem}" for problem in self.problems)]))
