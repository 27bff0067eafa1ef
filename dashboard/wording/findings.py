"""What each figure shows, said from the rows that it draws.

While a trial runs they say what was seen so far and compare nothing with chance; intervals are told of a
closed season only.
"""

import math
from collections.abc import Sequence
from statistics import median
from typing import Any

import numpy as np
import pandas as pd

from dashboard.differences import PERCENT, Unit
from dashboard.harvest_curves import Curve, Curves
from dashboard.numerals import NO_BREAK, count, day, number, with_unit
from dashboard.plot_curves import PlotCurve
from dashboard.wording.measures import OutcomeWords

#: Days of picking after which half of a season is told of; a shorter one has no middle worth telling.
_LEAST_DAYS = 14


def weeks_seen(weeks: pd.DataFrame) -> str:
    """Return what came in of the newest whole week in which pickings were expected; blank without one.

    `weeks` has site, week (its Monday) and state: sent, part, missing, early or absent.
    """
    expected = weeks[weeks["state"].isin(["sent", "part", "missing"])]
    mondays = sorted(expected["week"].unique())
    if not mondays:
        return ""
    # The newest week is still under way, so what is missing of it says nothing yet.
    monday = mondays[-2] if len(mondays) > 1 else mondays[-1]
    states = expected.loc[expected["week"] == monday, "state"].value_counts()
    whole, part = int(states.get("sent", 0)), int(states.get("part", 0))
    gardens = count(int(states.sum()), "garden", "gardens")
    told = f"In the week of {day(pd.Timestamp(monday))}, {number(whole)} of {gardens}"
    waits = f", and {number(part)} in part, with rows that wait" if part else ""
    return f"{told} sent their pickings whole{waits}."


def differences_seen(effects: pd.DataFrame, control: str, *, is_closed: bool, unit: Unit = PERCENT) -> str:
    """Return how many gardens lie above the control, and how many intervals leave out "the same".

    `effects` has one row a garden of one treatment: percent and, once closed, percent_low and percent_high,
    in that `unit`.
    """
    columns = (effects[name].tolist() for name in ("percent", "percent_low", "percent_high"))
    known = [row for row in zip(*columns, strict=True) if not math.isnan(row[0])]
    if not known:
        return ""
    above = sum(percent > 0 for percent, _, _ in known)
    gardens = count(len(known), "garden", "gardens")
    lie = "lie above" if unit.is_ratio else f"are {unit.more} than"
    if not is_closed:
        return f"So far {number(above)} of {gardens} {lie} {control}."
    whole = [(low, high) for _, low, high in known if not math.isnan(low) and not math.isnan(high)]
    apart = sum(low > 0 or high < 0 for low, high in whole)
    told = f"{number(above)} of {gardens} {lie} {control}."
    if not whole:
        return told
    return f"{told} Of their own intervals, {number(apart)} of {number(len(whole))} leave out “same”."


def network_seen(network: dict[str, Any], treatment: str, control: str, unit: Unit = PERCENT) -> str:
    """Return the average over all gardens with its interval and what one new garden could see."""
    low, high = (unit.said(network[end]) for end in ("percent_low", "percent_high"))
    return (
        f"Over {count(int(network['gardens']), 'garden', 'gardens')}, {treatment} "
        f"{'gave' if unit.is_ratio else 'was'} "
        f"{_beside(network['percent'], control, unit)}; the likely range is {low} to {high}."
    )


def _beside(percent: float, control: str, unit: Unit) -> str:
    words = unit.said(percent)
    return f"the same as {control}" if words == "the same" else f"{words} than {control}"


def plots_seen(
    means: pd.DataFrame, treatments: pd.DataFrame, treatment: str, outcome: OutcomeWords, *, is_closed: bool
) -> str:
    """Return between what the gardens' controls lie, and how far the treatment lies from them midway.

    `means` has site, treatment and value, in the unit shown; `treatments` treatment, label and order, the
    control's 0.
    """
    ordered = treatments.sort_values("order")
    control = ordered["treatment"].iloc[0]
    labels = dict(zip(ordered["treatment"], ordered["label"], strict=True))
    own, treated = (_means_of(means, name) for name in (control, treatment))
    gaps = [treated[site] - own[site] for site in own if site in treated]
    if not gaps:
        return ""
    low, high = (
        f"{with_unit(own[site], outcome.unit, outcome.digits)} ({site})"
        for site in (min(own, key=own.__getitem__), max(own, key=own.__getitem__))
    )
    start = "The" if is_closed else "So far the"
    spread = f"{start} gardens’ {labels[control]} lie between {low} and {high}."
    return f"{spread} {_gap(median(gaps), labels[treatment], outcome)}"


def _means_of(means: pd.DataFrame, treatment: str) -> dict[str, float]:
    """Return a treatment's mean in each garden, by the gardens' names."""
    columns = (means[name].tolist() for name in ("site", "treatment", "value"))
    return dict(
        sorted((site, value) for site, name, value in zip(*columns, strict=True) if name == treatment)
    )


def _gap(middle: float, label: str, outcome: OutcomeWords) -> str:
    # Percents of a share lie points apart: 5% above 80% could be 84% or 85%.
    unit = "points" if outcome.unit == "%" else outcome.unit
    size = with_unit(abs(middle), unit, outcome.digits)
    if float(number(abs(middle), outcome.digits).replace(",", "")) == 0:
        return f"In the middle garden {label} lies level with them."
    return f"In the middle garden {label} lies {size} {'above' if middle > 0 else 'below'} them."


def lead_through_season(curves: Curves, treatments: pd.DataFrame, treatment: str, *, is_closed: bool) -> str:
    """Return in how many gardens the treatment is ahead at the end of its curve, and in how many halfway.

    Both are read on the last day that both treatments of a garden have.
    """
    ordered = treatments.sort_values("order")
    control = ordered["treatment"].iloc[0]
    label = dict(zip(ordered["treatment"], ordered["label"], strict=True)).get(treatment, treatment)
    both = [site for site, name in curves if name == control and (site, treatment) in curves]
    pairs = [_leads(curves[site, control], curves[site, treatment]) for site in both]
    if not pairs:
        return ""
    ends = sum(at_end for at_end, _ in pairs)
    halves = [halfway for _, halfway in pairs if halfway is not None]
    gardens = count(len(pairs), "garden", "gardens")
    start = f"{_capital(label)} is ahead in {ends} of {gardens} at the end"
    if not is_closed:
        start = f"So far {label} is ahead in {ends} of {gardens}"
    if len(halves) < len(pairs):
        return f"{start}."
    return (
        f"{start}; halfway through {'the pickings' if is_closed else 'these weeks'} it was in {sum(halves)}."
    )


def _leads(control: Curve, treatment: Curve) -> tuple[bool, bool | None]:
    """Return whether the treatment is ahead at the end and halfway; None where these are too near."""
    last = min(int(days[-1]) for days, _ in (control, treatment))
    first = max(int(days[0]) for days, _ in (control, treatment))

    def is_ahead(at: float) -> bool:
        return bool(np.interp(at, *treatment) > np.interp(at, *control))

    return is_ahead(last), is_ahead((first + last) / 2) if last - first >= _LEAST_DAYS else None


def masses_seen(halves: pd.DataFrame) -> str:
    """Return between what weights the middle half of each treatment's plots lies (label, low, high in g)."""
    said = [
        f"{row['label']} {number(row['low'])} to {with_unit(row['high'], 'g')}"
        for row in halves.to_dict("records")
    ]
    return f"A fruit weighs, in the middle half of the plots: {_listed(said)}." if said else ""


def garden_curves_seen(curves: Sequence[PlotCurve], unit: str, *, is_closed: bool) -> str:
    """Return the plots that gave most and least per plant."""
    if not curves:
        return ""
    most, least = (choose(curves, key=lambda curve: curve.end) for choose in (max, min))
    high, low = (with_unit(curve.end, unit, 1) for curve in (most, least))
    gave = "gave" if is_closed else "has given"
    if len(curves) == 1:
        return f"Plot{NO_BREAK}{most.plot} ({most.treatment}) {gave} {high} per plant."
    return (
        f"Plot{NO_BREAK}{most.plot} ({most.treatment}) {gave} most, {high} per plant; "
        f"plot{NO_BREAK}{least.plot} ({least.treatment}) least, {low}."
    )


def picking_beside_others(
    pickings: pd.DataFrame, plot: str, on: pd.Timestamp, weight: float | None, unit: str
) -> str:
    """Return the row in question beside what its twins gave on the day nearest to it.

    `pickings` has plot, date and weight, of this garden's plots with the same code; `weight` None where the
    row has none that can be read.
    """
    others = pickings[pickings["plot"] != plot]
    read = "no weight that can count yet"
    if weight is not None:
        read = with_unit(weight, unit, 2)
    start = f"Plot{NO_BREAK}{plot} on {day(on)}: {read}."
    if others.empty:
        return start
    away = (others["date"] - on).abs()
    nearest = others[away == away.min()]
    low, high = float(nearest["weight"].min()), float(nearest["weight"].max())
    size = with_unit(high, unit, 2) if low == high else f"{number(low, 2)} to {with_unit(high, unit, 2)}"
    when = "that day" if away.min() == pd.Timedelta(0) else f"on {day(nearest['date'].iloc[0])}"
    return f"{start} Its twins gave {size} {when}."


def counties_seen(shown: pd.DataFrame, year: str | int, unit: str) -> str:
    """Return how many counties sent their hours of work, and which one the most (county, shown)."""
    sent = shown.dropna(subset=["shown"])
    counties = count(len(shown), "county", "counties")
    told = f"In {year}, gardens in {len(sent)} of {counties} sent their hours of work"
    if len(sent) < 2:
        return f"{told}."
    most = sent.loc[sent["shown"].idxmax()]
    return f"{told}; most in {most['county']} County, {with_unit(float(most['shown']), unit)}."


def _listed(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
