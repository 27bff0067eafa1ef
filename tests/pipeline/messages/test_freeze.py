"""Before the first freezes of fall gardens hear how often one came by now; there is no forecast in it. A date
before which one year in ten froze is the early, careful one (NCDC freeze tables)."""

import re
from datetime import date

import pandas as pd
import pytest

from pipeline.messages.freeze import freeze_occasion, freezes_to_come
from pipeline.messages.reader import Reader
from pipeline.settings import Messages


def place(early="2024-09-28", even="2024-10-10", frozen=None):
    table = pd.DataFrame({"site": ["G01"], "first_freeze_10": [early], "first_freeze_50": [even]})
    return table.assign(first_freeze=frozen).apply(
        lambda each: each if each.name == "site" else pd.to_datetime(each)
    )


@pytest.mark.parametrize(
    ("day", "is_told"),
    [
        (date(2024, 9, 19), False),
        (date(2024, 9, 20), True),
        (date(2024, 10, 4), True),
        (date(2024, 10, 6), False),
    ],
)
def test_gardens_are_told_from_eight_days_before_the_early_date_while_the_trial_runs(night, day, is_told):
    assert ("G01" in freezes_to_come(night(day, attributes=place()))) == is_told


def test_a_garden_that_has_frozen_or_has_no_record_is_not_told(night):
    day = date(2024, 9, 25)
    assert freezes_to_come(night(day, attributes=place(frozen="2024-09-24"))) == {}
    assert freezes_to_come(night(day, attributes=place(early=None, even=None))) == {}


def test_the_message_tells_past_years_and_the_steps_before_a_freeze():
    told = freeze_occasion(
        Reader("G01", "First Row"), date(2024, 9, 28), "2024", Messages(pages="https://gardens.example")
    )
    assert told.subject == "First Row: freezes can come soon"
    assert "In 1 of 10 years the first freeze near you comes before September 28, 2024." in told.text
    assert "Please watch your local forecast." in told.text
    assert "1. Pick every plot of the trial on the same day, good fruit and culls." in told.text
    assert "3. Nothing left on a plot? Write 0, do not leave it blank." in told.text
    assert "Just tell us: https://gardens.example" in told.text
    assert "your health department decide" in told.text
    assert told.name == "freeze 2024"


def test_the_steps_are_the_network_s_own_where_it_has_some():
    about = Messages(freeze_steps=("Pick all.", "Send all."))
    text = freeze_occasion(Reader("G01", "First Row"), date(2024, 9, 28), "2024", about).text
    assert "1. Pick all.\n2. Send all." in text
    assert "3." not in text


def test_the_message_is_in_the_garden_s_language():
    told = freeze_occasion(Reader("G02", "Segunda", "es"), date(2024, 9, 28), "2024", Messages())
    assert told.subject == "Segunda: pronto puede helar"
    assert (
        "En 1 de cada 10 años la primera helada llega cerca de usted antes del 28 de septiembre" in told.text
    )
    assert "anote “sazón” como etapa" in told.text
    english = {"the", "you", "your", "and", "pairs", "pick", "please"}
    assert english.isdisjoint(re.findall(r"[a-z]+", told.text.lower()))
