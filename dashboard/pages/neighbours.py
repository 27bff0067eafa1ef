"""The rows around the one in question."""

from typing import Any

import pandas as pd

from dashboard import data
from dashboard.data import View
from dashboard.selection import Selection

#: Pickings of the same plot shown before and after the row in question.
BEFORE_AND_AFTER = 3
#: Rows shown at most.
MOST_ROWS = 18


def season_of(view: View, selection: Selection, finding: dict[str, Any]) -> pd.DataFrame:
    """Return the rows of the garden and season in question, of the same kind of sheet, and the row itself."""
    trial = selection.trial
    if view.desk is None or trial is None or pd.isna(finding["row"]):
        return pd.DataFrame()
    row = view.desk.row(finding["sheet"], int(finding["row"]))
    if row is None or not isinstance(finding["site"], str):
        return pd.DataFrame()
    rows = view.desk.garden_rows(finding["sheet"], finding["site"], None, view.published.run)
    own = rows[rows["row_id"] == finding["row"]]
    in_time = rows["date"].between(pd.Timestamp(trial.start), pd.Timestamp(trial.close))
    kept = rows[in_time | rows.index.isin(own.index)]
    return kept if len(own) else pd.concat([kept, row.to_frame().T[kept.columns.intersection(row.index)]])


def near(rows: pd.DataFrame, finding: dict[str, Any]) -> pd.DataFrame:
    """Return the row with the plot's pickings before and after it, and the garden's other rows of its day."""
    is_row = rows["row_id"] == finding["row"]
    if "date" not in rows or pd.isna(finding["date"]):
        at = rows.index.get_indexer(rows.index[is_row])
        return rows.iloc[max(0, int(at[0]) - BEFORE_AND_AFTER) : int(at[0]) + BEFORE_AND_AFTER + 1]
    on = pd.Timestamp(finding["date"])
    others = rows[~is_row].sort_values("date", kind="stable")
    same_plot = others[others["plot"] == finding["plot"]] if "plot" in others else others
    before = same_plot[same_plot["date"] < on].tail(BEFORE_AND_AFTER)
    after = same_plot[same_plot["date"] > on].head(BEFORE_AND_AFTER)
    that_day = rows[(rows["date"] == on) & ~is_row]
    joined = pd.concat([rows[is_row], before, after, that_day]).drop_duplicates("row_id").head(MOST_ROWS)
    return joined.sort_values([name for name in ("date", "plot", "line") if name in joined], kind="stable")


def treated_alike(view: View, selection: Selection, finding: dict[str, Any]) -> list[str]:
    """Return the plots of the garden with the same treatment as the plot in question, itself among them."""
    if selection.trial is None:
        return []
    plots = data.of_season(view, "plot_seasons", selection.trial)
    here = plots[plots["site"] == finding["site"]]
    own = here.loc[here["plot"] == finding["plot"], "treatment"]
    return here.loc[here["treatment"].isin(own), "plot"].tolist()
