"""What a night has to say to each garden, and once a week to the lead."""

from collections.abc import Iterator

import pandas as pd
import polars as pl
import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.messages.freeze import freeze_occasion, freezes_to_come
from pipeline.messages.garden_message import Message, Received, garden_message
from pipeline.messages.lead_week import lead_message
from pipeline.messages.occasion import Night, Occasion
from pipeline.messages.reader import Reader
from pipeline.messages.season_notes import fresh_notes, note_occasions
from pipeline.messages.silence import silence_occasion, silences
from pipeline.settings import Settings
from pipeline.store.read import open_findings, sheets_received, sites_of_sheets
from pipeline.store.runs import runs_of_day, runs_unpublished
from pipeline.store.told import told_so_far
from pipeline.words.readers import garden_languages

#: What a message needs of a finding, in the columns of a findings frame.
_FINDINGS = {
    "file": pl.UInt32,
    "file_name": pl.String,
    "tab": pl.String,
    "sheet": pl.String,
    "line": pl.UInt32,
    "column": pl.String,
    "check": pl.String,
    "level": pl.String,
    "site": pl.String,
    "plot": pl.String,
    "season": pl.String,
    "sent": pl.String,
    "details": pl.String,
}


def messages_of_night(connection: sa.Connection, night: Night) -> list[Message]:
    """Return the messages that a night gives reason to write, one for a garden at most, and the lead's.

    A garden is written to where it sent something that the run took in, where the run has a new question for
    it, or where there is an occasion that it was not told of yet. A message of the same day that was not
    fetched yet is written anew with all that the day's runs have to say. A garden that has left or is paused
    is not written to. A file whose garden is not known is the lead's.
    """
    new = runs_unpublished(connection, night.run)
    today = new | runs_of_day(connection, night.day)
    with_sites = _sheets_with_sites(connection, today)
    findings = open_findings(connection)
    findings = findings[findings["entered"].isin(today)]
    of_sheet = with_sites.drop_duplicates("sheet_id").set_index("sheet_id")["site"]
    findings = findings.assign(site=findings["site"].fillna(findings["sheet_id"].map(of_sheet)))
    told = told_so_far(connection)
    sent, asked, heard = _BySite(with_sites), _BySite(findings), _BySite(told)
    occasions = _Occasions(night)
    written = [
        _message(
            reader, night, occasions, sent.of(reader.site), asked.of(reader.site), heard.of(reader.site), new
        )
        for reader in _readers(night.gardens, night.settings)
    ]
    written.append(lead_message(connection, night, told))
    return [message for message in written if message is not None]


def _message(
    reader: Reader,
    night: Night,
    occasions: "_Occasions",
    own: pd.DataFrame,
    found: pd.DataFrame,
    told: pd.DataFrame,
    new: set[int],
) -> Message | None:
    """Return the message to one garden; where today's still lies there, with all that it said."""
    if reader.site in night.lying:
        told = told[told["day"] < night.tonight]
    else:
        own, found = own[own["run_id"].isin(new)], found[found["entered"].isin(new)]
    before = set(told["occasion"])
    return garden_message(
        reader,
        _received(own, found, night.settings.time_zone),
        night.settings.messages,
        [one for one in occasions.of(reader, sent=len(own) > 0) if one.name not in before],
        [one for one in occasions.notes_of(reader) if one.name not in before],
    )


class _BySite:
    """Rows by their garden."""

    def __init__(self, rows: pd.DataFrame) -> None:
        self._nothing = rows.iloc[:0]
        self._parts = dict(tuple(rows.groupby("site"))) if len(rows) else {}

    def of(self, site: str) -> pd.DataFrame:
        """Return the rows of one garden."""
        return self._parts.get(site, self._nothing)


class _Occasions:
    """What there is to tell beside rows and questions, garden by garden."""

    def __init__(self, night: Night) -> None:
        self._about = night.settings.messages
        self._silences = silences(night)
        self._freezes = freezes_to_come(night)
        notes = fresh_notes(night)
        self._notes = _BySite(notes) if len(notes) else None

    def of(self, reader: Reader, *, sent: bool) -> list[Occasion]:
        """Return the occasions of a garden; one that `sent` something today is not silent."""
        found = []
        if reader.site in self._silences and not sent:
            found.append(silence_occasion(reader, self._silences[reader.site], self._about))
        if reader.site in self._freezes:
            found.append(freeze_occasion(reader, *self._freezes[reader.site], self._about))
        return found

    def notes_of(self, reader: Reader) -> list[Occasion]:
        """Return the notes on a garden's season, each name once."""
        own = note_occasions(reader, self._notes.of(reader.site)) if self._notes is not None else []
        return list({one.name: one for one in own}.values())


def _readers(gardens: pd.DataFrame, settings: Settings) -> Iterator[Reader]:
    languages = garden_languages(gardens, settings.language)
    active = gardens[~gardens["status"].isin(["asked", "paused", "left"])]
    for garden in active.fillna({"contact": ""}).itertuples():
        yield Reader(garden.site, garden.name, languages[garden.site], settings.units, str(garden.contact))


def _sheets_with_sites(connection: sa.Connection, runs: set[int]) -> pd.DataFrame:
    """Return the sheets of some runs once for each garden in them, else for the garden that sent them."""
    received = sheets_received(connection)
    received = received[received["run_id"].isin(runs)]
    whole = received.merge(sites_of_sheets(connection, list(sheets())), on="sheet_id", how="left")
    sender = whole["sender"].str.removeprefix("garden ").where(whole["sender"].str.startswith("garden "))
    shared = whole.duplicated("sheet_id", keep=False)
    return whole.assign(site=whole["site"].fillna(sender), is_shared=shared)


def _received(own: pd.DataFrame, found: pd.DataFrame, time_zone: str) -> Received:
    days = own["received"].dt.tz_localize("UTC").dt.tz_convert(time_zone)
    if own["is_shared"].any():
        # The counts of a sheet with rows of several gardens are nobody's own; its questions are.
        rows = used = 0
        held = len(found[found["level"] == "held"].drop_duplicates(["sheet_id", "line"]))
    else:
        rows, used, held = (int(own[name].sum()) for name in ("rows", "used", "held"))
    refused = tuple(own.loc[own["verdict"] == "refused", "file"])
    return Received([day.date() for day in days], len(own), rows, used, held, refused, _as_findings(found))


def nothing_found() -> pl.DataFrame:
    """Return a findings frame without rows, in the columns that a message needs."""
    return pl.DataFrame(schema=_FINDINGS)


def _as_findings(found: pd.DataFrame) -> pl.DataFrame:
    named = found.assign(file_name=found["file"], file=found["upload_id"], sheet=found["kind"])
    blank = named.astype(object).where(named.notna(), None)
    return pl.DataFrame({name: blank[name].tolist() for name in _FINDINGS}, schema=_FINDINGS)
