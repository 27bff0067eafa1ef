"""The answer to one file: what is in, what waits, what we ask, how we read the rest, and the rows as read."""

from collections.abc import Sequence
from typing import Any

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.mark import icon, link
from dashboard.pages.send_rows import rows_as_read, tally
from dashboard.pages.send_slips import ledger_of_notes, slip
from dashboard.pages.volunteer import Volunteer
from dashboard.sending.chosen import read
from dashboard.sending.gate import Gate
from dashboard.sending.told import Answer, Told, corrected_file, edits_of
from pipeline.checks.groups import Group
from pipeline.checks.names import sheet_name

#: Groups beyond the first few that fold out; a file with more is mended in its own program.
_MOST_MORE = 40


def answer(told: Told, gate: Gate, of: Volunteer) -> list[Any]:
    """Return the answer, with what was chosen so far worked into it."""
    if told.is_picture:
        return _picture(of, told)
    groups = told.groups
    answers = read(of.address.get("fix") or "")
    asked = [one for one in groups if one.level != "note"]
    first = [one for one in asked if one.is_first]
    more = asked[len(first) :][:_MOST_MORE]
    context = (told, answers, of)
    return [
        html.Div(
            [
                html.Div(
                    [
                        _verdict(told, of),
                        *_corrected(told, gate, answers, of),
                        *_asked(first, context),
                        *_more(more, len(asked) - len(first), context),
                        *ledger_of_notes([one for one in groups if one.level == "note"], told, of),
                        _kept(of),
                    ],
                    className="answer",
                ),
                html.Div(rows_as_read(told, of), className="as-read"),
            ],
            className="answer-columns",
        )
    ]


def _verdict(told: Told, of: Volunteer) -> html.Div:
    sheets = [one for one in told.verdicts if one["sheet"]]
    named = ", ".join(
        of.say("sent_as", file=told.file.name, sheet=sheet_name(str(one["sheet"]), of.language))
        + (f" ({of.say('tab', tab=one['tab'])})" if one["tab"] else "")
        for one in sheets
    )
    return html.Div(
        [
            html.H1(verdict_words(told, of), className="sentence", id="sentence"),
            *tally(told, of),
            html.P(named or told.file.name, className="small second"),
            *([html.P(of.say("mend_here"))] if told.held and told.rows else []),
            *([html.P(of.say("night"))] if told.used and not told.held else []),
        ],
        role="status",
        className="verdict",
    )


def verdict_words(told: Told, of: Volunteer) -> str:
    """Return the verdict in one sentence: thanks first, then what is in, then what waits."""
    rows, used, held = told.rows, told.used, told.held
    if rows == 0:
        return of.say("refused")
    if held == 0:
        return of.say("taken_one") if rows == 1 else of.say("taken", n=f"{rows:,}")
    if used == 0:
        return of.say("none_in_one") if rows == 1 else of.say("none_in", n=f"{rows:,}")
    if held == 1:
        return of.say("part_one_held", used=f"{used:,}", n=f"{rows:,}")
    return of.say("part", used=f"{used:,}", n=f"{rows:,}", held=f"{held:,}")


def _asked(groups: Sequence[Group], context: tuple[Told, Sequence[Answer], Volunteer]) -> list[Any]:
    of = context[2]
    parts: list[Any] = []
    for level, title in (("held", "wait_title"), ("question", "look_title")):
        of_level = [one for one in groups if one.level == level]
        if of_level:
            parts += [html.H2(of.say(title)), *(slip(one, *context) for one in of_level)]
    return parts


def _more(
    groups: Sequence[Group], count: int, context: tuple[Told, Sequence[Answer], Volunteer]
) -> list[Any]:
    if not groups:
        return []
    of = context[2]
    summary = html.Summary(of.say("more_one") if count == 1 else of.say("more_title", n=f"{count:,}"))
    return [html.Details([summary, *(slip(one, *context) for one in groups)], className="more")]


def _corrected(told: Told, gate: Gate, answers: Sequence[Answer], of: Volunteer) -> list[Any]:
    """Return the corrected sheet: what it would be told, to be sent or taken away; nothing without edits."""
    if not edits_of(told, answers, of.reader):
        return []
    again = gate.told_of(corrected_file(told, answers, of.reader))
    if again.held == 0:
        words = (
            of.say("corrected_all_one") if again.rows == 1 else of.say("corrected_all", n=f"{again.rows:,}")
        )
    else:
        words = of.say("corrected_part", used=f"{again.used:,}", n=f"{again.rows:,}")
    return [
        html.Section(
            [
                html.H2(of.say("corrected")),
                html.P([icon("step" if again.held == 0 else "held"), " ", words], role="status"),
                html.Form(
                    html.Button(of.say("send_again"), className="first", type="submit"),
                    action=_corrected_href(of, "send"),
                    method="post",
                    **attributes(
                        data_post="yes", data_not_arrived=of.say("not_arrived", file=told.file.name)
                    ),
                ),
                html.P(
                    [
                        of.say("take_away"),
                        " ",
                        *(
                            html.A(
                                of.say(f"as_{form}"),
                                href=_corrected_href(of, form),
                                download="",
                                className="form-link",
                                **attributes(aria_label=of.say(f"take_{form}")),
                            )
                            for form in ("csv", "xlsx")
                        ),
                    ],
                    className="small take-away",
                ),
                html.P(className="hand-in-state", role="status"),
            ],
            className="corrected",
        )
    ]


def _corrected_href(of: Volunteer, form: str) -> str:
    return of.address.keeping("garden", "lang", "sent", "file", "fix").at(f"/send/corrected/{form}").href


def _kept(of: Volunteer) -> html.P:
    mark = (of.address.get("sent") or "")[:8]
    words = of.say("kept", mark=f"{mark[:4]} {mark[4:]}")
    return html.P([icon("kept"), html.Span(words)], className="kept")


def _picture(of: Volunteer, told: Told) -> list[Any]:
    form = link(
        of.say("by_hand"), of.address.keeping("garden", "lang").at("/picking").href, className="button"
    )
    return [
        html.Div(
            [
                html.H1(of.say("picture"), className="sentence", id="sentence"),
                html.P(told.file.name, className="small second"),
                html.P(of.say("picture_next")),
                html.P(form, className="buttons"),
                _kept(of),
            ],
            role="status",
            className="verdict",
        )
    ]
