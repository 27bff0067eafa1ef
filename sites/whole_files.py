"""Files that are there whole or not at all."""

import os
import secrets
from pathlib import Path


def put_whole(place: Path, content: bytes, mode: int = 0o666) -> None:
    """Put a file in its place in one step, over an older one; the disk confirms its bytes and its name.

    Until then they lie beside it under a name that starts with a point, which the night takes for nobody's.
    `mode` are its permissions, of which the process's mask takes away.
    """
    partial = place.with_name(f".{secrets.token_hex(8)}.partial")
    try:
        with os.fdopen(os.open(partial, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        partial.replace(place)
    finally:
        partial.unlink(missing_ok=True)
    folder = os.open(place.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)
