"""Which columns of which sheets a check looks at."""

from pipeline.checks.pool import is_of_plots
from pipeline.intake.sheets import sheets

#: Flags of rows with a cell that is neither blank nor plain, and of rows whose garden or plot nobody knows.
ODD_CELL, LOST = "has_odd_cell", "is_lost"

#: Sheets whose every row is about one plot.
PLOT_SHEETS = tuple(name for name, sheet in sheets().items() if is_of_plots(sheet))


def columns_of(*kinds: str) -> dict[str, tuple[str, ...]]:
    """Return, for each sheet, its columns of these kinds."""
    return {name: of_kind for name, sheet in sheets().items() if (of_kind := sheet.of_kind(*kinds))}


def columns_but(*but: str) -> dict[str, tuple[str, ...]]:
    """Return, for each sheet, all its columns but these."""
    return {
        name: tuple(column for column in sheet.column_names if column not in but)
        for name, sheet in sheets().items()
    }


def only(column: str, *of_sheets: str) -> dict[str, tuple[str, ...]]:
    """Return one column for each of the named sheets."""
    return dict.fromkeys(of_sheets, (column,))


def whole_rows() -> dict[str, tuple[str, ...]]:
    """Return, for each sheet, no column: the finding is about the row."""
    return dict.fromkeys(sheets(), ("",))
