"""Known faults of a source, kept in a reviewed file and put right by the night.

`registry/corrections.csv` says which rows of which sheet, what they say, what is right, why, who was told,
and until when that holds. A correction that no longer matches any row is a problem of the registry: the
source was mended, or the line is wrong, and somebody must look. What was sent is never changed.
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd

from pipeline.intake.sheets import sheets
from pipeline.store.applying import read_value
from sites.errors import InputError, Problem, RegistryError
from sites.tables import TableColumn as Column
from sites.tables import TableDefinition, read_table

CORRECTIONS = TableDefinition(
    "corrections.csv",
    (
        Column("sheet", required=True, choices=tuple(sheets())),
        Column("site", required=True),
        Column("plot"),
        Column("from", "date"),
        Column("to", "date"),
        Column("column", required=True),
        Column("says", required=True),
        Column("is", required=True),
        Column("why", required=True),
        Column("told", required=True),
        Column("until", "date", required=True),
    ),
    optional=True,
)


@dataclass
class Corrections:
    """The corrections of a network, and which of them met a row."""

    table: pd.DataFrame
    bare_weight: str
    met: set[int]

    def corrected(self, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
        """Return the rows of one kind of sheet with known faults put right; remembers which ones were met."""
        for correction in self.table[self.table["sheet"] == kind].to_dict("records"):
            says = self._read(correction, "says")
            right = self._read(correction, "is")
            hit = _about(rows, correction) & _equals(rows[correction["column"]], says)
            if hit.any():
                self.met.add(int(correction["line"]))
                rows = rows.assign(**{correction["column"]: rows[correction["column"]].mask(hit, right)})
        return rows

    def check_all_met(self) -> None:
        """Raise RegistryError for every correction that met no row."""
        unmet = self.table[~self.table["line"].isin(self.met)]
        what, mend = "no row says this any more.", "Take the line out, or correct it."
        problems = [Problem(CORRECTIONS.file, int(line), "says", what, mend) for line in unmet["line"]]
        if problems:
            raise RegistryError(problems)

    def _read(self, correction: dict[str, object], part: str) -> object:
        return read_value(
            str(correction["sheet"]), str(correction["column"]), str(correction[part]), self.bare_weight
        )


def read_corrections(folder: Path, today: date, bare_weight: str) -> Corrections:
    """Return the corrections in `folder`, none where there is no such file.

    Raises RegistryError where a line cannot be read, names a column that the sheet does not have, or has run
    out by `today`.
    """
    reading = read_table(folder, CORRECTIONS)
    problems = reading.problems
    if not problems:
        for row in reading.frame.to_dict("records"):
            problems += _problems(row, today, bare_weight)
    if problems:
        raise RegistryError(problems)
    return Corrections(reading.frame, bare_weight, set())


def _problems(row: dict[str, object], today: date, bare_weight: str) -> list[Problem]:
    line = int(str(row["line"]))
    sheet, column = sheets()[str(row["sheet"])], str(row["column"])
    if column not in sheet.column_names or (column in sheet.required and column in sheet.key):
        values = ", ".join(name for name in sheet.column_names if name not in sheet.key)
        return [
            Problem(
                CORRECTIONS.file,
                line,
                "column",
                f"“{column}” cannot be corrected here.",
                f"Name one of {values}.",
            )
        ]
    found = []
    if pd.Timestamp(str(row["until"])) < pd.Timestamp(today):
        what = f"this correction ran out on {pd.Timestamp(str(row['until'])).date()}."
        found.append(
            Problem(
                CORRECTIONS.file, line, "until", what, "Look at it again: give a later day, or take it out."
            )
        )
    for part in ("says", "is"):
        try:
            read_value(sheet.name, column, str(row[part]), bare_weight)
        except InputError as error:
            found.append(Problem(CORRECTIONS.file, line, part, str(error), ""))
    return found


def _about(rows: pd.DataFrame, correction: dict[str, object]) -> pd.Series:
    """Return which rows a correction is about: its garden, and its plot and days where it names them."""
    about = rows["site"] == correction["site"]
    if correction["plot"] and "plot" in rows:
        about &= rows["plot"] == correction["plot"]
    if not pd.isna(correction["from"]):
        about &= rows["date"] >= correction["from"]
    if not pd.isna(correction["to"]):
        about &= rows["date"] <= correction["to"]
    return about


def _equals(values: pd.Series, says: object) -> pd.Series:
    if isinstance(says, float):
        return pd.Series(np.isclose(values.astype("float64"), says, rtol=1e-9), index=values.index)
    return values == says
