"""The rows around the one in question."""

from collections.abc import Sequence
from operator import itemgetter
from typing import Any

import pandas as pd

from dashboard import data
from dashboard.data import View
from dashboard.selection import Selection

Row = dict[str, Any]

#: Pickings of the same plot shown before and after the row in question.
BEFORE_AND_AFTER = 3
#: Rows shown at most.
MOST_ROWS = 18


def row_in_question(view: View, finding: dict[str, Any]) -> pd.Series | None:
    """Return the row that a finding is about; None where it is about none, or there is no store."""
    if view.desk is None or pd.isna(finding["row"]):
        return None
    return view.desk.row(finding["sheet"], int(finding["row"]))


def season_of(
    view: View, selection: Selection, finding: dict[str, Any], row: pd.Series | None
) -> pd.DataFrame:
    """Return the rows of the garden and season in question, of the same kind of sheet, and `row` itself."""
    trial = selection.trial
    if view.desk is None or trial is None or row is None or not isinstance(finding["site"], str):
        return pd.DataFrame()
    rows = view.desk.garden_rows(finding["sheet"], finding["site"], None, view.published.run)
    is_own = rows["row_id"] == finding["row"]
    kept = rows[rows["date"].between(pd.Timestamp(trial.start), pd.Timestamp(trial.close)) | is_own]
    if is_own.any():
        return kept
    return pd.concat([kept, row.to_frame().T[kept.columns.intersection(row.index)]], ignore_index=True)


def near(rows: Sequence[Row], finding: Row) -> list[Row]:
    """Return the row with the plot's pickings before and after it, and the garden's other rows of its day."""
    at = [row["row_id"] == finding["row"] for row in rows].index(True)
    on = finding["date"]
    if pd.isna(on):
        return list(rows[max(0, at - BEFORE_AND_AFTER) : at + BEFORE_AND_AFTER + 1])
    others = [row for row in rows if row["row_id"] != finding["row"] and pd.notna(row["date"])]
    of_plot = [row for row in others if "plot" not in row or row["plot"] == finding["plot"]]
    of_plot.sort(key=itemgetter("date"))
    before = [row for row in of_plot if row["date"] < on][-BEFORE_AND_AFTER:]
    after = [row for row in of_plot if row["date"] > on][:BEFORE_AND_AFTER]
    that_day = [row for row in others if row["date"] == on]
    return sorted([rows[at], *before, *after, *that_day][:MOST_ROWS], key=_day_plot_and_line)


def _day_plot_and_line(row: Row) -> tuple[tuple[bool, Any], ...]:
    """Return what orders rows; what is not recorded stands last."""
    values = (row[name] for name in ("date", "plot", "line") if name in row)
    return tuple((True, None) if pd.isna(value) else (False, value) for value in values)


def treated_alike(view: View, selection: Selection, finding: dict[str, Any]) -> list[str]:
    """Return the plots of the garden with the same treatment as the plot in question, itself among them."""
    if selection.trial is None:
        return []
    here = data.of_garden(view, "plot_seasons", finding["site"], selection.trial)
    own = here.loc[here["plot"] == finding["plot"], "treatment"]
    return here.loc[here["treatment"].isin(own), "plot"].tolist()
