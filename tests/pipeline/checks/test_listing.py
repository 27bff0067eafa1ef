"""The catalogue that people read is made from the checks themselves, and is never behind them."""

import json
from pathlib import Path

from typer.testing import CliRunner

from pipeline.checks import listing
from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.words import catalogue_words
from pipeline.cli import app
from sites.crops import read_crops

DOCUMENT = Path(listing.__file__).with_name("CATALOGUE.md")


def run(*options):
    result = CliRunner().invoke(app, ["checks", *options])
    assert result.exit_code == 0
    return result.stdout


def test_the_document_is_what_the_command_prints():
    assert DOCUMENT.read_text(encoding="utf-8") == run("--markdown"), "run: make words"


def test_every_check_is_listed_once():
    names = [one.name for one in listing.listed_checks()]
    assert sorted(names) == sorted(EVERY_CHECK)


def test_checks_of_one_theme_stand_together():
    themes = [one.theme for one in listing.listed_checks()]
    changes = [now for before, now in zip(["", *themes], themes, strict=False) if now != before]
    assert len(changes) == len(set(changes))


def test_programs_get_words_in_both_languages_and_the_limits_of_crops():
    document = json.loads(run("--json"))
    words = catalogue_words()["weight-blank"]
    (one,) = (check for check in document["checks"] if check["check"] == "weight-blank")
    assert (one["level"], one["sheets"], one["when"]) == (words["level"], words["sheet"], words["when"])
    assert one["words"]["es"]["message"] == words["message_es"]
    # Eggplant: the band of the crop table, and three times its top as the limit beyond which a row waits.
    (mass,) = (
        limit
        for limit in document["crop_limits"]
        if (limit["crop"], limit["limit"]) == ("eggplant", "weight of a fruit")
    )
    assert (mass["low"], mass["high"], mass["hard_high"], mass["unit"]) == (100, 700, 2100, "g")
    assert mass["source"]


def test_every_limit_of_a_crop_has_its_source():
    assert all(limit["source"] for limit in listing.crop_limits(read_crops()))


def test_a_person_sees_every_check_in_a_line():
    lines = run().splitlines()
    assert sum(line.startswith("  ") for line in lines) == len(EVERY_CHECK)
