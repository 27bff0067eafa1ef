"""Releasing a season's answer, and taking it back."""

from datetime import date, datetime

import pandas as pd
import pytest

from pipeline.publish import shared_frames
from pipeline.publish.releases import Releases
from pipeline.publish.snapshot import NIGHTS_KEPT, FrameKey, publish
from pipeline.store.engine import open_store, writing
from pipeline.store.runs import start_run
from sites.errors import InputError

TRIAL, SEASON = "graft", "2024"
NOON = datetime(2024, 11, 12, 12)


@pytest.fixture
def engine(tmp_path):
    engine = open_store(f"sqlite:///{tmp_path / 'longrow.db'}")
    yield engine
    engine.dispose()


@pytest.fixture
def releases(engine):
    return Releases(engine, lambda: NOON)


def night(engine, percent: float, season: str = SEASON) -> None:
    """Publish a night on which the season's public answer is `percent`."""
    rows = shared_frames.PUBLIC_TRIAL.empty().reindex([0])
    rows = rows.assign(trial=TRIAL, season=season, gardens=6, placed=6, counties=5)
    answer = pd.DataFrame([dict.fromkeys(shared_frames.PUBLIC_ANSWER.column_names)]).assign(
        treatment="grafted", percent=percent, is_slope_told=False
    )
    with writing(engine) as connection:
        run = start_run(connection, date(2024, 11, 12), NOON)
    made = {
        FrameKey("public_trial", TRIAL, season): rows,
        FrameKey("public_answer", TRIAL, season): answer,
    }
    publish(engine, run, date(2024, 11, 12), NOON, str(percent), made)


def percent_of(releases) -> list[float]:
    return [releases.frame(one, "public_answer")["percent"].item() for one in releases.standing()]


def test_readers_see_nothing_until_somebody_releases(engine, releases):
    night(engine, 12.0)
    assert releases.standing() == []


def test_a_release_says_who_and_when(engine, releases):
    night(engine, 12.0)
    number = releases.release(TRIAL, SEASON, "lead")
    (one,) = releases.standing()
    assert (one.number, one.released_by, one.released, one.night) == (
        number,
        "lead",
        NOON,
        date(2024, 11, 12),
    )


def test_a_later_night_does_not_change_what_was_released(engine, releases):
    night(engine, 12.0)
    releases.release(TRIAL, SEASON, "lead")
    night(engine, 15.0)
    assert percent_of(releases) == [12.0]
    assert releases.standing()[0].digest != releases.digest(TRIAL, SEASON)


def test_releasing_again_takes_the_place_of_the_older(engine, releases):
    night(engine, 12.0)
    first = releases.release(TRIAL, SEASON, "lead")
    night(engine, 15.0)
    second = releases.release(TRIAL, SEASON, "other")
    assert percent_of(releases) == [15.0]
    older = releases.history()[1]
    assert (older.number, older.successor, older.taken_back_by) == (first, second, "other")


def test_what_is_taken_back_is_not_seen_and_stays_in_the_history(engine, releases):
    night(engine, 12.0)
    number = releases.release(TRIAL, SEASON, "lead")
    releases.take_back(number, "other")
    assert releases.standing() == []
    (one,) = releases.history()
    assert (one.taken_back, one.taken_back_by, one.successor) == (NOON, "other", None)


def test_it_can_be_released_again_after_it_was_taken_back(engine, releases):
    night(engine, 12.0)
    releases.take_back(releases.release(TRIAL, SEASON, "lead"), "lead")
    releases.release(TRIAL, SEASON, "lead")
    assert percent_of(releases) == [12.0]


def test_a_release_outlives_the_snapshot_it_came_from(engine, releases):
    night(engine, 12.0)
    releases.release(TRIAL, SEASON, "lead")
    for later in range(NIGHTS_KEPT + 2):
        night(engine, 20.0 + later)
    assert percent_of(releases) == [12.0]


@pytest.mark.parametrize(("trial", "season"), [(TRIAL, "2025"), ("other", SEASON)])
def test_a_season_without_an_answer_is_not_released(engine, releases, trial, season):
    night(engine, 12.0)
    with pytest.raises(InputError, match="no answer yet"):
        releases.release(trial, season, "lead")


def test_before_the_first_night_nothing_can_be_released(releases):
    with pytest.raises(InputError, match="no answer yet"):
        releases.release(TRIAL, SEASON, "lead")


def test_the_same_answer_is_not_released_twice(engine, releases):
    night(engine, 12.0)
    releases.release(TRIAL, SEASON, "lead")
    with pytest.raises(InputError, match="released already"):
        releases.release(TRIAL, SEASON, "lead")


def test_what_does_not_stand_is_not_taken_back(engine, releases):
    night(engine, 12.0)
    number = releases.release(TRIAL, SEASON, "lead")
    releases.take_back(number, "lead")
    with pytest.raises(InputError, match="does not stand"):
        releases.take_back(number, "lead")
