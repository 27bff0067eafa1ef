"""Stored script and spreadsheet formulas in everything that people write, on pages and in downloads."""

import io

import pandas as pd
import pytest
from markupsafe import escape

from dashboard.access import people
from dashboard.app import create_app
from dashboard.router import PAGES
from dashboard.tables import as_csv
from pipeline.publish.frames import FRAMES
from pipeline.store.engine import writing
from tests.dashboard.access.network import PASSPHRASE, stored
from tests.dashboard.browsing import browsing

MARKUP = '<img src=x onerror="alert(1)">'
SCRIPTS = [MARKUP, "</title><script>alert(1)</script>", "javascript:alert(1)", "{{ 7*7 }}", "${7*7}"]
#: CWE-1236: what a spreadsheet runs where a cell starts with it.
FORMULAS = ["=1+1", "+1+1", "-1+1", "@SUM(1)", "\t=1+1", "\r=1+1"]
#: Text that pages look up by; poisoned, it would name nothing.
KEYS = {"site", "trial", "season", "treatment", "control", "state", "primary_outcome", "outcome", "axis"}
KEYS |= {"place", "language", "variance_from", "colour_light", "colour_dark", "outline", "crop", "verdict"}


def poisoned(published, text: str):
    """Return the snapshot with `text` in every field that people or files fill."""
    trials = published.frame("trials")
    for frame in FRAMES:
        columns = [one.name for one in frame.columns if one.kind == "text" and one.name not in KEYS]
        places = (
            [(row.trial, row.season) for row in trials.itertuples()] if frame.per_season else [(None, None)]
        )
        for trial, season in places:
            rows = published.frame(frame.name, trial, season)
            published = published.replacing(
                rows.assign(**dict.fromkeys(columns, text)), frame.name, trial, season
            )
    return published


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
def test_markup_in_the_data_stays_text_in_every_table_of_a_page(published, page):
    client = browsing(create_app(lambda: poisoned(published, MARKUP)))
    for figure in page.tables:
        text = client.get(f"/table/{page.name}?figure={figure}").text
        assert MARKUP not in text
        assert "<img" not in text


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.path)
@pytest.mark.parametrize("formula", FORMULAS)
def test_no_formula_in_the_data_runs_in_any_download_of_a_page(published, page, formula):
    client = browsing(create_app(lambda: poisoned(published, formula)))
    for figure in page.tables:
        answer = client.get(f"/download/{page.name}.csv?figure={figure}")
        if answer.status_code == 404 or not answer.text.strip():
            continue
        rows = pd.read_csv(io.StringIO(answer.text), dtype="str", keep_default_na=False)
        cells = {cell for column in rows for cell in (column, *rows[column])}
        assert not {cell for cell in cells if cell.startswith(("=", "@", "\t", "\r", "\n", "+", "-1+1"))}


def test_headings_of_columns_cannot_run_either():
    first = as_csv(pd.DataFrame({"=1+1": [1], "name": ["x"]})).splitlines()[0]
    assert first.split(",")[0] == "'=1+1"


@pytest.mark.parametrize("script", SCRIPTS)
def test_a_persons_name_is_text_wherever_it_stands(fresh, script):
    with writing(fresh.engine) as connection:
        made = people.add(
            connection, script, "volunteer", ["G05"], known_gardens=["G05"], made_by=script, now=fresh.clock()
        )
        people.set_passphrase(connection, made, stored(PASSPHRASE))
    lead = fresh.signed_in("lead")
    pages = [lead.get("/people").text, lead.post(f"/people/{made.id}/link").text]
    refused = fresh.browser()
    form = {
        "name": script,
        "passphrase": "wrong",
        "next": script,
        "proof": refused.environ_base["HTTP_X_CSRFTOKEN"],
    }
    pages.append(refused.post("/sign-in", data=form).text)
    assert all(str(escape(script)) in text for text in pages)
    for text in pages:
        assert "<img src=x" not in text
        assert "<script>alert" not in text


@pytest.mark.parametrize("script", SCRIPTS)
@pytest.mark.parametrize(
    "address", ["/sign-in?lang={}", "/moon?garden={}", "/watch?garden={}", "/{}", "/come-in/{}"]
)
def test_an_address_is_never_answered_as_markup(fresh, script, address):
    for client in (fresh.browser(), fresh.signed_in("volunteer")):
        text = client.get(address.format(script)).text
        assert "<img src=x" not in text
        assert "<script>alert" not in text
