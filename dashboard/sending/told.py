"""What a volunteer is told about one file: the verdict, what waits, what we ask, and the rows as read."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import polars as pl

from dashboard.sending.mending import Edit, Grid, mended
from dashboard.sending.ways import RIGHT, TYPED, Reader, Way, typed, ways
from dashboard.sending.writing import csv_bytes, workbook_bytes
from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.groups import Group, group
from pipeline.checks.judge import Judged, limits_of
from pipeline.checks.words import Words, in_words, values_of
from pipeline.intake.pictures import kind_of_picture
from pipeline.intake.reading import SheetTable, read_file
from pipeline.intake.tables import SentFile
from pipeline.said_right import SaidRight
from pipeline.settings import Settings


@dataclass(frozen=True)
class Told:
    """What was found in one file."""

    file: SentFile
    settings: Settings
    judged: Judged

    @property
    def rows(self) -> int:
        """How many rows were read."""
        return int(self.judged.verdicts["rows"].sum())

    @property
    def held(self) -> int:
        """How many of them wait."""
        return int(self.judged.verdicts["held"].sum())

    @property
    def used(self) -> int:
        """How many of them are in."""
        return self.rows - self.held

    @property
    def is_picture(self) -> bool:
        """Whether it is a picture of a paper sheet, which waits to be typed."""
        return kind_of_picture(self.file.content) is not None

    @property
    def verdicts(self) -> list[dict[str, Any]]:
        """The verdict on each sheet."""
        return self.judged.verdicts.to_dicts()

    @property
    def groups(self) -> list[Group]:
        """The findings by cause, the most important first."""
        return group(self.judged.findings)

    def of_group(self, one: Group) -> list[dict[str, Any]]:
        """Return all findings of a group, also those beyond the first few."""
        same = [
            pl.col(name).eq_missing(pl.lit(value))
            for name, value in (
                *(("check", one.check), ("tab", one.tab), ("sheet", one.sheet), ("column", one.column)),
            )
        ]
        found = self.judged.findings.filter(same)
        if one.cause:
            found = found.filter(pl.col("sent").str.to_lowercase() == one.cause.lower())
        return found.to_dicts()

    def words(self, finding: Mapping[str, Any], language: str, *, names_place: bool = True) -> Words:
        """Return the words of one finding; without `names_place` its message does not name the row."""
        named = dict(finding) | {"file": self.file.name}
        values = values_of(EVERY_CHECK.get(str(finding["check"])), named, language, self.settings.units)
        return in_words(str(finding["check"]), values, language, names_place=names_place)

    def read_as(self, finding: Mapping[str, Any], language: str) -> str:
        """Return how the cell was read, blank where there is no reading to tell."""
        values = values_of(
            EVERY_CHECK.get(str(finding["check"])), dict(finding), language, self.settings.units
        )
        return values.get("read", "")

    @property
    def tables(self) -> Sequence[SheetTable]:
        """The sheets as they stand in the file."""
        return read_file(self.file, limits_of(self.settings.intake)).tables


@dataclass(frozen=True)
class Answer:
    """What somebody chose for one finding, or for all findings with its cause.

    `line` is 0 where it is for all of them; `way` is the name of a way and `text` what was typed.
    """

    check: str
    column: str
    line: int
    way: str
    text: str = ""
    tab: str = ""
    cause: str = ""


def answer_to(one: Group, finding: Mapping[str, Any] | None, way: str, text: str = "") -> Answer:
    """Return an answer to one finding of a group, or to the whole group where none is named."""
    line = 0 if finding is None else int(finding["line"] or 0)
    return Answer(one.check, one.column or "", line, way, text, one.tab or "", one.cause)


def answers_group(answer: Answer, one: Group) -> bool:
    """Return whether an answer is about findings of a group."""
    own = (one.check, one.column or "", one.tab or "", one.cause)
    return (answer.check, answer.column, answer.tab, answer.cause) == own


def edits_of(told: Told, answers: Sequence[Answer], reader: Reader) -> list[Edit]:
    """Return the edits that all answers together make to the file's sheets."""
    edits: list[Edit] = []
    groups = told.groups
    for answer in answers:
        for one in groups:
            if answers_group(answer, one):
                edits += _edits(told.of_group(one), answer, reader)
    return list(dict.fromkeys(edits))


def said_right(told: Told, answers: Sequence[Answer]) -> list[SaidRight]:
    """Return the cells that answers leave as they stand."""
    found = [
        SaidRight(str(one["check"]), one["column"] or "", int(one["line"] or 0), str(one["sent"] or ""))
        for answer in answers
        if answer.way == RIGHT
        for each in told.groups
        if answers_group(answer, each)
        for one in told.of_group(each)
        if answer.line in (0, one["line"] or 0)
    ]
    return list(dict.fromkeys(found))


def _edits(findings: Sequence[Mapping[str, Any]], answer: Answer, reader: Reader) -> list[Edit]:
    meant = [one for one in findings if answer.line in (0, one["line"] or 0)]
    if answer.way == RIGHT:
        return []
    if answer.way == TYPED:
        return [edit for one in meant for edit in typed(one, answer.text)]
    return [edit for one in meant if (way := _way(one, answer.way, reader)) for edit in way.edits]


def _way(finding: Mapping[str, Any], name: str, reader: Reader) -> Way | None:
    return next((way for way in ways(finding, reader) if way.name == name), None)


def corrected_grids(told: Told, answers: Sequence[Answer], reader: Reader) -> list[Grid]:
    """Return the file's sheets with everything mended that was answered."""
    return mended(told.tables, edits_of(told, answers, reader))


def corrected_file(told: Told, answers: Sequence[Answer], reader: Reader) -> SentFile:
    """Return the corrected file: CSV where it holds one sheet, else a spreadsheet."""
    grids = corrected_grids(told, answers, reader)
    stem = told.file.name.rsplit(".", 1)[0]
    if len(grids) == 1:
        return SentFile(f"{stem}.csv", csv_bytes(grids[0]), told.file.gardens)
    return SentFile(f"{stem}.xlsx", workbook_bytes(grids), told.file.gardens)
