"""The lead's week: counts of what came in, what to settle first, who is quiet; nothing is compared early."""

from datetime import date

import pandas as pd
import pytest

from pipeline.messages.lead_week import LEAD, lead_message
from pipeline.nightly import run_night
from pipeline.settings import Messages, Settings
from pipeline.store.engine import open_store
from pipeline.store.told import told_so_far
from pipeline.workspace import make_workspace
from tests.pipeline.conftest import REGISTRY

HEADER = "site,plot,date,good fruits,weight (lb)\n"
ROWS = "".join(f"G01,{plot},2024-08-20,5,4.0\n" for plot in (1, 2, 3, 4))
STATES = pd.DataFrame({"site": ["G01", "G02", "G03"], "state": ["in step", "late", "late"]})


@pytest.fixture
def store(tmp_path):
    """The store after a night that took one sheet of four rows, one of which waits, and one that is empty."""
    workspace = make_workspace(tmp_path / "network", Settings(today=date(2024, 9, 1)), REGISTRY)
    (workspace.inbox / "good.csv").write_text(HEADER + ROWS + "G01,9,2024-08-20,4,3.2\n")
    (workspace.inbox / "june.csv").write_text("")
    run_night(workspace)
    engine = open_store(workspace.database_url)
    with engine.connect() as connection:
        yield connection
    engine.dispose()


@pytest.fixture
def week(store, night):
    def week(**options):
        frames = {"garden_states": STATES} | options.pop("frames", {})
        told = options.pop("told", told_so_far(store).iloc[:0])
        return lead_message(store, night(**options, **frames), told)

    return week


def told_on(site, occasion, day):
    return pd.DataFrame({"site": [site], "occasion": occasion, "day": pd.Timestamp(day), "run_id": 1})


def test_what_came_in_is_counted(week):
    text = week().text
    assert "In: 1 of 3 gardens sent 2 files. Rows used: 4. On hold: 1. Changed by the gardens: 0." in text
    assert "Not read yet: june.csv." in text


def test_who_is_quiet_is_named_with_the_day_on_which_it_was_written_to(week):
    told = pd.DataFrame(
        {
            "site": ["G02"],
            "occasion": "silence since 2024-08-01",
            "day": pd.Timestamp("2024-08-25"),
            "run_id": 1,
        }
    )
    text = week(told=told).text
    assert "Quiet for 14 days or more: Second Row, Third Row." in text
    assert "The newest message to one of them is of August 25, 2024." in text


def test_the_questions_that_move_the_answer_farthest_stand_first_and_never_which_way(week):
    questions = pd.DataFrame(
        {
            "group": [1, 2, 3, 4, 4],
            "size": ["small", "some", "small", "large", "large"],
            "site": ["G01", "G02", "G01", "G03", "G03"],
            "file": "a.csv",
            "message": ["First.", "Second.", "Third.", "Fourth.", "Fifth."],
        }
    )
    message = week(frames={"questions": questions})
    assert "4 questions for you" in message.subject
    assert (
        "1. Third Row: Fourth. It would move the answer far.\n"
        "2. Second Row: Second. It would move the answer somewhat.\n"
        "3. First Row: First. It would move the answer a little."
    ) in message.text
    assert "Third." not in message.text


def test_before_the_close_it_says_how_far_and_compares_nothing(week):
    sentences = pd.DataFrame(
        {
            "place": ["network", "watch", "network"],
            "language": ["en", "en", "es"],
            "sentence": ["So far 2 gardens sent pickings.", "Elsewhere.", "Van 2 huertos."],
            "sure": ["We do not compare yet.", "", ""],
        }
    )
    text = week(frames={"sentences": sentences}).text
    assert "Graft: So far 2 gardens sent pickings. We do not compare yet." in text
    assert "Elsewhere" not in text
    assert "Van" not in text


def test_the_lead_reads_the_network_s_language_at_the_lead_s_address(week):
    settings = Settings(language="es", messages=Messages(lead_mail="wren@example.org"))
    message = week(settings=settings)
    assert (message.site, message.contact, message.language) == (LEAD, "wren@example.org", "es")
    assert message.subject.startswith("Semana al 1 de septiembre de 2024: 1 de 3 huertos")
    assert "Filas usadas: 4. En espera: 1." in message.text


def test_nothing_is_written_where_no_trial_runs_or_the_week_was_told(week, night, store):
    assert lead_message(store, night(), told_so_far(store)) is None
    told = told_on(LEAD, "week 2024-W35", "2024-08-28")
    assert week(told=told) is None
    assert week(told=told, day=date(2024, 9, 2)) is not None
