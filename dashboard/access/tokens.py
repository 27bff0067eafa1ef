"""Secrets: the key of this network, random tokens, and what proves that a request came from our own page."""

import hashlib
import hmac
import os
import secrets
from pathlib import Path

#: Bytes of a random token: 256 bits, twice what OWASP ASVS 5.0 (7.2.3) asks of a session's token.
_TOKEN_BYTES = 32
_KEY_BYTES = 32
KEY_FILE = ".longrow-key"


def network_key(folder: Path) -> bytes:
    """Return the secret key of the network in `folder`, made at the first call, for its owner alone."""
    path = folder / KEY_FILE
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        path.chmod(0o600)
        return path.read_bytes()
    with os.fdopen(handle, "wb") as file:
        file.write(secrets.token_bytes(_KEY_BYTES))
    return path.read_bytes()


def new_token() -> str:
    """Return a random token, fit for a cookie or an address."""
    return secrets.token_urlsafe(_TOKEN_BYTES)


def digest(token: str) -> str:
    """Return what is stored of a token. It is random and long, so a plain hash cannot be guessed back."""
    return hashlib.sha256(token.encode()).hexdigest()


def keyed(key: bytes, purpose: str, text: str) -> str:
    """Return a hash of `text` that only the holder of the key can make, different for each purpose."""
    return hmac.new(key, f"{purpose}\0{text}".encode(), hashlib.sha256).hexdigest()


def is_same(one: str, other: str) -> bool:
    """Return whether two secrets are equal, in a time that does not tell where they part."""
    return hmac.compare_digest(one.encode(), other.encode())
