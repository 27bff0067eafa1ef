"""A server that runs beside a benchmark."""

import re
import subprocess
from collections import deque
from threading import Thread


def address_of(server: "subprocess.Popen[str]") -> str:
    """Return the address that the server tells, and go on reading what it says: a full pipe would stop it."""
    said = iter(server.stdout or ())
    address = next(found.group() for line in said if (found := re.search(r"http://127\.0\.0\.1:\d+", line)))
    Thread(target=deque, args=(said, 0), daemon=True).start()
    return address
