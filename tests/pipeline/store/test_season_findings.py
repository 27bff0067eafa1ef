"""A question about a whole season is asked once, settled by an answer, and closed when its cause is gone."""

import pandas as pd
import pytest
import sqlalchemy as sa

from pipeline.beside import context_of
from pipeline.corrections import read_corrections
from pipeline.season_checks import check_season
from pipeline.store.engine import writing
from pipeline.store.tables import findings
from pipeline.surroundings import read_surroundings

#: Plot 2 of block 1 bears nothing while the other plot of its treatment in the garden, 3, is picked.
PICKED = tuple(f"{plot} {day} 1.0" for day in ("07-01", "07-08", "07-15", "07-22") for plot in (1, 3, 4))


class Seasons:
    """Runs nights with the checks of the season."""

    def __init__(self, nights):
        self.nights = nights
        self.run = 0

    def night(self, *rows):
        self.nights.night(*rows)
        self.run += 1
        workspace = self.nights.workspace
        surroundings = read_surroundings(workspace)
        places = pd.DataFrame({"site": [], "season": [], "degree_days_c_per_day": [], "rain_mm_per_day": []})
        with writing(self.nights.engine) as connection:
            check_season(
                connection,
                self.run,
                "2024",
                context_of(workspace, surroundings),
                read_corrections(workspace.registry, workspace.today(), "lb"),
                places,
            )
        return [check for check in self.nights.asked() if check == "plot-never-yields"]

    def asked(self):
        open_ones = sa.select(findings.c.finding_id).where(
            findings.c.check == "plot-never-yields", findings.c.left.is_(None)
        )
        with self.nights.engine.connect() as connection:
            return list(connection.execute(open_ones).scalars())


@pytest.fixture
def seasons(nights):
    return Seasons(nights)


def test_a_plot_that_never_yields_is_asked_about_once_over_three_nights(seasons):
    assert seasons.night(*PICKED) == ["plot-never-yields"]
    first = seasons.asked()
    assert seasons.night(*PICKED, "1 07-29 1.0") == ["plot-never-yields"]
    assert seasons.night() == ["plot-never-yields"]
    assert seasons.asked() == first


def test_the_question_is_closed_once_its_cause_is_gone(seasons):
    seasons.night(*PICKED)
    assert seasons.night(*PICKED, "2 07-08 0.8") == []


def test_an_answer_settles_it_for_the_season(seasons):
    seasons.night(*PICKED)
    (finding,) = seasons.asked()
    seasons.nights.decide("use it", finding_id=finding, why="eaten by deer")
    assert seasons.night() == []
    assert seasons.night(*PICKED, "1 07-29 1.0") == []


def test_an_answer_taken_back_lets_it_be_asked_again(seasons):
    seasons.night(*PICKED)
    (finding,) = seasons.asked()
    decision = seasons.nights.decide("use it", finding_id=finding)
    seasons.night()
    seasons.nights.undo(decision)
    assert seasons.night() == ["plot-never-yields"]
