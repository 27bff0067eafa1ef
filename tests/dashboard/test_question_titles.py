"""Questions of the lead are asked in plain words."""

import pytest

from dashboard.wording.questions_of_checks import QUESTIONS_OF_CHECKS, question_of
from pipeline.checks.listing import listed_checks

ASKING = sorted({one.name for one in listed_checks() if one.level != "note"})


def test_every_check_that_waits_for_an_answer_asks_in_plain_words():
    assert sorted(QUESTIONS_OF_CHECKS) == ASKING


@pytest.mark.parametrize("check", ASKING)
@pytest.mark.parametrize("sent", [None, "", "-0.33"])
def test_a_question_is_one_with_or_without_the_cell(check, sent):
    asked = question_of(check, sent)
    assert asked.endswith("?")
    assert "{" not in asked
    assert "  " not in asked
    assert " ?" not in asked
    assert "“”" not in asked


def test_a_long_cell_is_cut():
    assert question_of("number-unreadable", "x" * 90) == f"which number is “{'x' * 24}”?"
