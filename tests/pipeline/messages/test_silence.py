"""A garden that has been silent for weeks is asked how its plots are doing, and blamed for nothing."""

import re
from datetime import date

import pandas as pd
import pytest

from pipeline.messages.reader import Reader
from pipeline.messages.silence import Silence, silence_occasion, silences
from pipeline.settings import Messages, Settings

ABOUT = Messages(pages="https://gardens.example/my-garden")


def states(*rows):
    table = pd.DataFrame(rows, columns=["site", "state", "last_picking", "days_silent"])
    return table.assign(
        last_picking=pd.to_datetime(table["last_picking"]), days_silent=table["days_silent"].astype("Int64")
    )


SENT = pd.DataFrame(
    {
        "site": "G01",
        "plot": ["1", "2", "1", "2"],
        "date": pd.to_datetime(["2024-08-01", "2024-08-01", "2024-08-08", "2024-08-08"]),
    }
)


def test_a_garden_is_asked_after_three_weeks_without_a_picking(night):
    found = silences(
        night(
            garden_states=states(
                ("G01", "late", "2024-08-08", 24),
                ("G02", "late", "2024-08-12", 20),
                ("G03", "late", None, None),
            ),
            plot_curves=SENT,
        )
    )
    assert found == {"G01": Silence(date(2024, 8, 8), 24, 2, 2, others_pick=False, is_hot=False)}


@pytest.mark.parametrize("state", ["resting", "in step", "closed"])
def test_a_garden_that_is_not_late_is_left_in_peace(night, state):
    assert silences(night(garden_states=states(("G01", state, "2024-08-01", 31)))) == {}


def test_how_many_days_is_a_setting(night):
    settings = Settings(messages=Messages(silent_days=30))
    late = states(("G01", "late", "2024-08-08", 24))
    assert silences(night(garden_states=late, settings=settings)) == {}


def test_other_gardens_are_named_as_picking_only_where_one_is(night):
    late = ("G01", "late", "2024-08-08", 24)
    picked = silences(night(garden_states=states(late, ("G02", "in step", "2024-08-30", 2))))
    assert picked["G01"].others_pick
    assert not silences(night(garden_states=states(late, ("G02", "late", "2024-08-10", 22))))[
        "G01"
    ].others_pick


def test_the_message_asks_with_answers_to_choose_from_and_never_fills_with_zero():
    asked = Silence(date(2024, 7, 12), 21, 6, 8, others_pick=True, is_hot=True)
    told = silence_occasion(Reader("G01", "First Row"), asked, ABOUT)
    assert told.subject == "First Row: how are your plots doing?"
    assert "6 pickings from 8 plots" in told.text
    assert "from July 12, 2024. That is 21 days ago. Other gardens are picking now." in told.text
    assert "Tell us here: https://gardens.example/my-garden Or just reply." in told.text
    assert told.text.count("\n- ") == 5
    assert "We never fill them with zero." in told.text
    assert "Follow your local heat advice." in told.text
    assert told.name == "silence since 2024-07-12"


def test_nothing_is_said_of_heat_or_others_where_there_is_none():
    asked = Silence(date(2024, 7, 12), 21, 1, 1, others_pick=False, is_hot=False)
    text = silence_occasion(Reader("G01", "First Row"), asked, Messages()).text
    assert "1 picking from 1 plot." in text
    assert "Other gardens" not in text
    assert "hot" not in text
    assert "http" not in text


def test_the_message_is_in_the_garden_s_language():
    asked = Silence(date(2024, 7, 12), 21, 6, 8, others_pick=True, is_hot=True)
    told = silence_occasion(Reader("G02", "Segunda", "es"), asked, ABOUT)
    assert told.subject == "Segunda: ¿cómo van sus parcelas?"
    assert "Gracias por todo lo que ha enviado: 6 cortes de 8 parcelas." in told.text
    assert "hace 21 días. Otros huertos están cosechando." in told.text
    english = {"the", "you", "your", "and", "picking", "we", "please"}
    assert english.isdisjoint(re.findall(r"[a-z]+", told.text.lower().replace(ABOUT.pages, "")))


def test_heat_of_the_last_week_is_told_and_older_heat_is_not(night):
    late = states(("G01", "late", "2024-08-08", 24))
    notes = pd.DataFrame(
        {"site": ["G01"], "code": "heat-danger", "from_date": pd.to_datetime(["2024-08-30"])}
    )
    assert silences(night(garden_states=late, season_notes=notes))["G01"].is_hot
    older = notes.assign(from_date=pd.Timestamp("2024-08-20"))
    assert not silences(night(garden_states=late, season_notes=older))["G01"].is_hot
