"""What stands at an address, over HTTPS, within limits: the only code of Longrow that asks the outside."""

import time
import urllib.error
import urllib.request
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from typing import IO, Any

from pipeline.allowed_address import is_allowed
from sites.errors import InputError

#: How many times larger a packed answer may be once unpacked.
UNPACKED_FACTOR = 10

#: Answers after which trying again can help: too many requests, and troubles of the server.
PASSING = frozenset({408, 425, 429, 500, 502, 503, 504})

#: Seconds before the second try; each later one waits twice as long.
FIRST_WAIT_SECONDS = 1.0


@dataclass(frozen=True)
class FetchLimits:
    """Largest answer in bytes, seconds that a server may be silent, and how often it is asked."""

    largest_bytes: int
    silent_seconds: float
    tries: int


class _OnlyAllowed(urllib.request.HTTPRedirectHandler):
    """Follows a redirection only to an address that may be asked."""

    def redirect_request(
        self, req: urllib.request.Request, fp: IO[bytes], code: int, msg: str, headers: Any, newurl: str
    ) -> urllib.request.Request | None:
        """Return the next request; raises InputError where it would leave HTTPS."""
        if not is_allowed(newurl):
            raise InputError(f"{req.full_url} sends on to {newurl[:200]}, which is not HTTPS. Not followed.")
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def fetch(address: str, limits: FetchLimits, wait: Callable[[float], None] = time.sleep) -> bytes:
    """Return what stands at an address, unpacked where it is a gzip file.

    Raises InputError where the address may not be asked, the answer is larger than the limit, the server says
    no, or does not answer in as many tries as the limits allow.
    """
    if not is_allowed(address):
        raise InputError(f"{address} is not HTTPS, and only that is fetched. Correct the address.")
    opener = urllib.request.build_opener(_OnlyAllowed)
    trouble = ""
    for attempt in range(limits.tries):
        if attempt:
            wait(FIRST_WAIT_SECONDS * 2 ** (attempt - 1))
        try:
            with opener.open(address, timeout=limits.silent_seconds) as answer:
                return _unpacked(_within(answer, limits.largest_bytes, address), limits, address)
        except urllib.error.HTTPError as error:
            trouble = f"the server answers {error.code} {error.reason}"
            error.close()
            if error.code not in PASSING:
                break
        except OSError as error:
            trouble = str(getattr(error, "reason", error)) or type(error).__name__
    raise InputError(f"{address} cannot be fetched: {trouble}. Check the address, or try again later.")


def _within(answer: Any, largest: int, address: str) -> bytes:
    content = bytes(answer.read(largest + 1))
    if len(content) > largest:
        raise InputError(
            f"{address} gives more than {largest / 1e6:g} MB. If that is right, raise [weather] largest_mb."
        )
    return content


def _unpacked(content: bytes, limits: FetchLimits, address: str) -> bytes:
    if not content.startswith(b"\x1f\x8b"):
        return content
    largest = UNPACKED_FACTOR * limits.largest_bytes
    try:
        unpacking = zlib.decompressobj(wbits=31)
        plain = unpacking.decompress(content, largest + 1)
    except zlib.error as error:
        raise InputError(f"{address} gives a gzip file that cannot be unpacked ({error}).") from error
    if len(plain) > largest:
        raise InputError(f"{address} gives a file that unpacks to more than {largest / 1e6:g} MB.")
    if not unpacking.eof:
        raise InputError(f"{address} gives a gzip file that ends too early. Try again later.")
    return plain
