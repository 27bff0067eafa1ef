"""Disease through a season as one number per plot: areas under the progress curve, and class scales."""

from collections.abc import Sequence
from typing import Literal, overload

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from sites.errors import InputError

FloatArray = NDArray[np.float64]

#: Severity that a plot carries from the day its plants are dead of disease: all tissue is lost.
DEAD_SEVERITY_PCT = 100.0

#: Midpoints, in percent of tissue affected, of the twelve Horsfall-Barratt grades from healthy to dead
#: (Horsfall & Barratt 1945, Phytopathology 35:655), whose limits 0, 3, 6, 12, 25, 50, 75, 88, 94, 97, 100
#: mirror each other about 50. Some tables print 87 for 88; the mirror image of 12 is 88.
HORSFALL_BARRATT_MIDPOINTS_PCT = (0.0, 1.5, 4.5, 9.0, 18.5, 37.5, 62.5, 81.5, 91.0, 95.5, 98.5, 100.0)


@overload
def audpc(days: ArrayLike, severity_pct: Sequence[float]) -> float: ...
@overload
def audpc(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray: ...
def audpc(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray:
    """Return the area under the disease progress curve, in percent-days.

    `days` (visits,) rises and is shared; `severity_pct` is (visits,) or (..., visits), and the result has its
    leading shape, a float for one plot. The area is by trapezoids (Shaner & Finney 1977, Phytopathology
    67:1051). A visit in between without a reading (nan) is bridged by a straight line between its neighbours.
    Raises InputError for days that do not rise, a severity outside 0 to 100, and a plot without a reading at
    the first or the last visit: areas compare only over equal windows.
    """
    times, severity = _visits(days, severity_pct)
    return _plain(_trapezoids(times, severity))


@overload
def relative_audpc(days: ArrayLike, severity_pct: Sequence[float]) -> float: ...
@overload
def relative_audpc(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray: ...
def relative_audpc(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray:
    """Return the area as a fraction of the largest one possible, 100 percent through the whole window.

    Shapes and errors as in `audpc`.
    """
    times, severity = _visits(days, severity_pct)
    return _plain(_trapezoids(times, severity) / (100.0 * (times[-1] - times[0])))


@overload
def audps(days: ArrayLike, severity_pct: Sequence[float]) -> float: ...
@overload
def audps(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray: ...
def audps(days: ArrayLike, severity_pct: ArrayLike) -> float | FloatArray:
    """Return the area under the disease progress stairs, in percent-days.

    Adds to the trapezoids half an average interval at either end, so that the first and the last reading
    weigh as much as the others: AUDPC + (y1 + yn)/2 x D/(n - 1), D the length of the window and n the plot's
    readings (Simko & Piepho 2012, Phytopathology 102:381). Shapes and errors as in `audpc`; compare only
    plots with equal numbers of readings.
    """
    times, severity = _visits(days, severity_pct)
    readings = np.count_nonzero(~np.isnan(severity), axis=-1)
    edges = (severity[..., 0] + severity[..., -1]) / 2.0 * (times[-1] - times[0]) / (readings - 1)
    return _plain(_trapezoids(times, severity) + edges)


def carry_deaths(days: ArrayLike, severity_pct: ArrayLike, death_day: ArrayLike) -> FloatArray:
    """Return `severity_pct` with 100 at every visit on or after the day a plot's plants were dead.

    `death_day` has the leading shape of `severity_pct` (a number for one plot), nan where plants lived. For
    deaths by the disease alone: a plot lost to deer or to a mower is missing, not diseased.
    """
    times = np.asarray(days, dtype=np.float64)
    dead = times >= np.asarray(death_day, dtype=np.float64)[..., np.newaxis]
    return np.where(dead, DEAD_SEVERITY_PCT, np.asarray(severity_pct, dtype=np.float64))


def disease_progress(
    looks: pd.DataFrame,
    plot: Sequence[str],
    garden: Sequence[str],
    *,
    day: str = "day",
    severity_pct: str = "severity_pct",
    death_day: str | None = None,
) -> pd.DataFrame:
    """Return one row per plot: its window, readings, AUDPC, relative AUDPC, AUDPS, or why there is none.

    `looks` has one row per plot and day, in any order; each plot may have its own days. The columns `plot`
    name a plot, `garden` (some of them) the plots that are compared with each other. A garden's window runs
    from its first to its last day with a reading; a plot without a reading on both of these days has nan and
    the reason in `why`. `death_day` names a column with the day the plot's plants were dead of disease (nan
    while alive): the plot carries 100 on all later days of its garden. Days are numbers.
    Columns after the keys: first_day, last_day, readings, audpc, relative_audpc, audps, why.
    Raises InputError for two readings of a plot on one day, a day that is missing and a severity outside 0
    to 100.
    """
    keys = list(plot)
    rows = looks[[*keys, day, severity_pct]].set_axis([*keys, "day", "severity_pct"], axis=1)
    rows["death_day"] = np.nan if death_day is None else looks[death_day]
    _refuse_bad_severity(rows["severity_pct"].to_numpy(dtype=np.float64))
    _refuse_unclear_days(rows, keys)
    plots = rows.groupby(keys, sort=True)["death_day"].min().reset_index()
    read = rows.loc[rows["severity_pct"].notna(), [*keys, "day", "severity_pct"]]
    read = _with_dead_plots(read, plots, keys, list(garden))
    window = read.groupby(list(garden))["day"].agg(first_day="min", last_day="max").reset_index()
    plots = plots.drop(columns="death_day").merge(window, on=list(garden), how="left", validate="m:1")
    areas = plots.merge(_areas_by_plot(read, keys), on=keys, how="left", validate="1:1")
    return _explained(areas)[
        [*keys, "first_day", "last_day", "readings", "audpc", "relative_audpc", "audps", "why"]
    ]


def horsfall_barratt_midpoint(grade: ArrayLike, numbered: Literal["0-11", "1-12"]) -> float | FloatArray:
    """Return the midpoint, in percent, of Horsfall-Barratt grades; nan stays nan.

    Grades are printed from 0 to 11 or from 1 to 12, so the numbering has no default. Average midpoints, never
    grades: the grades are narrow at both ends of the scale and wide in the middle.
    """
    first = {"0-11": 0, "1-12": 1}[numbered]
    grades = np.asarray(grade, dtype=np.float64)
    known = grades[~np.isnan(grades)] - first
    if np.any((known != np.round(known)) | (known < 0) | (known > 11)):
        raise InputError(
            f"A Horsfall-Barratt grade is not a whole number from {numbered.replace('-', ' to ')}. "
            "Look at the sheet's scale: grades are numbered 0-11 or 1-12."
        )
    midpoints = np.array([*HORSFALL_BARRATT_MIDPOINTS_PCT, np.nan])
    return _plain(midpoints[np.where(np.isnan(grades), 12, grades - first).astype(np.int64)])


def disease_severity_index(counts: ArrayLike) -> float | FloatArray:
    """Return 100 x sum(class x plants) / (highest class x all plants), in percent.

    `counts` (..., classes) holds the plants in class 0, 1, ... up to the scale's highest class, empty classes
    included. The index takes the classes as equally spaced, which percent classes of unequal width are not:
    use midpoints for those. nan where no plant was scored. Raises InputError for a count that is not a whole
    number from 0 up.
    """
    plants = np.asarray(counts, dtype=np.float64)
    if plants.ndim == 0 or plants.shape[-1] < 2:
        raise InputError("A severity scale has at least two classes; give one count for each, class 0 first.")
    if not np.all((plants >= 0) & (plants == np.round(plants))):
        raise InputError("Plants per severity class are whole numbers from 0 up; write 0 for an empty class.")
    highest = plants.shape[-1] - 1
    total = plants.sum(axis=-1)
    weighted = plants @ np.arange(highest + 1.0)
    scored = np.where(total > 0, total, np.nan)
    return _plain(100.0 * weighted / (highest * scored))


def _visits(days: ArrayLike, severity_pct: ArrayLike) -> tuple[FloatArray, FloatArray]:
    times = np.asarray(days, dtype=np.float64)
    severity = np.asarray(severity_pct, dtype=np.float64)
    if times.ndim != 1 or times.size < 2:
        raise InputError("A disease progress curve needs at least two visits; give their days in order.")
    if severity.ndim == 0 or severity.shape[-1] != times.size:
        raise InputError(
            f"There are {times.size} visit days and {severity.shape[-1] if severity.ndim else 1} "
            "severity readings per plot. Give one reading for each visit, blank where there was none."
        )
    late = np.flatnonzero(~(np.diff(times) > 0))
    if late.size:
        raise InputError(
            f"Visit days must rise: day {times[late[0] + 1]:g} comes after day {times[late[0]]:g}. "
            "Sort the visits by date and keep one reading for each day."
        )
    _refuse_bad_severity(severity)
    for position, name in ((0, "first"), (-1, "last")):
        lacking = np.flatnonzero(np.isnan(np.atleast_2d(severity)[..., position]))
        if lacking.size:
            plot = f" of plot {lacking[0] + 1}" if severity.ndim > 1 else ""
            raise InputError(
                f"The {name} visit (day {times[position]:g}){plot} has no severity reading. Areas compare "
                "only over equal windows: give that reading, or leave the plot or the visit out."
            )
    return times, severity


def _refuse_bad_severity(severity: FloatArray) -> None:
    wrong = severity[(severity < 0) | (severity > 100)]
    if wrong.size:
        raise InputError(
            f"Severity {wrong[0]:g} is not between 0 and 100 percent. Write the share of tissue affected."
        )


def _trapezoids(times: FloatArray, severity: FloatArray) -> FloatArray:
    read = ~np.isnan(severity)
    newest = np.maximum.accumulate(np.where(read, np.arange(times.size), 0), axis=-1)[..., :-1]
    before = np.take_along_axis(severity, newest, axis=-1)
    panels = (severity[..., 1:] + before) / 2.0 * (times[1:] - times[newest])
    return np.where(read[..., 1:], panels, 0.0).sum(axis=-1)


def _plain(values: FloatArray) -> float | FloatArray:
    return float(values) if np.ndim(values) == 0 else values


def _refuse_unclear_days(rows: pd.DataFrame, keys: list[str]) -> None:
    undated = rows[rows["day"].isna()]
    if len(undated):
        raise InputError(
            f"Plot {_plot_name(undated, keys)} has a severity reading without a day. "
            "Give the day of the visit."
        )
    twice = rows[rows.duplicated([*keys, "day"])]
    if len(twice):
        raise InputError(
            f"Plot {_plot_name(twice, keys)} has more than one severity reading on day "
            f"{twice['day'].iloc[0]:g}. Average the readings of several people first, or keep one."
        )


def _plot_name(rows: pd.DataFrame, keys: list[str]) -> str:
    return ", ".join(str(rows[key].iloc[0]) for key in keys)


def _with_dead_plots(
    read: pd.DataFrame, plots: pd.DataFrame, keys: list[str], garden: list[str]
) -> pd.DataFrame:
    dead = plots[plots["death_day"].notna()]
    visits = dead.merge(read[[*garden, "day"]].drop_duplicates(), on=garden)
    carried = visits.loc[visits["day"] >= visits["death_day"], [*keys, "day"]]
    carried = carried.assign(severity_pct=DEAD_SEVERITY_PCT)
    return pd.concat([read, carried], ignore_index=True).drop_duplicates([*keys, "day"], keep="last")


def _areas_by_plot(read: pd.DataFrame, keys: list[str]) -> pd.DataFrame:
    ordered = read.sort_values([*keys, "day"])
    grouped = ordered.groupby(keys, sort=False)
    panels = (ordered["severity_pct"] + grouped["severity_pct"].shift()) / 2 * grouped["day"].diff()
    return (
        ordered.assign(panel=panels.fillna(0.0))
        .groupby(keys)
        .agg(
            readings=("day", "size"),
            from_day=("day", "first"),
            to_day=("day", "last"),
            first_pct=("severity_pct", "first"),
            last_pct=("severity_pct", "last"),
            audpc=("panel", "sum"),
        )
        .reset_index()
    )


def _explained(areas: pd.DataFrame) -> pd.DataFrame:
    length = areas["last_day"] - areas["first_day"]
    reasons = [
        (areas["readings"].isna(), "no severity reading"),
        (length == 0, "only one visit in the garden, so there is no curve"),
        (areas["from_day"] > areas["first_day"], "no reading at the garden's first visit"),
        (areas["to_day"] < areas["last_day"], "no reading at the garden's last visit"),
    ]
    why = np.select([condition for condition, _ in reasons], [reason for _, reason in reasons], default="")
    whole = pd.Series(why == "", index=areas.index)
    audpc_pct_days = areas["audpc"].where(whole)
    edges = (areas["first_pct"] + areas["last_pct"]) / 2 * length / (areas["readings"] - 1)
    return areas.assign(
        readings=areas["readings"].fillna(0).astype("int64"),
        audpc=audpc_pct_days,
        relative_audpc=(audpc_pct_days / (100.0 * length)).where(whole),
        audps=(audpc_pct_days + edges).where(whole),
        why=pd.Series(why, index=areas.index, dtype="str").where(~whole),
    )
