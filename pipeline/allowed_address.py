"""Which addresses Longrow may ask: the outside over HTTPS, this machine as it likes."""

from ipaddress import ip_address
from urllib.parse import urlsplit


def is_allowed(address: str) -> bool:
    """Return whether an address may be asked: HTTPS, or a mirror on this machine itself."""
    parts = urlsplit(address)
    if not parts.hostname:
        return False
    return parts.scheme == "https" or (parts.scheme == "http" and _is_this_machine(parts.hostname))


def _is_this_machine(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return False
