"""Watch: every garden tonight, what came in, who is late, and how complete each trial is."""

from collections.abc import Callable, Sequence
from typing import Any

import pandas as pd
from dash import html

from dashboard import data
from dashboard.components.attributes import attributes
from dashboard.components.figure import Rows, caption_of, figure_frame, table_behind
from dashboard.components.ledger import completeness, entry, garden_heading, ledger
from dashboard.components.mark import link
from dashboard.components.sentence import sentence
from dashboard.components.states import nothing_yet
from dashboard.data import TrialSeason, View
from dashboard.figures import crowd
from dashboard.figures.template import Screen
from dashboard.figures.watch import NAMED, WatchRows, watch_figure
from dashboard.numerals import count, day, number, some_of
from dashboard.pages import tables
from dashboard.pages.moved_answer import moved_answer, moved_table, since
from dashboard.pages.page import Content, OfGarden, Page
from dashboard.pages.rows import watch_rows
from dashboard.pages.watch_parts import agreement, planting, run_health, weather
from dashboard.selection import Selection
from dashboard.wording.findings import weeks_seen
from dashboard.wording.watch import WORDS as PARTS
from dashboard.words import FIGURE, STATES, WATCH
from dashboard.words import WATCH_WORDS as WORDS

#: Seconds for which the page is shown again: it tells how long ago the night ran.
SHOWN_AGAIN = 15.0
#: Entries that the ledger of new sheets shows at first; the rest folds out.
FIRST_ENTRIES = 6
#: Rows of a ledger that the page carries; tables have them all.
MOST_ENTRIES = 80
#: Pairs of gardens close to each other that are listed.
FIRST_PAIRS = 12
#: Verdicts in the order in which they want somebody.
VERDICTS = ("refused", "taken in part", "taken")


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    trial = selection.trial
    if trial is None or data.of_season(view, "garden_states", trial).empty:
        return nothing_yet(WATCH.title, WATCH.nothing, STATES["first"])
    rows = watch_rows(view, selection, trial)
    heading, sure = data.sentence(view, trial, "watch")
    told_since = since(view, screen)
    came_in = _came_in(data.uploads(view), told_since)
    states = ", ".join(
        f"{number(gardens)} {state}" for state, gardens in selection.gardens["state"].value_counts().items()
    )
    gardens = count(len(rows.gardens), "garden", "gardens")
    return [
        *sentence(heading or WATCH.title, " ".join(part for part in (sure, came_in) if part)),
        *run_health(view, screen),
        html.Div(
            figure_frame(
                watch_figure(rows, screen),
                finding=WORDS["finding"].format(gardens=gardens, counts=states),
                caption=_caption(rows, selection),
                rows=Rows("watch", "tonight", selection.address.query),
            ),
            className="after-sentence",
        ),
        html.Section(
            [
                html.Div([html.H2(WORDS["late"]), *_late(selection), _visits(selection)]),
                html.Div([html.H2(WORDS["new"]), *_new(view, told_since, selection.address.query)]),
                html.Div([html.H2(WORDS["complete"]), *(_complete(one) for one in selection.trials)]),
            ],
            className="block cols",
        ),
        *moved_answer(view, selection, trial, screen),
        html.Section(
            [
                html.Div([html.H2(PARTS["weather"]), *weather(view, selection, trial)]),
                html.Div([html.H2(PARTS["planting"]), *planting(view, selection, trial)]),
                html.Div([html.H2(PARTS["agreement"]), *agreement(view, selection, trial)]),
            ],
            className="block cols",
        ),
        *_places(view, selection),
        *_stations(view, trial),
        *_close_pairs(view, trial),
    ]


def _caption(rows: WatchRows, selection: Selection) -> list[Any]:
    """Return what came in, what the figure does not say by itself, and which gardens it could not place."""
    many = crowd.is_crowd(rows.gardens)
    parts = [*([WORDS["crowd"]] if many else []), WORDS["caption"]]
    if len(rows.needing) > NAMED:
        parts.append(WORDS["more_listed"].format(count=number(len(rows.needing))))
    if many and len(rows.weeks):
        parts.append(WORDS["stretches"])
    lacking = selection.gardens.loc[~selection.gardens["site"].isin(rows.gardens["site"]), "site"]
    if len(lacking):
        parts.append(FIGURE["missing"].format(gardens=some_of(lacking.tolist())))
    return caption_of(weeks_seen(rows.weeks), *parts)


def _stations(view: View, trial: TrialSeason) -> list[Any]:
    """Return where the weather comes from and what of it is left out; nothing where no night said so."""
    said = [part for part in data.sentence(view, trial, "weather") if part]
    if not said:
        return []
    left_out = [
        html.Details(
            [html.Summary(line), html.Ul([html.Li(each) for each in reasons])], className="more second small"
        )
        for line, reasons in data.stations_in_doubt(view)
    ]
    heading = html.H2(WORDS["stations"])
    return [html.Section([heading, html.P(" ".join(said)), *left_out], className="block")]


def _close_pairs(view: View, trial: TrialSeason) -> list[Any]:
    """Return which gardens lie too near to each other to be independent; nothing where none do."""
    said = data.close_pairs(view, trial)["said_en"].tolist()
    if not said:
        return []
    shown, rest = said[:FIRST_PAIRS], len(said) - FIRST_PAIRS
    more = [html.Li(PARTS["close_more"].format(count=count(rest, "pair", "pairs")))] if rest > 0 else []
    pairs = html.Ul([*(html.Li(each) for each in shown), *more], className="second small")
    return [
        html.Section([html.H2(PARTS["close_pairs"]), html.P(PARTS["close_why"]), pairs], className="block")
    ]


def _places(view: View, selection: Selection) -> list[Any]:
    """Return what is wrong with where gardens are said to lie; nothing where all is well."""
    wrong = data.places_to_mend(view)
    if wrong.empty:
        return []
    names = selection.gardens.set_index("site")["name"]

    def place(row: dict[str, Any]) -> html.Li:
        name = html.B(f"{row['site']} {names.get(row['site'], '')}".strip())
        return entry(row["level"], [name], row["message"])

    listed = _folded(wrong.to_dict("records"), place, "")
    return [
        html.Section([html.H2(PARTS["places"]), html.P(PARTS["places_mend"]), *listed], className="block")
    ]


def _came_in(uploads: pd.DataFrame, told_since: str) -> str:
    """Return how many sheets came in since the page before, and what became of them."""
    new = uploads[uploads["is_new"]]
    if new.empty:
        return WORDS["new_none"].format(since=told_since)
    counts = new["verdict"].value_counts()
    verdicts = ", ".join(f"{number(counts[name])} {name}" for name in reversed(VERDICTS) if name in counts)
    return WORDS["sheets"].format(
        sheets=count(len(new), "sheet", "sheets"), since=told_since, verdicts=verdicts
    )


def _folded(
    rows: Sequence[dict[str, Any]], make: Callable[[dict[str, Any]], html.Li], none: str
) -> list[Any]:
    """Return the first rows as a ledger, further ones folded away, and how many there are beyond."""
    entries = [make(row) for row in rows[:MOST_ENTRIES]]
    shown, rest = entries[:FIRST_ENTRIES], entries[FIRST_ENTRIES:]
    summary = html.Summary(WORDS["more"].format(count=len(rest)))
    more = html.Details([summary, html.Ul(rest, className="ledger")], className="more")
    beyond = html.P(WORDS["beyond"].format(count=number(len(rows) - len(entries))), className="small second")
    return [ledger(shown, none), *([more] if rest else []), *([beyond] if len(rows) > len(entries) else [])]


def _late(selection: Selection) -> list[Any]:
    late = selection.gardens[selection.gardens["state"] == "late"]
    return _folded(late.to_dict("records"), lambda garden: _late_entry(garden, selection), WORDS["late_none"])


def _visits(selection: Selection) -> html.P:
    return html.P(link(PARTS["visits"], selection.address.at("/visits").href), className="small after-ledger")


def _late_entry(garden: dict[str, Any], selection: Selection) -> html.Li:
    days = garden["days_silent"]
    words = (
        garden["reason"] if pd.isna(days) else WORDS["silent"].format(days=count(int(days), "day", "days"))
    )
    if pd.notna(garden["last_sheet"]):
        words += " " + WORDS["last_sheet"].format(day=day(garden["last_sheet"]))
    see = selection.address.at("/garden").choosing(garden=garden["site"])
    name = f"{WORDS['see']}: {garden['name']}"
    return entry(
        "late",
        garden_heading(garden),
        words,
        link(WORDS["see"], see.href, className="small", **attributes(aria_label=name)),
    )


def new_sheets(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the sheets since the page before, in the order of their list."""
    del selection, trial
    named = {"rows": "rows_read", "used": "rows_used", "held": "rows_held"}
    told = _in_order(data.uploads(view)).rename(columns=named)
    return told[["file", "tab", "sheet", "sites", "verdict", *named.values()]]


def _in_order(uploads: pd.DataFrame) -> pd.DataFrame:
    """Return the sheets since the page before: those that want somebody first, then the newest."""
    new = uploads[uploads["is_new"]]
    ranks = new["verdict"].map({name: rank for rank, name in enumerate(VERDICTS)})
    return new.assign(rank=ranks).sort_values(["rank", "upload"], ascending=[True, False])


def _new(view: View, told_since: str, query: str) -> list[Any]:
    """Return the sheets since the page before, the later ones folded away."""
    ordered = _in_order(data.uploads(view))
    none = WORDS["new_none"].format(since=told_since)
    behind = [table_behind(Rows("watch", "sheets", query))] if len(ordered) else []
    return [*_folded(ordered.to_dict("records"), _new_entry, none), *behind]


def _new_entry(row: dict[str, Any]) -> html.Li:
    words = (
        WORDS["refused"]
        if row["verdict"] == "refused"
        else WORDS["rows_in"].format(used=row["used"], rows=row["rows"])
    )
    if row["held"]:
        words += ", " + WORDS["rows_wait"].format(held=row["held"])
    file = f"{row['file']}, {row['tab']}" if isinstance(row["tab"], str) and row["tab"] else row["file"]
    return entry(row["verdict"], [html.B(file), " ", html.Span(row["sites"], className="second")], words)


def _complete(trial: TrialSeason) -> html.Div:
    expected, received = trial.pickings_expected, trial.pickings_received
    title = f"{trial.title} {trial.season}"
    words = (
        WORDS["share"].format(received=number(received), expected=number(expected))
        if expected
        else WORDS["none_expected"]
    )
    share = min(received / expected, 1.0) if expected else 0.0
    right = WORDS[trial.state] if trial.state in ("closed", "planned") else f"{number(100 * share)}%"
    return completeness(title, right, share, words)


PAGE = Page(
    "/watch",
    WATCH,
    "running",
    lambda view, selection: selection,
    build,
    {
        "tonight": tables.tonight,
        "weather": tables.weather,
        "planting": tables.planting,
        "scores": tables.scores,
        "sheets": new_sheets,
        "moved": moved_table,
    },
    kept_seconds=SHOWN_AGAIN,
    of_garden=lambda view, selection, screen: OfGarden(),
)
