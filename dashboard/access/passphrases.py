"""Passphrases: which are taken, and how they are kept.

Kept as Argon2id hashes (RFC 9106, its second recommended option: 64 MiB, 3 passes, 4 lanes).
"""

from functools import cache
from itertools import pairwise
from pathlib import Path
from threading import BoundedSemaphore

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

from sites.errors import InputError

#: Shortest passphrase: NIST SP 800-63B-4 (2025), 3.1.1.2, asks 15 characters where it is the only proof.
SHORTEST = 15
#: Longest: OWASP ASVS 5.0, 6.2.9, asks for at least 64 to be taken.
LONGEST = 128
#: Fewest different characters: fewer is a key held down.
_FEWEST_KINDS = 6
#: Passphrases that are guessed first, and words that add nothing to one; the file names its sources.
_COMMON = Path(__file__).with_name("common_passphrases.txt")
#: How a line of the file marks such a word.
_PIECE = "piece "
#: Hashes worked out at once, so that many sign-ins cannot take the machine's memory (64 MiB each).
_AT_ONCE = 2

_hasher = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)
_room = BoundedSemaphore(_AT_ONCE)
#: What a passphrase is held against where there is no account, so that both take the same time.
_OF_NOBODY = _hasher.hash("nobody has this passphrase")


def refuse_weak(passphrase: str, names: tuple[str, ...]) -> None:
    """Raise InputError, with the way to mend it, where a passphrase is easily guessed.

    `names` are words that everybody knows of the account: its name, its network, its gardens. Held against
    common passphrases as OWASP ASVS 5.0, 6.2.4 and 6.2.11, ask.
    """
    whole, pieces = _common()
    rest = passphrase.casefold()
    for known in (*names, *pieces):
        if len(known) > 2:
            rest = rest.replace(known.casefold(), "")
    if len(passphrase) < SHORTEST:
        raise InputError(f"Please use at least {SHORTEST} characters: three or four words do well.")
    if len(passphrase) > LONGEST:
        raise InputError(f"Please use at most {LONGEST} characters.")
    if (
        _letters(passphrase) in whole
        or len(set(rest)) < _FEWEST_KINDS
        or _is_run(rest)
        or _repeats(_letters(passphrase))
    ):
        raise InputError("This one is easy to guess. Please use three or four words that do not go together.")


def hashed(passphrase: str) -> str:
    """Return what is stored of a passphrase."""
    with _room:
        return _hasher.hash(passphrase)


def is_right(passphrase: str, stored: str | None) -> bool:
    """Return whether a passphrase is the stored one; where none is stored it is not, after the same time."""
    if len(passphrase) > LONGEST:
        return False
    with _room:
        try:
            return _hasher.verify(stored or _OF_NOBODY, passphrase) and stored is not None
        except (VerificationError, InvalidHashError):
            return False


@cache
def _common() -> tuple[frozenset[str], tuple[str, ...]]:
    """Return the common passphrases without spaces and marks, and the pieces, the longest first."""
    told = _COMMON.read_text(encoding="utf-8").splitlines()
    lines = [line for line in told if line and not line.startswith("#")]
    pieces = {line.removeprefix(_PIECE) for line in lines if line.startswith(_PIECE)}
    whole = frozenset(_letters(line) for line in lines if not line.startswith(_PIECE))
    return whole, tuple(sorted(pieces, key=lambda piece: (-len(piece), piece)))


def _letters(text: str) -> str:
    """Return the letters and digits of a text in lower case: spaces and marks make no other passphrase."""
    return "".join(mark for mark in text.casefold() if mark.isalnum())


def _is_run(text: str) -> bool:
    """Return whether nearly all characters follow one another, as in 123456 or abcdef."""
    steps = [ord(after) - ord(before) for before, after in pairwise(text)]
    return sum(step in (-1, 0, 1) for step in steps) > 0.7 * len(steps)


def _repeats(text: str) -> bool:
    """Return whether the text is a short piece said over and over."""
    sizes = range(1, len(text) // 2 + 1)
    return any(text == (text[:size] * len(text))[: len(text)] for size in sizes)
