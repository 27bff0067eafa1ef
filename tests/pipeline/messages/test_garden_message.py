"""A garden gets one plain message: thanks, a few questions, what happens if it does nothing."""

import email
import re
from datetime import date
from email.policy import default

import polars as pl
import pytest

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.messages.garden_message import Message, Reader, Received, garden_message
from pipeline.messages.outbox import write_messages
from pipeline.settings import Messages, Settings

HEADER = "site,plot,date,good fruits,weight (lb)\n"
ABOUT = Messages(lead="Wren", phone="555-0142", pages="https://gardens.example/questions")
SOUND = "G01,2,2024-07-01,5,4.0"


@pytest.fixture
def received(context):
    """Judge rows of a garden as one sheet that came in."""

    def received(*rows, sheets=1, refused=()):
        text = HEADER + "".join(f"{row}\n" for row in rows)
        judged = judge([SentFile("july.csv", text.encode())], context, Settings(), CATALOGUE)
        total = judged.verdicts.sum()
        numbers = (int(total[name][0] or 0) for name in ("rows", "used", "held"))
        findings = judged.findings.with_columns(pl.lit("july.csv").alias("file_name"))
        return Received([date(2024, 7, 12)] * sheets, sheets, *numbers, refused, findings)

    return received


def written(received, language="en", about=ABOUT):
    message = garden_message(Reader("G01", "First Row", language), received, about)
    assert message is not None
    return message


def test_a_garden_whose_rows_are_all_in_is_thanked(received):
    message = written(received(SOUND))
    assert message.subject == "First Row: thank you, all is in"
    assert message.text == (
        "Thank you for your sheet of July 12, 2024. We could use your row.\n\n"
        "Questions? Call Wren at 555-0142, or just reply. "
        "Fewer messages, or Spanish: https://gardens.example/questions\n"
    )


def test_a_question_says_where_what_why_and_what_to_do(received):
    message = written(received("G01,9,2024-07-01,4,3.2", SOUND))
    assert message.subject == "First Row: thank you, and 1 short question"
    assert "1 of 2 rows is in. 1 row waits for a small fix." in message.text
    assert re.search(r"^1\. Row 2: .*“9”", message.text, re.MULTILINE)
    assert "If you do nothing, 1 row waits. Your other rows count." in message.text
    assert "Nothing is counted twice." in message.text


def test_at_most_five_questions_are_asked_and_the_rest_counted(received):
    rows = [f"Q{letter},1,2024-07-01,4,3.{at}" for at, letter in enumerate("abcdefgh")]
    text = written(received(*rows)).text
    assert re.findall(r"^(\d)\.", text, re.MULTILINE) == ["1", "2", "3", "4", "5"]
    assert "3 more questions are on the page." in text


def test_rows_with_one_cause_are_one_question(received):
    rows = [f"G01,{at % 4 + 1},2024-07-{at // 4 + 1:02},4,many" for at in range(12)]
    text = written(received(*rows)).text
    assert "1. marketable weight: 12 rows, the first 5 are below." in text
    assert len(re.findall(r"^   - Row", text, re.MULTILINE)) == 5


def test_a_note_is_no_reason_to_write_a_question(received):
    assert written(received("G01,1,2024-07-01,4,2 lb 3 oz")).subject == "First Row: thank you, all is in"


def test_a_garden_that_sent_nothing_and_is_asked_nothing_gets_no_message(received):
    nothing = received()
    assert (
        garden_message(Reader("G01", "First Row"), Received([], 0, 0, 0, 0, (), nothing.findings[:0]), ABOUT)
        is None
    )


def test_a_garden_may_be_asked_about_what_it_sent_before(received):
    asked = received("G01,1,2024-07-01,3,")
    text = written(Received([], 0, 0, 0, 0, (), asked.findings)).text
    assert text.startswith("Thank you for all you have sent so far.")
    assert "If you do nothing, your rows count as we read them." in text


def test_a_file_of_which_no_row_could_be_read_is_named(received):
    text = written(received(SOUND, refused=("June.pdf",))).text
    assert "We kept June.pdf, but could not read any row yet." in text


def test_a_message_is_in_the_garden_s_language_throughout(received):
    message = written(received("G01,9,2024-07-01,4,3.2", SOUND), "es", Messages())
    assert message.subject == "First Row: gracias, y 1 pregunta corta"
    assert message.text.startswith("Gracias por su hoja del 12 de julio de 2024. Ya entró 1 de 2 filas.")
    english = {"wait", "you", "the", "please", "your", "sheet", "thank"}
    assert english.isdisjoint(re.findall(r"[a-z]+", message.text.lower()))


@pytest.mark.parametrize(
    ("about", "end"),
    [
        (Messages(), "Questions? Ask your trial lead, or just reply.\n"),
        (Messages(phone="555-0142"), "Questions? Call your trial lead at 555-0142, or just reply.\n"),
    ],
)
def test_what_the_network_does_not_tell_is_left_out(received, about, end):
    assert written(received(SOUND), about=about).text.endswith(end)


MESSAGE = Message("G01", "wren@example.org", "es", "Huerto: ¿cómo van?", "Gracias. ¿Qué pasó?\n")


def test_a_message_in_the_outbox_is_mail_that_any_program_opens(tmp_path):
    (place,) = write_messages(tmp_path, date(2024, 7, 12), [MESSAGE])
    mail = email.message_from_bytes(place.read_bytes(), policy=default)
    assert (mail["To"], mail["Subject"]) == ("wren@example.org", MESSAGE.subject)
    assert mail["Content-Language"] == "es"
    assert mail.get_content().replace("\r\n", "\n") == MESSAGE.text


def test_a_contact_that_is_no_mail_address_is_not_written_to(tmp_path):
    contact = Message("G01", "Call 555-0142\nBcc: all@example.org", "en", "s", "t\n")
    (place,) = write_messages(tmp_path, date(2024, 7, 12), [contact])
    assert email.message_from_bytes(place.read_bytes(), policy=default)["To"] is None


def test_a_garden_has_one_message_a_day(tmp_path):
    day = date(2024, 7, 12)
    later = Message("G01", "", "en", "later", "later\n")
    assert write_messages(tmp_path, day, [MESSAGE]) == write_messages(tmp_path, day, [later])
    (only,) = (tmp_path / "2024-07-12").iterdir()
    assert "Subject: later" in only.read_text()


def test_a_garden_s_name_cannot_lead_out_of_the_outbox(tmp_path):
    (place,) = write_messages(tmp_path, date(2024, 7, 12), [Message("../../x", "", "en", "s", "t\n")])
    assert place.parent == tmp_path / "2024-07-12"
