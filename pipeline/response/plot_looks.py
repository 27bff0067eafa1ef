"""What people saw of a plot: plants alive, how tall, how sick, and what took those that died."""

import pandas as pd

from pipeline.response.disease import disease_progress
from pipeline.response.loss_causes import NOT_THE_TREATMENT, loss_cause
from pipeline.response.plot_pickings import PLOT

#: Plots are looked at over some days. A last look this many days before the garden's newest one is too old
#: to compare survival by; common practice, no source.
LOOKS_TOGETHER_DAYS = 7

_COLUMNS = ("alive", "alive_on", "dead_on", "lost_to", "height_cm", "audpc_pct_days", "relative_audpc")


def plot_looks(condition: pd.DataFrame) -> pd.DataFrame:
    """Return one row per plot that somebody looked at.

    Columns: site, plot; alive, the plants alive at the newest look that counts them, and alive_on, its day;
    dead_on, the day from which no plant lived; lost_to (animals, people, disease or blank), what the look of
    that day says took them; height_cm on the garden's day with most plots measured; audpc_pct_days and
    relative_audpc over the garden's own window. Where several people looked on a day, their mean counts.
    """
    looks = condition.assign(day=condition["date"].dt.normalize())
    numbers = ["alive", "height_cm", "severity_pct"]
    daily = looks.groupby([*PLOT, "day"])[numbers].mean().astype("float64").reset_index()
    table = _alive(daily).merge(_dead(daily, looks), on=PLOT, how="left", validate="one_to_one")
    table = table.merge(_height(daily), on=PLOT, how="left", validate="one_to_one")
    table = table.merge(_disease(daily, table), on=PLOT, how="left", validate="one_to_one")
    return table[[*PLOT, *_COLUMNS]]


def survival(plots: pd.DataFrame) -> pd.Series:
    """Return plants alive over plants planted; missing where its last look is far older than its garden's.

    A plot without a living plant stays at 0. Plants taken by animals or people say nothing of the treatment,
    and more plants alive than were planted is a question and no share.
    """
    newest = plots.groupby("site")["alive_on"].transform("max")
    recent = plots["alive_on"] >= newest - pd.Timedelta(days=LOOKS_TOGETHER_DAYS)
    known = (recent | plots["dead_on"].notna()) & ~plots["lost_to"].isin(NOT_THE_TREATMENT)
    return (plots["alive"] / plots["plants"]).where(known & (plots["alive"] <= plots["plants"]))


def _alive(daily: pd.DataFrame) -> pd.DataFrame:
    counted = daily[daily["alive"].notna()].sort_values("day").drop_duplicates(PLOT, keep="last")
    newest = counted[[*PLOT, "alive", "day"]].rename(columns={"day": "alive_on"})
    return daily[PLOT].drop_duplicates().merge(newest, on=PLOT, how="left", validate="one_to_one")


def _dead(daily: pd.DataFrame, looks: pd.DataFrame) -> pd.DataFrame:
    """Return from which day no plant lived, to the end of what was seen, and what took the plants."""
    counted = daily[daily["alive"].notna()]
    living = counted[counted["alive"] > 0].groupby(PLOT)["day"].max().rename("lived_on")
    none = counted[counted["alive"] == 0].merge(living.reset_index(), on=PLOT, how="left")
    after = none[none["lived_on"].isna() | (none["day"] > none["lived_on"])]
    dead = after.groupby(PLOT)["day"].min().rename("dead_on").reset_index()
    said = looks.assign(cause=loss_cause(looks["problem"])).merge(dead, on=PLOT, how="inner")
    said = said[(said["day"] >= said["dead_on"]) & (said["cause"] != "")].sort_values("day", kind="stable")
    cause = said.drop_duplicates(PLOT)[[*PLOT, "cause"]].rename(columns={"cause": "lost_to"})
    found = dead.merge(cause, on=PLOT, how="left", validate="one_to_one")
    return found.assign(lost_to=found["lost_to"].fillna("").astype("str"))


def _height(daily: pd.DataFrame) -> pd.DataFrame:
    """Return heights of one day for all plots of a garden: that with most plots, the later of two."""
    measured = daily[daily["height_cm"].notna()]
    days = measured.groupby(["site", "day"])["plot"].nunique().rename("plots").reset_index()
    best = days.sort_values(["site", "plots", "day"]).drop_duplicates("site", keep="last")
    return measured.merge(best[["site", "day"]], on=["site", "day"])[[*PLOT, "height_cm"]]


def _disease(daily: pd.DataFrame, table: pd.DataFrame) -> pd.DataFrame:
    sick = table["lost_to"] == "disease"
    died = table[PLOT].assign(died=table["dead_on"].where(sick))
    rows = daily.merge(died, on=PLOT, how="left", validate="many_to_one")
    start = pd.Timestamp("1970-01-01")
    rows = rows.assign(
        number=(rows["day"] - start).dt.days.astype("float64"),
        died=(rows["died"] - start).dt.days.astype("float64"),
    )
    found = disease_progress(rows, PLOT, ["site"], day="number", death_day="died")
    return found.rename(columns={"audpc": "audpc_pct_days"})[[*PLOT, "audpc_pct_days", "relative_audpc"]]
