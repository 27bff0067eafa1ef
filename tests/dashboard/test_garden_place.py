"""What Watch and a garden's page say of places: why a number is withheld, what to mend, who lies close by."""

from datetime import date

import pandas as pd
import pytest

from dashboard.access.account import Account
from dashboard.data import View
from dashboard.figures.template import Screen
from dashboard.router import route
from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.simulate.network import Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from tests.dashboard.tree import text_of


@pytest.fixture(scope="module")
def view(tmp_path_factory):
    """After a night: G01 lacks its minus, G03 lies beside G02, the stations have a gap in June and July."""
    made = Network(
        gardens=5, faults=0.0, truth=Truth((0.2, 0.2), 0.0, 0.0, 0.1), seed=3, today=date(2024, 8, 20)
    )
    workspace = simulate(tmp_path_factory.mktemp("places") / "net", made)
    file = workspace.registry / "gardens.csv"
    gardens = pd.read_csv(file, dtype=str).set_index("site")
    gardens.loc["G01", "lon"] = gardens.loc["G01", "lon"].removeprefix("-")
    gardens.loc["G03", ["lon", "lat"]] = (
        gardens.loc["G02", "lon"],
        str(float(gardens.loc["G02", "lat"]) + 0.02),
    )
    gardens.reset_index().to_csv(file, index=False)
    for path in workspace.daily.glob("*.csv"):
        days = pd.read_csv(path, dtype=str, keep_default_na=False)
        days[~days["DATE"].between("20240610", "20240725")].to_csv(path, index=False)
    assert run_night(workspace).status == "published"
    engine = open_store(workspace.database_url)
    yield View(newest_snapshot(engine), Account("Ines", "lead"))
    engine.dispose()


def said(view, address):
    path, _, search = address.partition("?")
    return text_of(list(route(view, path, search, Screen()).main))


def test_a_season_with_gaps_says_so_and_shows_no_number(view):
    words = said(view, "/garden?garden=G02")
    assert "Weather withheld: days missing." in words
    assert "Rain of the season withheld" in words
    assert "Degree days withheld" in words
    assert "Freeze dates withheld: too few years on record." in words
    assert "Hardiness zone withheld: too few years on record." in words
    assert "nan" not in words.split()


def test_a_garden_outside_the_region_says_what_to_mend_and_has_no_place(view):
    words = said(view, "/garden?garden=G01")
    assert "Its coordinates cannot be used, so it has no place along the row." in words
    assert "on the other side of the ocean" in words
    assert "Correct it in registry/gardens.csv" in words
    assert "nan" not in words


def test_watch_lists_places_to_mend_and_gardens_close_to_each_other(view):
    words = said(view, "/watch")
    assert "Places to mend" in words
    assert "on the other side of the ocean" in words
    assert "Gardens close to each other" in words
    assert "2.2 km apart" in words


def test_a_garden_names_those_close_to_it(view):
    assert "Close to G03 (2.2\u00a0km)" in said(view, "/garden?garden=G02")
    assert "Close to G02 (2.2\u00a0km)" in said(view, "/garden?garden=G03")
    assert "Close to" not in said(view, "/garden?garden=G04")
