"""Letters with a link, laid into the outbox for whoever sends the network's mail, and links as pictures."""

import os
import secrets
from datetime import timedelta
from email.message import EmailMessage

import segno

from dashboard.access.account import Account
from pipeline.workspace import Workspace

#: Subject and text, by language.
_TEXT = {
    "en": (
        "Your link to {network}",
        "Hello {name},\n\nopen this link and press the button. It works once, within {time}.\n\n{link}\n\n"
        "If you did not ask for it, you can leave it alone.\n",
    ),
    "es": (
        "Su enlace a {network}",
        "Hola, {name}:\n\nabra este enlace y oprima el botón. Sirve una vez, dentro de {time}.\n\n{link}\n\n"
        "Si no lo pidió, no tiene que hacer nada.\n",
    ),
}
_TIME = {"en": ("{} days", "{} minutes"), "es": ("{} días", "{} minutos")}


def write_letter(workspace: Workspace, account: Account, mail: str, link: str, lifetime: timedelta) -> None:
    """Lay a message with a link (RFC 5322) into the outbox, readable by its owner only."""
    subject, text = _TEXT[account.language]
    days, minutes = _TIME[account.language]
    time = days.format(lifetime.days) if lifetime.days else minutes.format(lifetime.seconds // 60)
    letter = EmailMessage()
    letter["To"] = mail
    letter["Subject"] = subject.format(network=workspace.settings.name)
    letter.set_content(text.format(name=account.name, time=time, link=link))
    path = workspace.root / "outbox" / f"link-{secrets.token_hex(8)}.eml"
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(letter.as_bytes())


def as_picture(link: str) -> str:
    """Return a link as a QR code, an SVG drawing in a data address."""
    return str(segno.make(link, error="m").svg_data_uri(scale=6, border=4, light="#fff"))


def as_blocks(link: str) -> str:
    """Return a link as a QR code of text, for a terminal or a printed letter."""
    rows = [list(row) for row in segno.make(link, error="m").matrix_iter(border=2)]
    if len(rows) % 2:
        rows.append([0] * len(rows[0]))
    # Half blocks: one line of text for two rows, light on dark as terminals are, so dark modules stay blank.
    blocks = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return "\n".join(
        "".join(blocks[bool(top), bool(bottom)] for top, bottom in zip(upper, lower, strict=True))
        for upper, lower in zip(rows[::2], rows[1::2], strict=True)
    )
