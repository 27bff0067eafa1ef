"""What the words of a question tell people to choose stands on a button, and the other way around."""

import json
import re
from datetime import date
from types import SimpleNamespace

import pytest

from dashboard.address import Address
from dashboard.pages.my_garden_open import open_slips
from dashboard.pages.volunteer import Volunteer
from dashboard.sending.ways import RIGHT, Reader, ways
from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.words import catalogue_words, in_words, values_of
from tests.dashboard.tree import find, text_of

ASKED = sorted(name for name, words in catalogue_words().items() if words["level"] != "note")
#: Ways whose buttons say neither a value nor "Yes, ..." and so have to be named by the words.
OWN_WORDS = {RIGHT, "switch", "times", "blank", "two", "out"}
READINGS = {"kg": {"number": 1360.0, "unit": "g", "kg": 1.36}}
#: What some checks find besides the row itself.
DETAILS = {
    "date-year-slip": {"suggest": "2025-08-12"},
    "date-two-ways": {"date": "2025-08-06", "other": "2025-06-08"},
    "number-two-ways": {"read": 1.25, "other": 1250.0},
    "plot-turned-date": {"suggest": "1-2"},
    "pounds-ounces-point": {"suggest": 1.08},
    "height-odd": {"suggest": 60.0},
    **{name: {"suggest": READINGS} for name in ("weight-unit-slip", "weight-unit-maybe", "decimal-slip")},
}
COLUMNS = {"height-odd": "height_cm", "unit-unknown": "unit", "date-year-slip": "date"}


def finding_of(check: str) -> dict[str, object]:
    """Return a finding of a check about one cell of one row of a sheet that was sent."""
    return {
        "check": check,
        "level": catalogue_words()[check]["level"],
        "line": 3,
        "column": COLUMNS.get(check, "marketable_weight"),
        "plot": "2",
        "sent": "12",
        "row_id": 7,
        "finding_id": 9,
        "kind": "harvest",
        "season": "2025",
        "date": date(2025, 8, 12),
        "file": "sheet.csv",
        "sha256": "0" * 64,
        "tab": None,
        "sheet": "harvest",
        "details": json.dumps(DETAILS.get(check, {})),
    }


def named(check: str, finding: dict[str, object], language: str) -> set[str]:
    """Return the answers that the words of a finding name."""
    values = values_of(EVERY_CHECK[check], finding | {"garden": "Windmill Lot"}, language, "us")
    # A value that this finding lacks is there in another one, and its sentence with it.
    missing = {name: f"[{name}]" for name in catalogue_words()[check]["placeholders"].split()}
    words = in_words(check, missing | {name: text for name, text in values.items() if text}, language)
    return set(re.findall("“([^”]+)”", words.remedy))


def on_my_garden(finding: dict[str, object], reader: Reader) -> set[str]:
    """Return what can be pressed below a finding on the garden's own page."""
    gate = SimpleNamespace(
        engine=object(),
        open_questions=lambda site: [finding],
    )
    trial = SimpleNamespace(season="2025")
    of = Volunteer(None, reader.language, reader, Address("/my-garden", {"garden": "K01"}))
    (slip,) = find(open_slips(SimpleNamespace(gate=gate), trial, of, []), "Article")
    pressed = [*find(slip, "Button"), *find(slip, "A"), *find(slip, "Summary")]
    return {text_of(one) for one in pressed}


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("check", ASKED)
def test_every_answer_that_is_named_has_its_button(check, language):
    finding, reader = finding_of(check), Reader(language, "us", "K01", ("1", "2"))
    answers = named(check, finding, language)
    assert answers <= {way.label for way in ways(finding, reader)}
    assert answers <= on_my_garden(finding, reader)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("check", ASKED)
def test_every_button_with_words_of_its_own_is_named(check, language):
    finding = finding_of(check)
    offered = ways(finding, Reader(language, "us", "K01", ("1", "2")))
    own = {way.label for way in offered if way.name in OWN_WORDS}
    assert own <= named(check, finding, language)


@pytest.mark.parametrize("check", ["tag-differs", "tags-swapped", "union-on-own-root"])
def test_a_question_of_which_plants_grow_in_a_plot_stays_open_until_the_lead_has_seen_it(check):
    # A right row would close the question and leave the map as it is.
    finding = finding_of(check)
    assert RIGHT not in {way.name for way in ways(finding, Reader("en", "us", "K01", ("1", "2")))}
    assert "It is right" not in on_my_garden(finding, Reader("en", "us", "K01", ("1", "2")))


def test_a_note_names_no_answer_as_it_has_no_button():
    notes = [words for words in catalogue_words().values() if words["level"] == "note"]
    told = " ".join(words["remedy_en"] + words["remedy_es"] for words in notes)
    assert re.findall("(?:choose|elija) “", told) == []


def test_what_mends_a_whole_sheet_is_one_click_from_the_gardens_own_page():
    finding, reader = finding_of("columns-swapped"), Reader("en", "us", "K01")
    assert "Switch them" in on_my_garden(finding, reader)
    assert "Switch them" not in on_my_garden(finding | {"sha256": None}, reader)


def test_the_answer_about_one_season_leaves_the_question_about_another_to_be_asked():
    check = ASKED[0]
    asked = [finding_of(check) | {"row_id": None, "finding_id": number, "line": number} for number in (9, 10)]
    gate = SimpleNamespace(engine=object(), open_questions=lambda site: asked)
    of = Volunteer(None, "en", Reader("en", "us", "K01", ("1", "2")), Address("/my-garden", {}))
    given = [{"kind": "harvest", "row_id": None, "finding_id": 9}]
    page = open_slips(SimpleNamespace(gate=gate), SimpleNamespace(season="2025"), of, given)
    assert [text_of(slip).split()[1] for slip in find(page, "Article")] == ["10"]
