"""Slips: one for each thing that waits or that we ask about, with the buttons that settle it."""

from collections.abc import Mapping, Sequence
from typing import Any

from dash import html

from dashboard.components.attributes import attributes
from dashboard.components.field import field
from dashboard.components.mark import icon, link
from dashboard.pages.volunteer import Volunteer
from dashboard.sending.chosen import with_answer, without, written
from dashboard.sending.told import Answer, Told, answer_to
from dashboard.sending.ways import OF_ALL, RIGHT, TYPED, Way, ways
from pipeline.checks.groups import Group, heading
from pipeline.checks.names import column_name

#: Notes that stand on the page; the rest fold out.
_FIRST_NOTES = 5


def slip(one: Group, told: Told, answers: Sequence[Answer], of: Volunteer) -> html.Article:
    """Return the slip of one group: its findings, why we ask, and what can be done."""
    words = told.words(one.findings[0], of.language)
    whole = _answered(one, None, answers)
    head = [html.P(heading(one, of.language), className="strong")] if one.n > 1 else []
    body = [_settled(one, None, whole, told, answers, of)] if whole else _rows(one, told, answers, of)
    extra = [
        html.P(text, className="small second")
        for text in (words.why, "" if whole else words.if_nothing)
        if text
    ]
    why = html.Details([html.Summary(of.say("why")), *extra], className="why") if extra else None
    return html.Article(
        [*head, *body, *([why] if why else [])],
        className=f"finding {one.level}",
    )


def _rows(one: Group, told: Told, answers: Sequence[Answer], of: Volunteer) -> list[Any]:
    """Return the rows of a group with their buttons; what is the same of all that wait is told once."""
    given = [_answered(one, finding, answers) for finding in one.findings]
    waiting = [finding for finding, answer in zip(one.findings, given, strict=True) if answer is None]
    message, remedy = _shared(waiting, told, of)
    once = [html.P(message)] if message else []
    once += [html.P(remedy, className="strong")] if remedy else []
    rows = [
        _settled(one, finding, answer, told, answers, of)
        if answer
        else _ask(one, finding, (not message, not remedy), told, answers, of)
        for finding, answer in zip(one.findings, given, strict=True)
    ]
    return [*once, *rows, *_for_all(one, answers, of)]


def _shared(waiting: Sequence[Mapping[str, Any]], told: Told, of: Volunteer) -> tuple[str, str]:
    """Return message and remedy where several rows have the same; blank what is another for each."""
    if len(waiting) < 2:
        return "", ""
    words = [told.words(finding, of.language, names_place=False) for finding in waiting]
    messages, remedies = {one.message for one in words}, {one.remedy for one in words}
    if len(remedies) > 1:
        # A remedy of its own row answers the message of that row.
        return "", ""
    return (messages.pop() if len(messages) == 1 else ""), remedies.pop()


def _ask(
    one: Group,
    finding: Mapping[str, Any],
    tells: tuple[bool, bool],
    told: Told,
    answers: Sequence[Answer],
    of: Volunteer,
) -> html.Div:
    """Return one row that waits; `tells` says whether its message and its remedy are told here."""
    words, (tells_message, tells_remedy) = told.words(finding, of.language), tells
    return html.Div(
        [
            _where(one, finding, of),
            *(_proof(finding, told, of) if tells_message or not one.cause else []),
            html.P(words.message) if tells_message else None,
            html.P(words.remedy, className="strong") if tells_remedy and words.remedy else None,
            _buttons(one, finding, answers, of),
        ],
        className="ask",
    )


def _where(one: Group, finding: Mapping[str, Any], of: Volunteer) -> html.P:
    line = of.say("line", line=finding["line"]) if finding["line"] else of.say("whole_sheet")
    plot = of.say("plot", plot=finding["plot"]) if finding["plot"] else ""
    # Where the plot itself is asked about, it has been named.
    is_named = not finding["column"] or (plot and finding["column"] == "plot")
    column = "" if is_named else column_name(str(finding["column"]), of.language)
    rest = ", ".join(part for part in (plot, column) if part)
    return html.P(
        [icon(one.level), html.Span([html.B(line), f" · {rest}" if rest else ""])],
        className="where",
    )


def _proof(finding: Mapping[str, Any], told: Told, of: Volunteer) -> list[Any]:
    """Return the value as it was sent, and how we read it where that says more."""
    sent, read = finding["sent"], told.read_as(finding, of.language)
    if not finding["line"] or (not sent and not read):
        return []
    parts: list[Any] = [html.Span(sent or of.say("blank"), className="sent")]
    if read and read != sent:
        parts += [html.Small(of.say("read_as")), html.Span(read, className="read")]
    return [html.P(parts, className="proof")]


def _buttons(one: Group, finding: Mapping[str, Any], answers: Sequence[Answer], of: Volunteer) -> html.Div:
    offered = ways(finding, of.reader)
    marks = [
        _button(one, finding, way, answers, of, is_first=at == 0)
        for at, way in enumerate(offered)
        if way.name != TYPED
    ]
    typing = [_typing(one, finding, answers, of)] if any(way.name == TYPED for way in offered) else []
    return html.Div([*marks, *typing], className="buttons")


def _button(
    one: Group,
    finding: Mapping[str, Any] | None,
    way: Way,
    answers: Sequence[Answer],
    of: Volunteer,
    *,
    is_first: bool,
) -> html.A | html.Form:
    """Return a way as a link to the same page with it chosen; the likeliest reading is filled.

    That all is right is kept by the server, so it is a form.
    """
    whole = finding is None or way.name in OF_ALL
    chosen = answer_to(one, None if whole else finding, way.name)
    if way.name == RIGHT:
        return _kept_form([way.label], with_answer(answers, chosen), of)
    href = _with_fix(of, with_answer(answers, chosen))
    is_likeliest = is_first and way.is_reading
    return link(
        way.label, href, className="button first" if is_likeliest else "button", **attributes(data_way="yes")
    )


def _typing(one: Group, finding: Mapping[str, Any], answers: Sequence[Answer], of: Volunteer) -> html.Details:
    """Return the place to type a cell anew; assets/send.js puts what is typed into the address."""
    line, column = finding["line"], str(finding["column"])
    name = f"typed-{one.check}-{line}-{column}"
    kept = without(answers, answer_to(one, finding, TYPED))
    return html.Details(
        [
            html.Summary(of.say("type"), className="button"),
            html.Form(
                [
                    html.Label(
                        of.say("typed_label", column=column_name(column, of.language), line=line),
                        htmlFor=name,
                    ),
                    field(name, "typed", value=str(finding["sent"] or ""), required="required"),
                    html.Button(of.say("save"), type="submit", className="first"),
                ],
                className="typing",
                **attributes(
                    data_fix=written([answer_to(one, finding, TYPED, "{typed}")]),
                    data_kept=written(kept),
                    data_here=of.address.choosing(fix=None).href,
                ),
            ),
        ],
        className="type-it",
    )


def _for_all(one: Group, answers: Sequence[Answer], of: Volunteer) -> list[Any]:
    """Return the way that settles all rows of a group at once, where each row has its own likeliest."""
    offered = [ways(finding, of.reader) for finding in one.findings]
    names = {found[0].name if found else "" for found in offered}
    if one.n < 2 or len(names) != 1 or names & {"", RIGHT, TYPED, *OF_ALL}:
        return []
    label = of.say("yes_all", n=f"{one.n:,}")
    way = Way(next(iter(names)), label, offered[0][0].edits)
    return [html.Div(_button(one, None, way, answers, of, is_first=False), className="buttons")]


def _answered(one: Group, finding: Mapping[str, Any] | None, answers: Sequence[Answer]) -> Answer | None:
    own = answer_to(one, finding, "")
    about = (own.check, own.column, own.line, own.tab, own.cause)
    return next(
        (
            given
            for given in answers
            if (given.check, given.column, given.line, given.tab, given.cause) == about
        ),
        None,
    )


def _settled(
    one: Group,
    finding: Mapping[str, Any] | None,
    given: Answer,
    told: Told,
    answers: Sequence[Answer],
    of: Volunteer,
) -> html.Div:
    """Return what stands in a slip's place once it is answered: one line, and the way back."""
    place = of.say("whole_sheet") if finding is None else of.say("line", line=given.line)
    if given.line == 0 and one.n > 1 and finding is None:
        place = heading(one, of.language)
    left, named = without(answers, given), attributes(aria_label=f"{of.say('undo')}: {place}")
    undo = (
        _kept_form([of.say("undo")], left, of, className="as-link", **named)
        if given.way == RIGHT
        else link(of.say("undo"), _with_fix(of, left), **named)
    )
    return html.Div(
        [icon("step"), html.Span([html.B(place), ": ", _said(one, finding, given, told, of)]), undo],
        className="settled",
        tabIndex="-1",
    )


def _said(one: Group, finding: Mapping[str, Any] | None, given: Answer, told: Told, of: Volunteer) -> str:
    if given.way == RIGHT:
        return of.say("settled_right")
    if given.way == TYPED:
        return of.say("settled", label=given.text or of.say("blank"))
    offered = ways(finding or one.findings[0], of.reader)
    label = next((way.label for way in offered if way.name == given.way), "")
    if finding is None and given.way not in OF_ALL:
        label = of.say("all_of", n=f"{one.n:,}")
    return of.say("settled", label=label)


def _kept_form(words: list[str], answers: Sequence[Answer], of: Volunteer, **of_button: Any) -> html.Form:
    """Return a button that keeps what is right with the server, and leads to the page with it chosen."""
    query = of.address.choosing(fix=written(answers) or None, garden=of.site, lang=of.language).query
    return html.Form(
        html.Button(words, type="submit", **of_button),
        action=f"/send/right?{query}",
        method="post",
        **attributes(data_post="yes", data_not_arrived=of.say("answer_lost")),
    )


def _with_fix(of: Volunteer, answers: Sequence[Answer]) -> str:
    return of.address.choosing(fix=written(answers) or None).href


def ledger_of_notes(groups: Sequence[Group], told: Told, of: Volunteer) -> list[Any]:
    """Return how we read the rest, a line each; more than a few fold away."""
    if not groups:
        return []
    entries = [html.Li([icon("note"), html.Div(_note(one, told, of))]) for one in groups]
    shown, rest = entries[:_FIRST_NOTES], entries[_FIRST_NOTES:]
    folded = [
        html.Details(
            [html.Summary(of.say("notes_more", n=f"{len(rest):,}")), html.Ul(rest, className="ledger")],
            className="more",
        )
    ]
    return [html.H2(of.say("notes_title")), html.Ul(shown, className="ledger"), *(folded if rest else [])]


def _note(one: Group, told: Told, of: Volunteer) -> list[Any]:
    messages = [told.words(finding, of.language).message for finding in one.findings]
    if one.n == 1:
        return [html.Div(messages[0])]
    return [
        html.Div(html.B(heading(one, of.language))),
        *(html.Div(message, className="small second") for message in messages),
    ]
