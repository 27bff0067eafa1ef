"""What a night has to say to each garden, read from the store."""

from collections.abc import Iterator

import pandas as pd
import polars as pl
import sqlalchemy as sa

from pipeline.intake.sheets import sheets
from pipeline.messages.garden_message import Message, Reader, Received, garden_message
from pipeline.settings import Settings
from pipeline.store.read import open_findings, sheets_received, sites_of_sheets
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


def messages_of_night(
    connection: sa.Connection, run: int, gardens: pd.DataFrame, settings: Settings
) -> list[Message]:
    """Return the messages that one run gives reason to write, one for a garden at most.

    A garden is written to where it sent something that the run took in, or where the run has a new question
    for it. One that has left or is paused is not written to. A file whose garden is not known is the lead's.
    """
    with_sites = _sheets_with_sites(connection, run)
    findings = open_findings(connection)
    findings = findings[findings["entered"] == run]
    of_sheet = with_sites.drop_duplicates("sheet_id").set_index("sheet_id")["site"]
    findings = findings.assign(site=findings["site"].fillna(findings["sheet_id"].map(of_sheet)))
    written = [
        garden_message(
            reader, _received(reader.site, with_sites, findings, settings.time_zone), settings.messages
        )
        for reader in _readers(gardens, settings)
    ]
    return [message for message in written if message is not None]


def _readers(gardens: pd.DataFrame, settings: Settings) -> Iterator[Reader]:
    languages = garden_languages(gardens, settings.language)
    active = gardens[~gardens["status"].isin(["asked", "paused", "left"])]
    for garden in active.fillna({"contact": ""}).itertuples():
        yield Reader(garden.site, garden.name, languages[garden.site], settings.units, str(garden.contact))


def _sheets_with_sites(connection: sa.Connection, run: int) -> pd.DataFrame:
    """Return the sheets of a run once for each garden in them, else for the garden that sent them."""
    received = sheets_received(connection)
    received = received[received["run_id"] == run]
    whole = received.merge(sites_of_sheets(connection, list(sheets())), on="sheet_id", how="left")
    sender = whole["sender"].str.removeprefix("garden ").where(whole["sender"].str.startswith("garden "))
    shared = whole.duplicated("sheet_id", keep=False)
    return whole.assign(site=whole["site"].fillna(sender), is_shared=shared)


def _received(site: str, with_sites: pd.DataFrame, findings: pd.DataFrame, time_zone: str) -> Received:
    own = with_sites[with_sites["site"] == site]
    found = findings[findings["site"] == site]
    days = own["received"].dt.tz_localize("UTC").dt.tz_convert(time_zone)
    if own["is_shared"].any():
        # The counts of a sheet with rows of several gardens are nobody's own; its questions are.
        rows = used = 0
        held = len(found[found["level"] == "held"].drop_duplicates(["sheet_id", "line"]))
    else:
        rows, used, held = (int(own[name].sum()) for name in ("rows", "used", "held"))
    refused = tuple(own.loc[own["verdict"] == "refused", "file"])
    return Received([day.date() for day in days], len(own), rows, used, held, refused, _as_findings(found))


def _as_findings(found: pd.DataFrame) -> pl.DataFrame:
    named = found.assign(file_name=found["file"], file=found["upload_id"], sheet=found["kind"])
    blank = named.astype(object).where(named.notna(), None)
    return pl.DataFrame({name: blank[name].tolist() for name in _FINDINGS}, schema=_FINDINGS)
