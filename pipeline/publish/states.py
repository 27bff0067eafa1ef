"""The state of every garden tonight, and the weeks behind it."""

from datetime import date

import numpy as np
import pandas as pd

#: Days after the season's start until which a garden without a picking is simply not there yet. Common
#: practice, no source: two weeks to plant, and the crop's slower plants.
_FIRST_PICKING_DAYS = 90


def garden_states(
    plots: pd.DataFrame,
    gardens: pd.DataFrame,
    pickings: pd.DataFrame,
    findings: pd.DataFrame,
    last_sheet: pd.Series,
    absences: pd.DataFrame,
    *,
    start: pd.Timestamp,
    close: pd.Timestamp,
    tonight: pd.Timestamp,
    late_days: int,
) -> pd.DataFrame:
    """Return one row per garden of a trial and season with its state and the reason in a few words.

    `pickings` are the trial's harvest rows that count, `findings` those that stand open, `last_sheet` the
    day of each garden's newest sheet. The states are tried in an order: what a person must act on first.
    """
    sites = pd.Index(sorted(plots["site"].unique()), name="site")
    until = min(tonight, close)
    table = pd.DataFrame(index=sites)
    table["last_sheet"] = last_sheet.reindex(sites)
    table["last_picking"] = pickings.groupby("site")["date"].max().reindex(sites)
    table["days_silent"] = (until - table["last_picking"]).dt.days.astype("Int64")
    by_level = pd.crosstab(findings["site"], findings["level"])
    counts = by_level.reindex(index=sites, columns=["question", "held"], fill_value=0)
    table["open_questions"] = counts["question"].astype("Int64")
    table["rows_held"] = counts["held"].astype("Int64")
    totals = plots.groupby("site")[["pickings_expected", "pickings_received"]].sum()
    table = table.join(totals)
    status = gardens.set_index("site")["status"].reindex(sites)
    away = _away(absences, sites, tonight) | status.isin(["paused", "left"])
    state, reason = _states(
        table, away, is_closed=tonight > close, days=(until - start).days, late_days=late_days
    )
    return table.assign(state=state, reason=reason).reset_index()


def _away(absences: pd.DataFrame, sites: pd.Index, tonight: pd.Timestamp) -> pd.Series:
    now = absences[(absences["from"] <= tonight) & (absences["to"] >= tonight)]
    return pd.Series(sites.isin(now["site"]), index=sites)


def _states(
    table: pd.DataFrame, away: pd.Series, *, is_closed: bool, days: int, late_days: int
) -> tuple[pd.Series, pd.Series]:
    never = table["last_picking"].isna()
    silent = table["days_silent"].fillna(days).astype("int64")
    late = (~never & (silent >= late_days)) | (never & (days > _FIRST_PICKING_DAYS))
    held, questions = table["rows_held"].astype("int64"), table["open_questions"].astype("int64")
    conditions = [
        pd.Series(is_closed, index=table.index),
        away,
        late,
        held > 0,
        questions > 0,
        never,
    ]
    names = ["closed", "resting", "late", "held", "question", "not yet picked"]
    reasons = [
        pd.Series("the season is closed", index=table.index),
        pd.Series("resting", index=table.index),
        silent.map(lambda n: f"{n} days without a picking").where(~never, "no picking yet"),
        held.map(lambda n: f"{n} rows wait for the garden" if n != 1 else "1 row waits for the garden"),
        questions.map(lambda n: f"{n} questions" if n != 1 else "1 question"),
        pd.Series("not yet picked", index=table.index),
    ]
    state = np.select(conditions, names, default="in step")
    reason = np.select(conditions, [part.to_numpy(dtype=object) for part in reasons], default="in step")
    return pd.Series(state, index=table.index), pd.Series(reason, index=table.index)


def weeks(
    sites: list[str],
    pickings: pd.DataFrame,
    held_days: pd.DataFrame,
    absences: pd.DataFrame,
    *,
    start: pd.Timestamp,
    until: pd.Timestamp,
) -> pd.DataFrame:
    """Return, for each garden and week of the season until a day, whether it sent pickings.

    `held_days` has site and date of rows on hold. A week before a garden's first picking is early.
    """
    mondays = pd.date_range(_monday(start), _monday(until), freq="7D")
    grid = pd.MultiIndex.from_product([sites, mondays], names=["site", "week"]).to_frame(index=False)
    sent = _weeks_with(pickings)
    part = _weeks_with(held_days)
    first = _mondays(pickings.groupby("site")["date"].min())
    # A garden that has not picked yet is early until the first garden of the network has.
    nobody_yet = mondays[-1] + pd.Timedelta(days=7)
    began = pd.Series(first.reindex(grid["site"]).to_numpy()).fillna(first.min()).fillna(nobody_yet)
    keys = pd.MultiIndex.from_frame(grid)
    absent = np.zeros(len(grid), dtype=bool)
    for row in absences.to_dict("records"):
        covered = (grid["week"] >= _monday(row["from"])) & (grid["week"] <= row["to"])
        absent |= ((grid["site"] == row["site"]) & covered).to_numpy()
    state = np.select(
        [keys.isin(part), keys.isin(sent), absent, (grid["week"] < began).to_numpy()],
        ["part", "sent", "absent", "early"],
        default="missing",
    )
    return grid.assign(state=state)


def _monday(day: pd.Timestamp) -> pd.Timestamp:
    return day - pd.Timedelta(days=day.day_of_week)


def _weeks_with(rows: pd.DataFrame) -> pd.MultiIndex:
    days = rows[["site", "date"]].dropna().drop_duplicates()
    return pd.MultiIndex.from_arrays([days["site"], _mondays(days["date"])])


def _mondays(days: pd.Series) -> pd.Series:
    return days - pd.to_timedelta(days.dt.day_of_week, unit="D")


def state_of_trial(start: date, close: date, tonight: date) -> str:
    """Return whether a trial and season is planned, running or closed on a day."""
    if tonight < start:
        return "planned"
    return "closed" if tonight > close else "running"
