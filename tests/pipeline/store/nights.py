"""A workspace whose nights are played one after the other."""

import sqlalchemy as sa

from pipeline.nightly import run_night
from pipeline.store.decisions import Asked, record, withdraw
from pipeline.store.engine import open_store
from pipeline.store.read import counting_rows, open_findings
from pipeline.store.tables import rows_of

HEADER = "site,plot,date,weight (kg),good fruits,note"


class Nights:
    """Sends files, makes decisions, runs nights, and reads what counts in the end."""

    def __init__(self, workspace):
        self.workspace = workspace
        self.engine = open_store(workspace.database_url)

    def night(self, *rows, sender="G01", name="sheet.csv"):
        """Send one file, if there are rows, and run a night; rows are "plot date kg" or full CSV lines."""
        folder = self.workspace.inbox / sender if sender else self.workspace.inbox
        folder.mkdir(exist_ok=True)
        if rows:
            lines = [row if "," in row else self.line(row) for row in rows]
            (folder / name).write_text("\n".join([HEADER, *lines, ""]))
        return run_night(self.workspace).counts

    @staticmethod
    def line(row):
        plot, day, kg, *note = row.split(maxsplit=3)
        return f"G01,{plot},2024-{day},{kg},,{note[0] if note else ''}"

    def decide(self, answer, about=None, **more):
        """Record a decision about the row of a plot and day, "1 07-01", and return its number."""
        row_id = None if about is None else self.row(about)
        return record(self.engine, Asked(answer, "lead", row_id=row_id, **more), self.workspace.now())

    def undo(self, decision):
        withdraw(self.engine, decision, "lead", self.workspace.now())

    def row(self, about, state=None):
        """Return the newest current row that was sent for a plot and day."""
        plot, day = about.split()
        table = rows_of["harvest"]
        query = sa.select(table.c.row_id).where(
            table.c.left.is_(None),
            table.c.sent.contains(f'"plot":"{plot}"'),
            table.c.sent.contains(f"2024-{day}"),
        )
        with self.engine.connect() as connection:
            return connection.execute(query.order_by(table.c.row_id.desc())).scalars().first()

    def total(self, plot="1", site="G01"):
        with self.engine.connect() as connection:
            rows = counting_rows(connection, "harvest", "2024")
        return rows.loc[(rows["site"] == site) & (rows["plot"] == plot), "marketable_weight"].sum()

    def asked(self):
        return self._found(lambda level: level != "note")

    def noted(self):
        return self._found(lambda level: level == "note")

    def _found(self, wanted):
        with self.engine.connect() as connection:
            found = open_findings(connection)
        return sorted(found.loc[found["level"].map(wanted).astype(bool), "check"])
