"""To the lead, once a week: what came in, what to settle first, who is quiet, how far it is."""

from dataclasses import dataclass
from datetime import timedelta

import pandas as pd
import sqlalchemy as sa

from pipeline.checks.shown import shown_date
from pipeline.messages.garden_message import Message
from pipeline.messages.occasion import Night
from pipeline.publish.sentences import count
from pipeline.store.read import sheets_received, sites_of_sheets
from pipeline.store.tables import rows_of, runs
from pipeline.words import marked, translate

#: Under which name the lead's message is kept; no garden's name begins so.
LEAD = "_lead"

#: Days of a week, tonight the last of them.
WEEK_DAYS = 7

#: Questions that are put first, and gardens and files that are named; the rest is counted.
FIRST_QUESTIONS, NAMED = 3, 8

#: How far an answer could move the result, in words; never which way before the decision.
_MOVES = {
    "small": marked("It would move the answer a little."),
    "some": marked("It would move the answer somewhat."),
    "large": marked("It would move the answer far."),
}


@dataclass(frozen=True)
class Week:
    """What came in during a week: numbers of gardens, files and rows, and the files nobody could read."""

    gardens_in: int
    gardens: int
    files: int
    used: int
    held: int
    changed: int
    unread: tuple[str, ...]


def lead_message(connection: sa.Connection, night: Night, told: pd.DataFrame) -> Message | None:
    """Return the lead's message of this calendar week, None where it was written or no trial runs."""
    year, week, _ = night.day.isocalendar()
    name = f"week {year}-W{week:02}"
    before = told[(told["site"] == LEAD) & (told["occasion"] == name)]
    if LEAD in night.lying:
        before = before[before["day"] < night.tonight]
    states = night.running("garden_states")
    if len(before) or states.empty:
        return None
    language, about = night.settings.language, night.settings.messages
    said = translate(language)
    came, questions = _week(connection, night, states), night.running("questions")
    groups = questions["group"].nunique() if len(questions) else 0
    subject = said.ngettext(
        "Week to {date}: {came} of {gardens} in, {n} question for you",
        "Week to {date}: {came} of {gardens} in, {n} questions for you",
        groups,
    ).format(
        date=shown_date(night.day, language),
        came=came.gardens_in,
        gardens=count(came.gardens, "garden", language),
        n=groups,
    )
    parts = [
        _in(came, language),
        _settle_first(questions, night, language),
        _quiet(states, told, night, language),
        _not_read(came, language),
        _so_far(night, language),
        said.gettext("Open the questions: {link}").format(link=about.pages) if about.pages else "",
    ]
    text = "\n\n".join(part for part in parts if part) + "\n"
    return Message(LEAD, about.lead_mail, language, subject, text, (name,))


def _week(connection: sa.Connection, night: Night, states: pd.DataFrame) -> Week:
    since = pd.Timestamp(night.day - timedelta(days=WEEK_DAYS - 1))
    in_week = sa.select(runs.c.run_id).where(runs.c.night >= since.date(), runs.c.night <= night.day)
    chosen = set(connection.execute(in_week).scalars())
    sent = sheets_received(connection)
    sent = sent[sent["run_id"].isin(chosen)]
    sites = sites_of_sheets(connection, list(rows_of))
    here = set(sites.loc[sites["sheet_id"].isin(sent["sheet_id"]), "site"]) & set(states["site"])
    return Week(
        gardens_in=len(here),
        gardens=states["site"].nunique(),
        files=sent["upload_id"].nunique(),
        used=int(sent["used"].sum()),
        held=int(sent["held"].sum()),
        changed=sum(_revised(connection, kind, chosen) for kind in rows_of),
        unread=tuple(sent.loc[sent["verdict"] == "refused", "file"].drop_duplicates()),
    )


def _revised(connection: sa.Connection, kind: str, chosen: set[int]) -> int:
    table = rows_of[kind]
    query = (
        sa.select(table.c.left, sa.func.count()).where(table.c.left_why == "revised").group_by(table.c.left)
    )
    return sum(number for run, number in connection.execute(query) if run in chosen)


def _in(came: Week, language: str) -> str:
    said = translate(language)
    files = said.ngettext("{n} file", "{n} files", came.files).format(n=f"{came.files:,}")
    line = said.gettext(
        "In: {came} of {gardens} sent {files}. Rows used: {used}. On hold: {held}. Changed by the gardens: "
        "{changed}."
    )
    return line.format(
        came=came.gardens_in,
        gardens=count(came.gardens, "garden", language),
        files=files,
        used=f"{came.used:,}",
        held=f"{came.held:,}",
        changed=f"{came.changed:,}",
    )


def _settle_first(questions: pd.DataFrame, night: Night, language: str) -> str:
    """Return the questions that could move an answer farthest, each with its garden."""
    if questions.empty:
        return ""
    said = translate(language)
    rank = {size: at for at, size in enumerate(reversed(_MOVES))}
    first = questions.drop_duplicates(["trial", "season", "group"])
    first = first.assign(rank=first["size"].map(rank)).sort_values(["rank", "group"], kind="stable")
    names = night.gardens.set_index("site")["name"]
    lines = []
    for at, row in enumerate(first.head(FIRST_QUESTIONS).to_dict("records"), start=1):
        where = names.get(row["site"], row["file"])
        moves = _MOVES.get(row["size"], "")
        moved = said.gettext(moves) if moves else ""
        lines.append(f"{at}. {where}: {row['message']} {moved}".rstrip())
    return said.gettext("Settle first:") + "\n" + "\n".join(lines)


def _quiet(states: pd.DataFrame, told: pd.DataFrame, night: Night, language: str) -> str:
    """Return which gardens have been quiet for long, and when they were written to."""
    said = translate(language)
    quiet = states.loc[states["state"] == "late", "site"].drop_duplicates()
    if quiet.empty:
        return ""
    names = night.gardens.set_index("site")["name"].reindex(quiet)
    line = said.ngettext(
        "Quiet for {n} day or more: {gardens}.",
        "Quiet for {n} days or more: {gardens}.",
        night.settings.watch.late_days,
    ).format(n=night.settings.watch.late_days, gardens=_listed(names.tolist(), language))
    written = told[told["site"].isin(quiet) & told["occasion"].str.startswith("silence")]
    if len(written):
        last = written["day"].max()
        line += " " + said.gettext("The newest message to one of them is of {date}.").format(
            date=shown_date(last.date(), language)
        )
    return line


def _not_read(came: Week, language: str) -> str:
    if not came.unread:
        return ""
    line = translate(language).ngettext(
        "Not read yet: {files}. Where we know the garden, it was told.",
        "Not read yet, {n} files: {files}. Where we know the gardens, they were told.",
        len(came.unread),
    )
    return line.format(n=len(came.unread), files=_listed(list(came.unread), language))


def _so_far(night: Night, language: str) -> str:
    """Return how far each running trial is; nothing is compared before it closes."""
    sentences = night.running("sentences")
    if sentences.empty:
        return ""
    of_network = sentences[(sentences["place"] == "network") & (sentences["language"] == language)]
    lines = [
        f"{str(row['trial']).replace('-', ' ').capitalize()}: {row['sentence']} {row['sure']}".strip()
        for row in of_network.to_dict("records")
    ]
    return "\n".join(lines)


def _listed(names: list[str], language: str) -> str:
    """Return the first names, and how many more there are."""
    shown = ", ".join(names[:NAMED])
    more = len(names) - NAMED
    if more <= 0:
        return shown
    return f"{shown} " + translate(language).gettext("and {n} more").format(n=more)
