"""What waits for a garden's answer, and the answers that it gave and may still take back."""

from collections.abc import Mapping, Sequence
from typing import Any

from dashboard.components.attributes import attributes
from dashboard.components.field import field
from dashboard.components.mark import icon, link
from dashboard.components.plain import Part, part
from dashboard.data import TrialSeason, View
from dashboard.pages.volunteer import Volunteer
from dashboard.sending.chosen import written
from dashboard.sending.told import Answer
from dashboard.sending.ways import OF_ALL, RIGHT, Way, ways
from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.names import column_name
from pipeline.checks.words import in_words, values_of
from pipeline.store.of_garden import Record

#: Questions that are put at once: a volunteer answers a few, not a page.
PUT_AT_ONCE = 5


def given_answers(view: View, of: Volunteer) -> list[Record]:
    """Return the answers that the garden gave and that wait for the night."""
    return view.gate.answers(of.site) if view.gate and view.gate.engine else []


def open_slips(view: View, trial: TrialSeason, of: Volunteer, given: Sequence[Record]) -> list[Any]:
    """Return the questions of the season that wait, a few at once, each with its answers; then all others.

    What is `given` is not asked again.
    """
    title = part("H2", of.say("open_title"), id="open", tabIndex="-1")
    waiting = _waiting(view, of, given)
    now = [finding for finding in waiting if _is_of(finding, trial)]
    before = [finding for finding in waiting if not _is_of(finding, trial)]
    parts: list[Any] = [title]
    if not now:
        words = of.say("open_none_of", season=trial.season) if before else of.say("open_none")
        parts.append(part("P", words, className="ledger-none"))
    parts += _few(now, of)
    if before:
        head = part("Summary", of.say("open_others", n=len(before)))
        # Where nothing else waits they are what the page is for.
        parts.append(part("Details", [head, *_few(before, of)], className="others", open=not now))
    return parts


def _is_of(finding: Mapping[str, Any], trial: TrialSeason) -> bool:
    """Return whether a finding is about the season, by its name or its row's day; a file of no day counts."""
    if finding["season"] is not None:
        return str(finding["season"]) == trial.season
    if finding["date"] is None:
        return True
    year: int = finding["date"].year
    return trial.start.year <= year <= trial.close.year


def _few(waiting: list[Record], of: Volunteer) -> list[Any]:
    shown, rest = waiting[:PUT_AT_ONCE], len(waiting) - PUT_AT_ONCE
    more = [part("P", of.say("open_more", n=rest), className="small second")] if rest > 0 else []
    return [*(_slip(finding, of) for finding in shown), *more]


def _waiting(view: View, of: Volunteer, given: Sequence[Record]) -> list[Record]:
    """Return the findings that nobody of the garden has answered yet; one row is asked about once."""
    if view.gate is None or view.gate.engine is None:
        return []
    rows = {(answer["kind"], answer["row_id"]) for answer in given if answer["row_id"] is not None}
    findings = {answer["finding_id"] for answer in given}
    return [
        finding
        for finding in view.gate.open_questions(of.site)
        if (finding["kind"], finding["row_id"]) not in rows and finding["finding_id"] not in findings
    ]


def _slip(finding: Mapping[str, Any], of: Volunteer) -> Part:
    named = dict(finding) | {"garden": of.garden["name"] if of.garden else ""}
    check = str(finding["check"])
    words = in_words(
        check, values_of(EVERY_CHECK.get(check), named, of.language, of.reader.units), of.language
    )
    place = of.say("line", line=finding["line"]) if finding["line"] else of.say("whole_sheet")
    file = of.say("in_file", file=finding["file"]) if finding["file"] else ""
    sent = (
        [part("P", part("Span", finding["sent"], className="sent"), className="proof")]
        if finding["sent"]
        else []
    )
    return part(
        "Article",
        [
            part(
                "P",
                [icon(str(finding["level"])), part("Span", [part("B", place), f" {file}"])],
                className="where",
            ),
            *sent,
            part("P", words.message),
            part("P", words.remedy, className="strong"),
            _answers(finding, of),
            part("P", className="hand-in-state", role="status"),
        ],
        className=f"finding {finding['level']}",
    )


def _answers(finding: Mapping[str, Any], of: Volunteer) -> Part:
    """Return the answers as buttons: the likeliest value, it is right, take it out, not sure, and typing."""
    offered = ways(dict(finding) | {"sheet": finding["kind"]}, of.reader)
    buttons: list[Any] = [_answer(finding, "use it", way.label, of) for way in offered if way.name == RIGHT]
    buttons += _over_the_sheet(finding, offered, of)
    typing = []
    if finding["row_id"] is not None:
        values = _values(finding, offered, of)
        buttons = [*values, *buttons, _answer(finding, "set aside", of.say("take_out"), of)]
        typing = [_typing(finding, of)] if finding["column"] else []
    return part(
        "Div", [*buttons, _answer(finding, "not sure", of.say("not_sure"), of), *typing], className="buttons"
    )


def _values(finding: Mapping[str, Any], offered: Sequence[Way], of: Volunteer) -> list[Part]:
    """Return the ways that put one value into one cell of the row, as answers."""
    answers = []
    for way in offered:
        if _is_of_one_cell(way):
            hidden = {"column": way.edits[0].column, "value": way.edits[0].text, "way": way.name}
            answers.append(_answer(finding, "change it", way.label, of, is_first=way.is_reading, **hidden))
    return answers


def _is_of_one_cell(way: Way) -> bool:
    edit = way.edits[0] if len(way.edits) == 1 else None
    return edit is not None and edit.kind == "write" and edit.line > 0


def _over_the_sheet(finding: Mapping[str, Any], offered: Sequence[Way], of: Volunteer) -> list[Part]:
    """Return the ways that mend more than one cell: each opens the sheet on Send with it chosen."""
    if not finding["sha256"]:
        return []
    links = []
    for way in offered:
        if way.edits and not _is_of_one_cell(way) and way.edits[0].kind != "take out":
            line = 0 if way.name in OF_ALL else int(finding["line"] or 0)
            column, tab = str(finding["column"] or ""), str(finding["tab"] or "")
            chosen = written([Answer(str(finding["check"]), column, line, way.name, tab=tab)])
            sheet = of.address.keeping("garden", "lang").at("/send")
            href = sheet.choosing(sent=finding["sha256"], file=finding["file"], fix=chosen).href
            links.append(link(way.label, href, className="button"))
    return links


def _form(children: list[Any], of: Volunteer, **further: Any) -> Part:
    told = attributes(data_post="yes", data_not_arrived=of.say("answer_lost"))
    action = f"/my-garden/answer?garden={of.site}&lang={of.language}"
    return part("Form", children, action=action, method="post", **told, **further)


def _told(finding: Mapping[str, Any], answer: str, **further: str) -> list[Any]:
    """Return the hidden fields that say which finding is answered, and how."""
    number = finding["finding_id"]
    named = {"finding": str(number), "answer": answer} | further
    mark = f"{number}-{answer}-{further.get('way', '')}".replace(" ", "-")
    return [field(f"{name}-{mark}", name, type="hidden", value=value) for name, value in named.items()]


def _answer(
    finding: Mapping[str, Any],
    answer: str,
    words: str,
    of: Volunteer,
    *,
    is_first: bool = False,
    **further: str,
) -> Part:
    button = part("Button", words, type="submit", className="first" if is_first else "")
    return _form([*_told(finding, answer, **further), button], of)


def _typing(finding: Mapping[str, Any], of: Volunteer) -> Part:
    column = str(finding["column"])
    name = f"value-{finding['finding_id']}"
    label = of.say("typed_label", column=column_name(column, of.language), line=finding["line"])
    kind = {"type": "date"} if column == "date" else {}
    form = _form(
        [
            *_told(finding, "change it", column=column, way="typed"),
            part("Label", label, htmlFor=name),
            field(name, "value", required="required", **kind),
            part("Button", of.say("save"), type="submit", className="first"),
        ],
        of,
        className="typing",
    )
    return part("Details", [part("Summary", of.say("type"), className="button"), form], className="type-it")


def answered(given: Sequence[Record], of: Volunteer) -> list[Any]:
    """Return the garden's answers that the night has not worked in yet, each with the way back."""
    if not given:
        return []
    entries = [_given(answer, of) for answer in given]
    return [
        part("H2", of.say("answered_title")),
        part("P", of.say("answered_hint"), className="small second"),
        part("Ul", entries, className="ledger answered"),
    ]


def _given(row: Mapping[str, Any], of: Volunteer) -> Part:
    column = column_name(str(row["column"]), of.language) if row["column"] else ""
    words = of.say(f"answered_{row['answer']}", column=column, value=row["value"])
    form = part(
        "Form",
        [
            field(f"undo-{row['decision_id']}", "decision", type="hidden", value=str(row["decision_id"])),
            part(
                "Button",
                of.say("undo"),
                type="submit",
                className="as-link",
                **attributes(aria_label=f"{of.say('undo')}: {words}"),
            ),
        ],
        action=f"/my-garden/undo?garden={of.site}&lang={of.language}",
        method="post",
        **attributes(data_post="yes", data_not_arrived=of.say("answer_lost")),
    )
    return part(
        "Li", [icon("step"), part("Div", [words, part("P", className="hand-in-state", role="status")]), form]
    )
