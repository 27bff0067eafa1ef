"""Release: which answers everybody may read, since when and by whom; given and taken back here."""

from collections.abc import Sequence
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.access.account import OPEN_ACCOUNT
from dashboard.components.attributes import attributes
from dashboard.components.ledger import entry, ledger
from dashboard.components.mark import icon, link
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import TrialSeason, View
from dashboard.figures.template import Screen
from dashboard.numerals import count, long_day, more_or_less
from dashboard.pages.page import Content, Page
from dashboard.selection import Selection
from dashboard.wording.shared import RELEASE
from dashboard.wording.shared import RELEASE_WORDS as WORDS
from pipeline.publish.releases import Release


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    del selection, screen
    closed = [one for one in data.trial_seasons(view) if one.is_closed]
    if not closed or view.releases is None:
        return nothing_yet(RELEASE.title, RELEASE.nothing)
    return [
        *sentence(RELEASE.title, WORDS["sure"]),
        html.P(id="release-told", className="told", role="status", tabIndex="-1"),
        html.Div(answers(view, closed), id="release-answers"),
    ]


def answers(view: View, closed: Sequence[TrialSeason]) -> list[Any]:
    """Return every closed season with its answer and what can be done, and below them what was done."""
    history = view.releases.history() if view.releases else []
    return [
        *(_season(view, one, history) for one in closed),
        html.Section(
            [html.H2(WORDS["history"]), ledger([_entry(one) for one in history], WORDS["history_none"])],
            className="block",
        ),
    ]


def what(title: str, season: str) -> str:
    """Return how a season's answer is named."""
    return f"{title} {season}"


def _who(name: str) -> str:
    return WORDS["nobody_named"] if name == OPEN_ACCOUNT.name else name


def _season(view: View, trial: TrialSeason, history: Sequence[Release]) -> html.Section:
    standing = next(
        (one for one in history if one.stands and (one.trial, one.season) == (trial.trial, trial.season)),
        None,
    )
    heading = html.H2(what(trial.title, trial.season))
    closed = html.P(WORDS["closed"].format(day=long_day(trial.close)), className="second small")
    return html.Section(
        [heading, closed, *_standing(view, trial, standing), *_offer(view, trial, standing)],
        className="block answer-of-season",
    )


def _standing(view: View, trial: TrialSeason, standing: Release | None) -> list[Any]:
    """Return whether readers see an answer, which, and how it is taken back."""
    if standing is None:
        return [html.P([icon("rest"), " ", WORDS["none"]])]
    since = WORDS["stands"].format(
        day=long_day(standing.released), who=_who(standing.released_by), night=long_day(standing.night)
    )
    query = f"/results?trial={trial.trial}&season={trial.season}"
    back = html.Details(
        [
            html.Summary(WORDS["take_back"]),
            html.P(WORDS["take_back_note"]),
            _button(WORDS["take_back_now"], "take back", str(standing.number)),
        ]
    )
    return [html.P([icon("kept"), " ", since]), html.P(link(WORDS["see"], query)), back]


def _offer(view: View, trial: TrialSeason, standing: Release | None) -> list[Any]:
    """Return the newest night's answer as everybody would read it, where it is not what they read."""
    newest = data.of_season(view, "public_answer", trial)
    digest = view.releases.digest(trial.trial, trial.season) if view.releases else None
    if standing is not None and standing.digest == digest:
        return []
    if digest is None or newest.empty:
        return [html.P(WORDS["gone"], className="second")] if standing else []
    about = data.of_season(view, "public_trial", trial).iloc[0]
    preview = [
        html.P(WORDS["preview"], className="second small"),
        *(html.Blockquote(_words(row)) for row in newest.sort_values("order").to_dict("records")),
        html.P(_places(about), className="second small"),
        *(html.P(_rounding(row), className="second small") for row in newest.to_dict("records")[:1]),
    ]
    act = html.Details(
        [
            html.Summary(WORDS["again" if standing else "release"]),
            *preview,
            _button(WORDS["release_now"], "release", f"{trial.trial}|{trial.season}"),
        ]
    )
    return [*([html.P(WORDS["changed"], className="waits")] if standing else []), act]


def _words(row: dict[str, Any]) -> str:
    return " ".join(str(row[name]) for name in ("sentence_en", "sure_en", "line_en") if row[name])


def _places(about: pd.Series) -> str:
    return WORDS["places"].format(
        placed=int(about["placed"]),
        gardens=count(int(about["gardens"]), "garden", "gardens"),
        counties=count(int(about["counties"]), "county", "counties"),
    )


def _rounding(row: dict[str, Any]) -> str:
    slopes = [row["slope_pct_per_100_km"], row["slope_exact_pct_per_100_km"]]
    if any(pd.isna(slope) for slope in slopes):
        return ""
    public, exact = (more_or_less(slope, 1) for slope in slopes)
    return WORDS["rounding"].format(public=public, exact=exact)


def _button(words: str, act: str, of: str) -> html.Button:
    return html.Button(
        words,
        id={"type": "release", "act": act, "of": of},
        className="press",
        **attributes(type="button"),
    )


def _entry(release: Release) -> html.Li:
    words = WORDS["was_released"].format(day=long_day(release.released), who=_who(release.released_by))
    if release.taken_back is not None:
        then = "was_replaced" if release.successor else "was_taken_back"
        words += WORDS[then].format(day=long_day(release.taken_back), who=_who(release.taken_back_by or ""))
    state = "closed" if release.stands else "resting"
    return entry(state, [html.B(f"{release.trial} {release.season}")], f"{words}.")


PAGE = Page("/release", RELEASE, "closed", lambda _, selection: selection, build, {}, has_row=False)
