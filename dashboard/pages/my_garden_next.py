"""What is next for one garden: at most a few lines, each with one thing to do."""

from datetime import date, timedelta
from typing import Any

import pandas as pd

from dashboard import data
from dashboard.components.mark import icon, link
from dashboard.components.plain import Part, part
from dashboard.data import TrialSeason, View
from dashboard.pages.volunteer import Volunteer


def next_ledger(view: View, trial: TrialSeason, of: Volunteer) -> Part:
    """Return what is due, most pressing first."""
    own = data.of_garden(view, "garden_states", of.site, trial)
    state = own.iloc[0].to_dict() if len(own) else {}
    entries = [*_due(view, trial, state, of), *_asked(state, of)]
    return part("Section", [part("H2", of.say("next")), part("Ul", entries, className="ledger")])


def _due(view: View, trial: TrialSeason, state: dict[str, Any], of: Volunteer) -> list[Part]:
    night = view.published.night
    if trial.state == "closed":
        return [_entry("sheaf", of.say("next_closed"), of.say("next_closed_how"))]
    if trial.state == "planned":
        paper = link(of.say("print"), of.at("/paper-sheet"))
        words = of.say("next_planned", day=of.long_day(trial.start))
        return [_entry("seed", words, of.say("next_planned_how"), paper)]
    away = _away_until(view, night, of)
    if away is not None:
        return [_entry("rest", of.say("next_away", day=of.long_day(away)), of.say("next_away_how"))]
    send = link(of.say("do_send"), of.at("/send"))
    if state.get("state") == "late" and pd.notna(state.get("days_silent")):
        words = of.say("next_late", n=int(state["days_silent"]))
        return [_entry("late", words, of.say("next_late_how"), send)]
    sunday = night + timedelta(days=6 - night.weekday())
    return [_entry("step", of.say("next_pick"), of.say("next_pick_by", day=of.long_day(sunday)), send)]


def _away_until(view: View, night: date, of: Volunteer) -> date | None:
    if view.gate is None:
        return None
    tonight = pd.Timestamp(night)
    absences = view.gate.registered("absences", of.site)
    now = [one["to"].date() for one in absences if one["from"] <= tonight <= one["to"]]
    return max(now, default=None)


def _asked(state: dict[str, Any], of: Volunteer) -> list[Part]:
    entries = []
    for count, mark, words, do in (
        (state.get("rows_held"), "held", "wait", "do_mend"),
        (state.get("open_questions"), "question", "ask", "do_answer"),
    ):
        n = 0 if count is None or pd.isna(count) else int(count)
        if n:
            heading = of.say(f"next_{words}_one") if n == 1 else of.say(f"next_{words}", n=n)
            there = part("A", of.say(do), href="#open")
            how = of.say(f"next_{words}_how_one" if n == 1 else f"next_{words}_how")
            entries.append(_entry(mark, heading, how, there))
    return entries


def _entry(mark: str, heading: str, words: str, action: Any = None) -> Part:
    told = part("Div", [part("Div", part("B", heading)), part("Div", words, className="small second")])
    return part("Li", [icon(mark), told, *([action] if action is not None else [])])
