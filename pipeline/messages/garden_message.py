"""One message to one garden after a night: thanks, at most five questions, what happens if nothing is done.

After them stands what else there is to tell: a silence, a freeze, notes on the season. Nothing stands in it
that is not also on the pages, no place and no other garden's name.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from gettext import NullTranslations
from typing import Any

import polars as pl

from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.groups import FIRST_QUESTIONS, Group, group, heading
from pipeline.checks.shown import shown_date
from pipeline.checks.words import Words, in_words, values_of
from pipeline.messages.occasion import Occasion
from pipeline.messages.reader import Reader
from pipeline.publish.note_words import NOTE_WORDS
from pipeline.settings import Messages
from pipeline.words import translate
from sites.season_notes import LOCAL_RULES_FIRST

#: Whose rules come before every note.
LOCAL_RULES = NOTE_WORDS[LOCAL_RULES_FIRST]


@dataclass(frozen=True)
class Received:
    """What came from a garden since the last message.

    `refused` are names of files of which no row could be read. `findings` has the columns of a findings
    frame, with the name of its file in `file_name`.
    """

    days: Sequence[date]
    sheets: int
    rows: int
    used: int
    held: int
    refused: Sequence[str]
    findings: pl.DataFrame


@dataclass(frozen=True)
class Message:
    """A message, ready to be sent; `occasions` are the names of what it tells beside rows and questions."""

    site: str
    contact: str
    language: str
    subject: str
    text: str
    occasions: tuple[str, ...] = ()


def garden_message(
    reader: Reader,
    received: Received,
    about: Messages,
    occasions: Sequence[Occasion] = (),
    notes: Sequence[Occasion] = (),
) -> Message | None:
    """Return the message to a garden, or None where there is nothing to say to it.

    Rows and questions come first, then the occasions, then the notes as a list. The subject is that of what
    comes first. Occasions and notes that start no message wait for one that something else starts.
    """
    said = translate(reader.language)
    asked = [one for one in group(received.findings) if one.level != "note"]
    starting = [one for one in (*occasions, *notes) if one.starts]
    if not asked and not received.sheets and not starting:
        return None
    parts: list[str] = []
    subject = starting[0].subject if starting else ""
    if asked or received.sheets:
        subject = _subject(reader, len(asked[:FIRST_QUESTIONS]), said)
        parts += _rows_and_questions(reader, received, asked, about)
    parts += [one.text for one in occasions]
    if notes:
        lines = "\n".join(f"- {one.text}" for one in notes)
        parts += [said.gettext("About your season:") + "\n" + lines, said.gettext(LOCAL_RULES)]
    parts.append(last_lines(about, said))
    text = "\n\n".join(part for part in parts if part) + "\n"
    names = tuple(one.name for one in (*occasions, *notes))
    return Message(reader.site, reader.contact, reader.language, subject, text, names)


def _rows_and_questions(
    reader: Reader, received: Received, asked: Sequence[Group], about: Messages
) -> list[str]:
    """Return the thanks, the first questions, and what happens if nothing is done."""
    said = translate(reader.language)
    first, later = asked[:FIRST_QUESTIONS], asked[FIRST_QUESTIONS:]
    parts = [_thanks(reader, received, said), _questions(first, reader, said)]
    if later:
        more = said.ngettext(
            "{n} more question is on the page.", "{n} more questions are on the page.", len(later)
        )
        parts.append(more.format(n=len(later)))
    if asked:
        parts += [_how_to_answer(about, said), _if_nothing(received, said)]
    return parts


def _subject(reader: Reader, questions: int, said: NullTranslations) -> str:
    if not questions:
        return said.gettext("{garden}: thank you, all is in").format(garden=reader.name)
    line = said.ngettext(
        "{garden}: thank you, and {n} short question",
        "{garden}: thank you, and {n} short questions",
        questions,
    )
    return line.format(garden=reader.name, n=questions)


def _thanks(reader: Reader, received: Received, said: NullTranslations) -> str:
    if not received.sheets:
        return said.gettext("Thank you for all you have sent so far.")
    days = sorted(received.days)
    thanks = said.ngettext(
        "Thank you for your sheet of {date}.",
        "Thank you for your {n} sheets, the last of {date}.",
        received.sheets,
    ).format(n=received.sheets, date=shown_date(days[-1], reader.language))
    return " ".join([thanks, *_verdict(received, said), *_not_read(received, said)])


def _verdict(received: Received, said: NullTranslations) -> list[str]:
    if not received.rows:
        return []
    if not received.held:
        used = said.ngettext("We could use your row.", "We could use all {n} rows.", received.rows)
        return [used.format(n=f"{received.rows:,}")]
    numbers = {"used": f"{received.used:,}", "n": f"{received.rows:,}", "held": f"{received.held:,}"}
    used = said.ngettext("{used} of {n} rows is in.", "{used} of {n} rows are in.", received.used)
    held = said.ngettext(
        "{held} row waits for a small fix.", "{held} rows wait for a small fix.", received.held
    )
    return [part.format(**numbers) for part in ((used, held) if received.used else (held,))]


def _not_read(received: Received, said: NullTranslations) -> list[str]:
    line = said.gettext("We kept {file}, but could not read any row yet.")
    return [line.format(file=name) for name in received.refused]


def _questions(first: Sequence[Group], reader: Reader, said: NullTranslations) -> str:
    return "\n".join(f"{at}. {_question(one, reader)}" for at, one in enumerate(first, start=1))


def _question(one: Group, reader: Reader) -> str:
    """Return what was found, one line for each of the first rows, and the one thing to do."""
    words = [_words(finding, reader) for finding in one.findings]
    if one.n == 1:
        return f"{words[0].message} {words[0].why}\n   {words[0].remedy}"
    shown = "".join(f"\n   - {each.message}" for each in words)
    return f"{heading(one, reader.language)}{shown}\n   {words[0].remedy}"


def _words(finding: dict[str, Any], reader: Reader) -> Words:
    named = finding | {"file": finding["file_name"], "garden": reader.name}
    values = values_of(EVERY_CHECK.get(finding["check"]), named, reader.language, reader.units)
    return in_words(finding["check"], values, reader.language)


def _how_to_answer(about: Messages, said: NullTranslations) -> str:
    fix = said.gettext("Fix the sheet and send all of it again. Nothing is counted twice.")
    if not about.pages:
        return fix
    here = said.gettext("Answer here: {link}").format(link=about.pages)
    again = said.gettext("Or fix the sheet and send all of it again. Nothing is counted twice.")
    return f"{here}\n{again}"


def _if_nothing(received: Received, said: NullTranslations) -> str:
    if received.held:
        waits = said.ngettext(
            "If you do nothing, {n} row waits. Your other rows count.",
            "If you do nothing, {n} rows wait. Your other rows count.",
            received.held,
        )
        return waits.format(n=f"{received.held:,}")
    return said.gettext("If you do nothing, your rows count as we read them.")


def last_lines(about: Messages, said: NullTranslations) -> str:
    """Return whom to ask, and where fewer messages or another language are chosen."""
    lead = about.lead or said.gettext("your trial lead")
    if about.phone:
        ask = said.gettext("Questions? Call {lead} at {phone}, or just reply.")
        ask = ask.format(lead=lead, phone=about.phone)
    else:
        ask = said.gettext("Questions? Ask {lead}, or just reply.").format(lead=lead)
    if not about.pages:
        return ask
    return f"{ask} " + said.gettext("Fewer messages, or Spanish: {link}").format(link=about.pages)
