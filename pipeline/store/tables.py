"""The tables of the store: one schema for SQLite and PostgreSQL.

Nothing that was sent is ever changed or removed here. A row of a sheet is entered by a run and, when a
newer one takes its place, left by a run; between the two it is current. The rows behind any published
snapshot are those entered by its run or before and not left by then.
"""

from typing import Any

import sqlalchemy as sa

from pipeline.intake.sheets import NUMBER_KINDS, Sheet, sheets

metadata = sa.MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s_%(referred_table_name)s",
        "pk": "pk_%(table_name)s",
    }
)

#: Identifiers are plain integers on SQLite, where only those count by themselves, and 64 bits elsewhere.
_Id = sa.BigInteger().with_variant(sa.Integer, "sqlite")

runs = sa.Table(
    "run",
    metadata,
    sa.Column("run_id", _Id, primary_key=True),
    sa.Column("started", sa.DateTime, nullable=False),
    sa.Column("ended", sa.DateTime),
    sa.Column("status", sa.String(20), nullable=False),
    sa.Column("night", sa.Date, nullable=False),
)

uploads = sa.Table(
    "upload",
    metadata,
    sa.Column("upload_id", _Id, primary_key=True),
    sa.Column("sha256", sa.String(64), nullable=False, index=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("sender", sa.Text, nullable=False),
    sa.Column("bytes", sa.BigInteger, nullable=False),
    sa.Column("received", sa.DateTime, nullable=False),
    sa.Column("run_id", sa.ForeignKey("run.run_id"), nullable=False),
)

sent_sheets = sa.Table(
    "sheet",
    metadata,
    sa.Column("sheet_id", _Id, primary_key=True),
    sa.Column("upload_id", sa.ForeignKey("upload.upload_id"), nullable=False, index=True),
    sa.Column("tab", sa.Text),
    sa.Column("kind", sa.String(20)),
    sa.Column("verdict", sa.String(20), nullable=False),
    sa.Column("rows", sa.Integer, nullable=False),
    sa.Column("used", sa.Integer, nullable=False),
    sa.Column("held", sa.Integer, nullable=False),
)

pictures = sa.Table(
    "picture",
    metadata,
    sa.Column("upload_id", sa.ForeignKey("upload.upload_id"), primary_key=True),
    sa.Column("kind", sa.String(10), nullable=False),
    sa.Column("site", sa.Text),
    # When it was taken; the day of its arrival where it does not say.
    sa.Column("day", sa.Date, nullable=False),
    sa.Column("put_away", sa.DateTime),
    sa.Column("put_away_by", sa.Text),
    sa.Column("why", sa.Text),
)

sheet_parts = sa.Table(
    "sheet_part",
    metadata,
    sa.Column("sheet_id", sa.ForeignKey("sheet.sheet_id"), primary_key=True),
    sa.Column("site", sa.Text, primary_key=True),
    sa.Column("chain", _Id, primary_key=True),
    sa.Column("kind", sa.String(20), nullable=False),
    # The keys of the newest file of a chain, one a line; null in a file that a newer one continues.
    sa.Column("keys", sa.Text),
    sa.Index("ix_sheet_part_site_kind", "site", "kind"),
    sa.Index("ix_sheet_part_chain", "chain"),
)

decisions = sa.Table(
    "decision",
    metadata,
    sa.Column("decision_id", _Id, primary_key=True),
    sa.Column("made", sa.DateTime, nullable=False),
    sa.Column("made_by", sa.Text, nullable=False),
    sa.Column("answer", sa.String(30), nullable=False),
    sa.Column("why", sa.Text, nullable=False),
    sa.Column("kind", sa.String(20)),
    sa.Column("row_id", _Id, index=True),
    sa.Column("finding_id", _Id),
    sa.Column("check", sa.String(40)),
    sa.Column("site", sa.Text),
    sa.Column("column", sa.String(40)),
    sa.Column("value", sa.Text),
    sa.Column("applied", _Id),
    sa.Column("withdrawn", sa.DateTime),
    sa.Column("withdrawn_by", sa.Text),
    sa.Column("undone", _Id),
)

findings = sa.Table(
    "finding",
    metadata,
    sa.Column("finding_id", _Id, primary_key=True),
    # A finding about a season may be about no sheet: a garden that sent nothing, for one.
    sa.Column("sheet_id", sa.ForeignKey("sheet.sheet_id"), index=True),
    sa.Column("row_id", _Id, index=True),
    sa.Column("kind", sa.String(20)),
    sa.Column("line", sa.Integer),
    sa.Column("column", sa.String(40)),
    sa.Column("check", sa.String(40), nullable=False),
    sa.Column("level", sa.String(10), nullable=False),
    sa.Column("site", sa.Text),
    sa.Column("plot", sa.Text),
    sa.Column("season", sa.Text),
    sa.Column("sent", sa.Text),
    sa.Column("details", sa.Text, nullable=False),
    # What names a finding about a season from night to night; null for one about a row or a file.
    sa.Column("identity", sa.Text),
    sa.Column("entered", _Id, nullable=False),
    sa.Column("left", _Id),
    sa.Index("ix_finding_site", "site"),
)

snapshots = sa.Table(
    "snapshot",
    metadata,
    sa.Column("snapshot_id", _Id, primary_key=True),
    sa.Column("run_id", sa.ForeignKey("run.run_id"), nullable=False),
    sa.Column("night", sa.Date, nullable=False),
    sa.Column("published", sa.DateTime, nullable=False),
    sa.Column("fingerprint", sa.String(64), nullable=False),
)

frames = sa.Table(
    "frame",
    metadata,
    sa.Column("sha256", sa.String(64), primary_key=True),
    sa.Column("content", sa.LargeBinary, nullable=False),
)

snapshot_frames = sa.Table(
    "snapshot_frame",
    metadata,
    sa.Column("snapshot_id", sa.ForeignKey("snapshot.snapshot_id"), primary_key=True),
    sa.Column("trial", sa.Text, primary_key=True),
    sa.Column("season", sa.Text, primary_key=True),
    sa.Column("name", sa.String(40), primary_key=True),
    sa.Column("sha256", sa.ForeignKey("frame.sha256"), nullable=False),
)

releases = sa.Table(
    "release",
    metadata,
    sa.Column("release_id", _Id, primary_key=True),
    sa.Column("trial", sa.Text, nullable=False),
    sa.Column("season", sa.Text, nullable=False),
    # Snapshots are cleared away after some nights; a release stays and keeps its own frames.
    sa.Column("snapshot", _Id, nullable=False),
    sa.Column("night", sa.Date, nullable=False),
    sa.Column("digest", sa.String(64), nullable=False),
    sa.Column("released", sa.DateTime, nullable=False),
    sa.Column("released_by", sa.Text, nullable=False),
    sa.Column("taken_back", sa.DateTime),
    sa.Column("taken_back_by", sa.Text),
    # The release that took this one's place, where it was not only taken back.
    sa.Column("successor", _Id),
    sa.Index("ix_release_trial_season", "trial", "season"),
)

release_frames = sa.Table(
    "release_frame",
    metadata,
    sa.Column("release_id", sa.ForeignKey("release.release_id"), primary_key=True),
    sa.Column("name", sa.String(40), primary_key=True),
    sa.Column("sha256", sa.ForeignKey("frame.sha256"), nullable=False),
)


told = sa.Table(
    "told",
    metadata,
    # The garden that was written to; the lead under a name of its own.
    sa.Column("site", sa.Text, primary_key=True),
    # What it was told, named so that it is told once: a silence since a day, a freeze season, a note.
    sa.Column("occasion", sa.Text, primary_key=True),
    sa.Column("day", sa.Date, nullable=False),
    sa.Column("run_id", sa.ForeignKey("run.run_id"), nullable=False),
)


def _value_type(kind: str) -> sa.types.TypeEngine[Any]:
    if kind == "date":
        return sa.Date()
    return sa.Double() if kind in NUMBER_KINDS else sa.Text()


def _rows_table(sheet: Sheet) -> sa.Table:
    """Return the table of one kind of sheet: where a row came from, when it counts, its values in SI."""
    values = [sa.Column(column.name, _value_type(column.kind)) for column in sheet.columns]
    return sa.Table(
        f"{sheet.name}_row",
        metadata,
        sa.Column("row_id", _Id, primary_key=True),
        sa.Column("sheet_id", sa.ForeignKey("sheet.sheet_id"), nullable=False, index=True),
        sa.Column("line", sa.Integer, nullable=False),
        sa.Column("season", sa.Text),
        # The key as it was sent: what a later file is held against, whatever a decision made of the row.
        sa.Column("key", sa.Text),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("entered", _Id, nullable=False),
        sa.Column("left", _Id),
        sa.Column("left_why", sa.String(20)),
        sa.Column("successor", _Id),
        # A row that a decision made names the row as it was sent.
        sa.Column("origin", _Id),
        sa.Column("decision_id", _Id),
        *values,
        sa.Column("sent", sa.Text, nullable=False),
        sa.Index(f"ix_{sheet.name}_row_site_season", "site", "season"),
    )


rows_of: dict[str, sa.Table] = {name: _rows_table(sheet) for name, sheet in sheets().items()}
