"""What a comma or a point means in a file, by what its other numbers show."""

from collections.abc import Mapping
from dataclasses import dataclass, field

import polars as pl

from pipeline.intake.numbers import Mark, MarkShown, mark_shown, settled_mark
from pipeline.intake.sheets import NUMBER_KINDS, Sheet

_EITHER_POINT = r"^[+-]?[1-9][0-9]{0,2}\.[0-9]{3}$"
#: Numbers of a column that show how large its numbers are. Common practice, no source.
_ENOUGH_OTHERS = 5
#: A number this many times beyond the smallest or largest of the others still belongs to them, and one ten
#: times as far does not. The two readings differ a thousandfold. Common practice, no source.
_NEAR, _FAR = 3.0, 30.0


@dataclass(frozen=True)
class Marks:
    """The decimal mark of each table that settles one.

    `columns` are those in which a point may mean thousands: in a table of decimal commas, before exactly
    three digits.
    """

    by_table: dict[int, Mark] = field(default_factory=dict)
    columns: tuple[str, ...] = ()

    def with_doubtful_points(self, frame: pl.DataFrame, name: str, odd: pl.DataFrame | None) -> pl.DataFrame:
        """Return the odd cells of a column with those whose point may mean thousands."""
        of = f"given_{name}" if f"given_{name}" in frame.columns else None
        unit = pl.lit(None, pl.String) if of is None else pl.col(of)
        cell = pl.col(f"sent_{name}")
        doubtful = frame.filter(self._is_comma_table() & cell.str.contains(_EITHER_POINT)).select(
            "at", "table", cell.alias("cell"), unit.alias("of")
        )
        return doubtful if odd is None else pl.concat([odd, doubtful])

    def _is_comma_table(self) -> pl.Expr:
        return pl.col("table").is_in([table for table, mark in self.by_table.items() if mark == ","])

    def beside(self, cells: pl.DataFrame) -> pl.DataFrame:
        """Return the cells with their table's `mark`."""
        mark = pl.lit(None, pl.String)
        if self.by_table:
            mark = pl.col("table").replace_strict(self.by_table, default=None, return_dtype=pl.String)
        return cells.with_columns(mark.alias("mark"))


def decimal_marks(sheet: Sheet, frame: pl.DataFrame, odd: Mapping[str, pl.DataFrame]) -> Marks:
    """Return the decimal marks that the tables show, given the odd cells of each column.

    Only a table with a comma in some number is looked at: without one there is nothing to settle.
    """
    with_comma = [
        cells.filter(pl.col("cell").str.contains(",", literal=True))["table"] for cells in odd.values()
    ]
    tables = pl.concat(with_comma).unique() if with_comma else pl.Series(dtype=pl.UInt32)
    if tables.is_empty():
        return Marks()
    columns = sheet.of_kind(*NUMBER_KINDS)
    around = frame.filter(pl.col("table").is_in(tables.implode())).select(
        "table", *(f"sent_{name}" for name in columns)
    )
    shown: dict[int, set[MarkShown]] = {}
    for table, cell in (
        around.unpivot(index="table", value_name="cell").select("table", "cell").unique().rows()
    ):
        if cell is not None and (mark := mark_shown(cell)) is not None:
            shown.setdefault(table, set()).add(mark)
    settled = {table: settled_mark(of_table) for table, of_table in shown.items()}
    by_table = {table: mark for table, mark in settled.items() if mark is not None}
    return Marks(by_table, columns if "," in by_table.values() else ())


def settled_by_others(frame: pl.DataFrame, name: str) -> pl.DataFrame:
    """Return the rows with numbers in two ways settled where the column's other numbers rule one out.

    Beside 850, 920 and 1,050 grams, 1,234 is more than a thousand; beside 2.5 and 3.1 kilograms it is not.
    """
    how = pl.col(f"how_{name}")
    unsettled = frame.filter(how == "two ways").select("table").unique()
    others = (
        frame.select("table", name, f"how_{name}")
        .join(unsettled, on="table", how="semi")
        .filter(how.is_in(["plain", "read as"]) & (pl.col(name) > 0))
        .group_by("table")
        .agg(pl.len().alias("count"), pl.col(name).min().alias("least"), pl.col(name).max().alias("most"))
        .filter(pl.col("count") >= _ENOUGH_OTHERS)
    )
    joined = frame.join(others, on="table", how="left", maintain_order="left")
    first, other = pl.col(f"first_{name}"), pl.col(f"other_{name}")
    settled = (
        pl.when(_is_near(first) & _is_far(other))
        .then(first)
        .when(_is_near(other) & _is_far(first))
        .then(other)
    )
    is_settled = (how == "two ways") & settled.is_not_null()
    return joined.with_columns(
        pl.when(is_settled).then(settled).otherwise(pl.col(name)).alias(name),
        pl.when(is_settled).then(pl.lit("read as")).otherwise(how).alias(f"how_{name}"),
        *(pl.when(~is_settled).then(pl.col(part)).alias(part) for part in (f"first_{name}", f"other_{name}")),
    ).drop("count", "least", "most")


def _is_near(value: pl.Expr) -> pl.Expr:
    return value.is_between(pl.col("least") / _NEAR, pl.col("most") * _NEAR)


def _is_far(value: pl.Expr) -> pl.Expr:
    return ~value.is_between(pl.col("least") / _FAR, pl.col("most") * _FAR)
