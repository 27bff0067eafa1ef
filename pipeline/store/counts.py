"""What a run did, in numbers."""

from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING

import polars as pl

if TYPE_CHECKING:
    from pipeline.store.history import Decision


@dataclass
class Counts:
    """Files and rows that a run handled; every row read is new, revised, unchanged or held."""

    files_new: int = 0
    taken: int = 0
    taken_in_part: int = 0
    refused: int = 0
    rows_read: int = 0
    rows_new: int = 0
    rows_revised: int = 0
    rows_unchanged: int = 0
    rows_held: int = 0
    sites: set[str] = field(default_factory=set)

    @classmethod
    def of_files(cls, verdicts: pl.DataFrame) -> "Counts":
        """Return the counts of files by their verdict; a workbook whose tabs differ is taken in part."""
        by_file = verdicts.group_by("file").agg(pl.col("verdict").unique())["verdict"].to_list()
        named = [found[0] if len(found) == 1 else "taken in part" for found in by_file]
        return cls(
            files_new=len(named),
            taken=named.count("taken"),
            taken_in_part=named.count("taken in part"),
            refused=named.count("refused"),
            rows_read=int(verdicts["rows"].sum()),
        )

    def add(self, other: "Counts") -> None:
        """Add what another batch did."""
        for item in fields(self):
            mine, theirs = getattr(self, item.name), getattr(other, item.name)
            setattr(self, item.name, mine | theirs if isinstance(mine, set) else mine + theirs)

    def add_rows(self, decision: "Decision", sites: list[str]) -> None:
        """Add what became of the rows of one wave."""
        self.rows_new += decision.new
        self.rows_revised += decision.revised
        self.rows_unchanged += decision.unchanged
        self.rows_held += decision.held
        self.sites |= set(sites)
