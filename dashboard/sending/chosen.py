"""What was chosen on the page Send, as text in its address, so that the page can be left and opened again."""

from collections.abc import Sequence
from urllib.parse import quote, unquote

from dashboard.sending.told import Answer

_BETWEEN, _WITHIN = ",", "!"
#: An address holds at most this many answers; more are mended in the sheet itself.
MOST = 60


def written(answers: Sequence[Answer]) -> str:
    """Return answers as text of an address."""
    return _BETWEEN.join(_written(answer) for answer in answers[:MOST])


def _written(answer: Answer) -> str:
    parts = (
        *(answer.check, answer.column, str(answer.line), answer.way),
        *(answer.text, answer.tab, answer.cause),
    )
    return _WITHIN.join(quote(part, safe="") for part in parts)


def read(text: str) -> list[Answer]:
    """Return the answers in the text of an address; what is no answer is passed over."""
    found = [_read(part) for part in text.split(_BETWEEN)[:MOST] if part]
    return [answer for answer in found if answer is not None]


def _read(text: str) -> Answer | None:
    parts = [unquote(part) for part in text.split(_WITHIN)]
    if len(parts) != 7 or not parts[2].isdigit():
        return None
    check, column, line, way, typed, tab, cause = parts
    return Answer(check, column, int(line), way, typed, tab, cause)


def with_answer(answers: Sequence[Answer], answer: Answer) -> list[Answer]:
    """Return the answers with one more, in the place of an earlier one to the same findings."""
    return [*without(answers, answer), answer]


def without(answers: Sequence[Answer], answer: Answer) -> list[Answer]:
    """Return the answers without those to the same findings."""
    return [one for one in answers if _about(one) != _about(answer)]


def _about(answer: Answer) -> tuple[object, ...]:
    return answer.check, answer.column, answer.line, answer.tab, answer.cause
