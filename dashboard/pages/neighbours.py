"""The rows around the one in question."""

from collections.abc import Sequence
from operator import itemgetter
from typing import Any

import pandas as pd

from dashboard import data
from dashboard.data import View
from dashboard.selection import Selection

#: A row as the store has it, by the names of its columns; None where a cell is blank.
Row = dict[str, Any]

#: Pickings of the same plot shown before and after the row in question.
BEFORE_AND_AFTER = 3
#: Rows shown at most.
MOST_ROWS = 18


def season_of(view: View, selection: Selection, finding: Row) -> list[Row]:
    """Return the row in question and the rows of its garden and season, of the same kind of sheet.

    In the order of their files; none where the finding is about no row, or there is no store.
    """
    trial = selection.trial
    if view.desk is None or trial is None or pd.isna(finding["row"]):
        return []
    site = finding["site"] if isinstance(finding["site"], str) else None
    rows = view.desk.rows_around(finding["sheet"], int(finding["row"]), site, view.published.run)
    return [
        row
        for row in rows
        if row["row_id"] == finding["row"]
        or (row["date"] is not None and trial.start <= row["date"] <= trial.close)
    ]


def near(rows: Sequence[Row], finding: Row) -> list[Row]:
    """Return the row with the plot's pickings before and after it, and the garden's other rows of its day."""
    at = [row["row_id"] == finding["row"] for row in rows].index(True)
    if pd.isna(finding["date"]):
        return list(rows[max(0, at - BEFORE_AND_AFTER) : at + BEFORE_AND_AFTER + 1])
    on = finding["date"].date()
    others = [row for row in rows if row["row_id"] != finding["row"] and row["date"] is not None]
    of_plot = [row for row in others if "plot" not in row or row["plot"] == finding["plot"]]
    of_plot.sort(key=itemgetter("date"))
    before = [row for row in of_plot if row["date"] < on][-BEFORE_AND_AFTER:]
    after = [row for row in of_plot if row["date"] > on][:BEFORE_AND_AFTER]
    that_day = [row for row in others if row["date"] == on]
    return sorted([rows[at], *before, *after, *that_day][:MOST_ROWS], key=_day_plot_and_line)


def _day_plot_and_line(row: Row) -> tuple[tuple[bool, Any], ...]:
    """Return what orders rows; what is not recorded stands last."""
    values = (row[name] for name in ("date", "plot", "line") if name in row)
    return tuple((value is None, value) for value in values)


def treated_alike(view: View, selection: Selection, finding: dict[str, Any]) -> list[str]:
    """Return the plots of the garden with the same treatment as the plot in question, itself among them."""
    if selection.trial is None:
        return []
    here = data.of_garden(view, "plot_seasons", finding["site"], selection.trial)
    own = here.loc[here["plot"] == finding["plot"], "treatment"]
    return here.loc[here["treatment"].isin(own), "plot"].tolist()
