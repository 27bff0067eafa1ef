"""Erasing: a person's name, contact details, notes and pictures are blanked, numbers and hashes stay.

In the store the words are taken out of rows, findings, decisions and accounts; in the archive, the inbox and
the outbox files that hold them are written anew without them or, where that cannot be done, taken out. Each
file that changes leaves a note of its old hash, the day and the reason, so that what is missing can be told
from what was lost. Contacts in the registry are blanked too. Pictures of paper have no text to look through:
those that the person's account sent are taken out, others of their gardens are named for the lead to look at.
"""

import hashlib
import json
import re
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from pipeline.erasing_beside import (
    blank_published,
    blank_registry,
    forget_pictures,
    gardens_of,
    picture_of_upload,
    pictures_of_gardens,
    pictures_sent_by,
)
from pipeline.intake.pictures import kind_of_picture, without_position
from pipeline.store.account_tables import account_gardens, accounts, invitations, sessions, web_uploads
from pipeline.store.engine import writing
from pipeline.store.tables import decisions, findings, pictures, rows_of, sent_sheets, sheet_parts, uploads
from pipeline.workspace import Workspace
from sites.errors import InputError

#: What stands where words were.
BLANK = "(erased)"
#: Where files that were changed or taken out are listed, one JSON object a line.
RECORD = "erased.jsonl"
#: Shortest name that is looked for: a shorter one would be found inside other words.
_SHORTEST = 3


@dataclass
class Erased:
    """What was done: rows by table, files by what became of them, and backups that still hold the words."""

    rows: dict[str, int] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    backups: list[str] = field(default_factory=list)
    #: Uploads whose pictures may still show the person's writing.
    pictures: list[int] = field(default_factory=list)


def erase_person(engine: sa.Engine, workspace: Workspace, name: str, why: str, now: datetime) -> Erased:
    """Erase a person by name and return what was done.

    Raises InputError where the name is too short or no reason is given.
    """
    if len(name.strip()) < _SHORTEST:
        raise InputError(f"A name has at least {_SHORTEST} letters: {name!r} would be found in other words.")
    done = _begin(workspace, why)
    with writing(engine) as connection:
        numbers, mails = _accounts_of(connection, name)
        named = _pattern(name, mails)
        theirs = gardens_of(workspace, named)
        for table, columns in _worded():
            done.rows[table.name] = _blank_matches(connection, table, columns, named)
        done.rows["published"] = blank_published(connection, named, BLANK)
        sent = pictures_sent_by(connection, numbers)
        forget_pictures(connection, sent, now)
        others = pictures_of_gardens(connection, theirs)
        done.rows["account"] = _blank_accounts(connection, numbers, now)
    done.pictures = sorted(others)
    for digest in sent.values():
        done.files |= _take_out(workspace, digest, why, now)
    for path in _files(workspace):
        done.files |= _clean(path, named, why, now, workspace)
    for file, cells in blank_registry(workspace, named).items():
        done.files[file] = f"{cells} blanked"
        _note(workspace, {"file": file, "became": "blanked", "why": why, "at": now.isoformat()})
    return done


def erase_picture(engine: sa.Engine, workspace: Workspace, upload: int, why: str, now: datetime) -> Erased:
    """Take out one picture of paper by the number of its upload; that it came, and what was typed, stay.

    Raises InputError where there is no such picture.
    """
    done = _begin(workspace, why)
    with writing(engine) as connection:
        found = picture_of_upload(connection, upload)
        if not found:
            raise InputError(f"There is no picture {upload}. Its number stands at the end of its address.")
        forget_pictures(connection, found, now)
    done.rows["picture"] = len(found)
    for digest in found.values():
        done.files |= _take_out(workspace, digest, why, now)
    return done


def _pattern(name: str, mails: list[str]) -> re.Pattern[str]:
    """Return what finds a person: the name, or an address of theirs, and not as a part of another word."""
    known = "|".join(re.escape(word) for word in (name.strip(), *mails))
    return re.compile(rf"(?<!\w)(?:{known})(?!\w)", re.IGNORECASE)


def erase_row(
    engine: sa.Engine, workspace: Workspace, kind: str, row: int, why: str, now: datetime
) -> Erased:
    """Erase the words of one row of a kind of sheet: who recorded it, and its note. Its numbers stay.

    Raises InputError where there is no such row. The file that it came in is kept; where a note in it must
    go as well, erase the person.
    """
    done, table = _begin(workspace, why), rows_of.get(kind)
    if table is None:
        raise InputError(f"There is no sheet {kind!r}. Choose one of {', '.join(rows_of)}.")
    words = [name for name in ("recorded_by", "note") if name in table.c]
    chosen = sa.select(table.c.sent, *(table.c[name] for name in words)).where(table.c.row_id == row)
    with writing(engine) as connection:
        found = connection.execute(chosen).first()
        if found is None:
            raise InputError(f"There is no {kind} row {row}. Rows are numbered in the tables of the store.")
        said = {text for text in found[1:] if text}
        # The cells as they were sent, those of known columns and those of others.
        sent = [
            {column: "" if text in said else text for column, text in cells.items()}
            for cells in json.loads(found.sent)
        ]
        new: dict[str, str | None] = dict.fromkeys(words) | {"sent": json.dumps(sent, ensure_ascii=False)}
        done.rows[table.name] = connection.execute(
            sa.update(table).where(table.c.row_id == row).values(**new)
        ).rowcount
        of_row = (findings.c.row_id == row) & (findings.c.kind == kind)
        asked = sa.update(findings).where(of_row & findings.c.sent.in_(said)).values(sent=BLANK)
        done.rows["finding"] = connection.execute(asked).rowcount
    _note(workspace, {"kind": kind, "row": row, "why": why, "at": now.isoformat()})
    return done


def _begin(workspace: Workspace, why: str) -> Erased:
    if not why.strip():
        raise InputError("Say why: the reason is kept in place of what is erased.")
    kept = [*workspace.root.glob("*.backup*"), *workspace.root.glob("backups/*")]
    return Erased(backups=sorted(str(path) for path in kept))


def _worded() -> list[tuple[sa.Table, list[str]]]:
    """Return every table with the columns in which people's words stand."""
    of_rows = [
        (table, [name for name in ("recorded_by", "note", "sent", "key") if name in table.c])
        for table in rows_of.values()
    ]
    return [
        *of_rows,
        (findings, ["sent", "details", "identity"]),
        (sheet_parts, ["keys"]),
        (decisions, ["made_by", "withdrawn_by", "why", "value"]),
        (uploads, ["name"]),
        (sent_sheets, ["tab"]),
        (pictures, ["put_away_by"]),
        (web_uploads, ["name", "on_behalf_of"]),
        (accounts, ["made_by"]),
        (invitations, ["made_by"]),
    ]


def _blank_matches(
    connection: sa.Connection, table: sa.Table, columns: list[str], named: re.Pattern[str]
) -> int:
    """Blank a person's name in some columns of a table, and the whole of a note that names them."""
    keys = list(table.primary_key.columns)
    changed = 0
    for row in connection.execute(sa.select(*keys, *(table.c[name] for name in columns))).all():
        new: dict[str, str | None] = {
            name: BLANK if name == "note" else named.sub(BLANK, value)
            for name, value in zip(columns, row[len(keys) :], strict=True)
            if value and named.search(value)
        }
        if "recorded_by" in new and "note" in columns:
            new["note"] = None
        if new:
            of_row = [key == value for key, value in zip(keys, row, strict=False)]
            connection.execute(sa.update(table).where(*of_row).values(**new))
            changed += 1
    return changed


def _accounts_of(connection: sa.Connection, name: str) -> tuple[list[int], list[str]]:
    """Return the numbers of the accounts of that name, and their mail addresses."""
    found = sa.func.lower(accounts.c.name) == name.strip().lower()
    rows = connection.execute(sa.select(accounts.c.account_id, accounts.c.mail).where(found)).all()
    return [row.account_id for row in rows], [row.mail for row in rows if row.mail]


def _blank_accounts(connection: sa.Connection, numbers: list[int], now: datetime) -> int:
    """Blank accounts; what they did stays in the audit under their numbers."""
    for table in (sessions, invitations, account_gardens):
        connection.execute(sa.delete(table).where(table.c.account_id.in_(numbers)))
    blank: dict[str, Any] = {"name": BLANK, "sign_in_name": None, "mail": None, "passphrase": None}
    connection.execute(
        sa.update(accounts).where(accounts.c.account_id.in_(numbers)).values(**blank, removed=now)
    )
    return len(numbers)


def _take_out(workspace: Workspace, digest: str, why: str, now: datetime) -> dict[str, str]:
    """Take a file out of the archive, and its copies that still lie in the inbox."""
    copies = [path for path in workspace.inbox.rglob("*") if path.is_file() and _is_kept_as(path, digest)]
    done = {}
    for path in (workspace.archive / digest, *copies):
        if path.is_file():
            path.unlink()
            place = str(path.relative_to(workspace.root))
            done[place] = "taken out"
            _note(workspace, {"file": place, "became": "taken out", "why": why, "at": now.isoformat()})
    return done


def _is_kept_as(path: Path, digest: str) -> bool:
    return hashlib.sha256(without_position(path.read_bytes())).hexdigest() == digest


def _files(workspace: Workspace) -> list[Path]:
    folders = (workspace.archive, workspace.root / "outbox", workspace.inbox)
    return [path for folder in folders for path in sorted(folder.rglob("*")) if path.is_file()]


def _clean(
    path: Path, named: re.Pattern[str], why: str, now: datetime, workspace: Workspace
) -> dict[str, str]:
    """Write a file anew without the name, or take it out where its form hides its text; else leave it."""
    content = path.read_bytes()
    place = str(path.relative_to(workspace.root))
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        if kind_of_picture(content) or not _names_inside(content, named):
            return {}
        path.unlink()
        became = "taken out"
    else:
        if not named.search(text):
            return {}
        path.write_text(named.sub(BLANK, text), encoding="utf-8", newline="")
        became = "written anew"
    _note(workspace, {"file": place, "became": became, "why": why, "at": now.isoformat()})
    return {place: became}


def _names_inside(content: bytes, named: re.Pattern[str]) -> bool:
    """Return whether a workbook, or text in an older encoding, holds the name in some cell."""
    from pipeline.intake.reading import read_file
    from pipeline.intake.tables import Limits, SentFile

    limits = Limits(len(content) + 1, 500_000_000, 1_000_000, 1_000)
    tables = read_file(SentFile("sheet", content), limits).tables
    found = any(named.search(str(cell)) for table in tables for row in table.rows for cell in row)
    return found or named.search(content.decode("latin-1")) is not None


def _note(workspace: Workspace, line: dict[str, Any]) -> None:
    with (workspace.archive / RECORD).open("a", encoding="utf-8") as record:
        record.write(json.dumps(line, ensure_ascii=False) + "\n")
