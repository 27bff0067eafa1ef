"""The outbox: messages as files that any mail program opens, one for each garden and day."""

import re
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, time
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

from pipeline.messages.garden_message import Message
from sites.whole_files import put_whole

#: A contact that mail can be sent to; anything else is somebody's telephone or name.
_ADDRESS = re.compile(r"[^@\s,;<>]+@[^@\s,;<>]+\.[^@\s,;<>]+")
_UNFIT = re.compile(r"[^A-Za-z0-9_-]+")

#: Lines are sent as they are written, letters beyond ASCII included (RFC 6532).
_POLICY = SMTP.clone(cte_type="8bit", max_line_length=None)


def write_messages(outbox: Path, day: date, messages: Sequence[Message]) -> list[Path]:
    """Write each message into the outbox and return the files.

    A garden gets one message a day: a later one of that day takes the place of the one that still lies there,
    and holds what that one said (see `lying`).
    """
    written = []
    for message in messages:
        place = _place(outbox, day, message.site)
        place.parent.mkdir(parents=True, exist_ok=True)
        put_whole(place, as_mail(message, day).as_bytes())
        written.append(place)
    return written


def lying(outbox: Path, day: date, sites: Iterable[str]) -> frozenset[str]:
    """Return the gardens whose message of a day still lies in the outbox, not fetched by whoever sends it."""
    return frozenset(site for site in sites if _place(outbox, day, site).exists())


def _place(outbox: Path, day: date, site: str) -> Path:
    return outbox / day.isoformat() / f"{_UNFIT.sub('-', site)}.eml"


def as_mail(message: Message, day: date) -> EmailMessage:
    """Return a message as mail, in the form of RFC 5322; its sender is filled in by whoever sends it."""
    mail = EmailMessage(policy=_POLICY)
    mail["Subject"] = message.subject
    mail["Date"] = datetime.combine(day, time(6), tzinfo=UTC)
    if _ADDRESS.fullmatch(message.contact.strip()):
        mail["To"] = message.contact.strip()
    mail.set_content(message.text, subtype="plain", charset="utf-8", cte="8bit")
    mail["Content-Language"] = message.language
    return mail
