"""Notes on a season in words, in both languages and the network's units; never a forecast, never "safe"."""

import shutil
import string
from datetime import date

import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish.note_words import NOTE_WORDS
from pipeline.publish.snapshot import newest_snapshot
from pipeline.publish.stations import station_words
from pipeline.settings import commented_file
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from sites import season_notes
from sites.climate.doubts import RAIN_FACTORS

FREEZES = "station,year,last_spring,first_fall\n"


@pytest.fixture(scope="module")
def network(tmp_path_factory):
    made = Network(
        gardens=5, faults=0.0, truth=Truth((0.2, 0.2), 0.0, 0.0, 0.1), seed=3, today=date(2024, 8, 1)
    )
    return simulate(tmp_path_factory.mktemp("notes") / "net", made)


@pytest.fixture
def place(network, tmp_path):
    shutil.copytree(network.root, tmp_path / "net")
    return open_workspace(tmp_path / "net")


def notes(workspace, language="en"):
    assert run_night(workspace).status == "published"
    frame = newest_snapshot(open_store(workspace.database_url)).frame("season_notes", TRIAL, "2024")
    return frame[frame["language"] == language]


def test_freeze_dates_of_past_years_tell_when_tender_plants_go_out(place):
    stations = [path.name.split(".")[0] for path in place.daily.glob("*.csv")]
    rows = [
        f"{name},{year},{year}-04-{year - 1989:02},{year}-10-10\n"
        for name in stations
        for year in range(1990, 2020)
    ]
    (place.climate / "freezes.csv").write_text(FREEZES + "".join(rows))
    told = notes(place).set_index("code")
    late = told.loc["freeze-one-in-ten"]
    assert set(late["from_date"]) == {pd.Timestamp("2024-04-28")}
    assert (
        late["sentence"]
        .iloc[0]
        .startswith("After April 28, 2024, a freeze still came in 1 of 10 past years.")
    )
    assert set(told["defer"]) == {"Your county and garden rules come first."}


def test_lead_in_a_soil_test_is_told_in_both_languages(place):
    (place.inbox / "lead.csv").write_text("site,date,bed,lead_ppm,lab\nG01,2024-04-02,1,250,County lab\n")
    (place.inbox / "G01").mkdir(exist_ok=True)
    shutil.move(place.inbox / "lead.csv", place.inbox / "G01" / "lead.csv")
    english = notes(place).set_index("code").loc[["lead-above-screening"]]
    assert english["site"].tolist() == ["G01"]
    assert "found 250 ppm of lead. Please call your health department" in english["sentence"].item()


@pytest.mark.parametrize("problem", ["Flooded after the storm", "inundación", "FLOOD"])
def test_a_flood_that_was_noted_tells_what_to_discard_and_how_long_to_wait(place, problem):
    """90 days from the flood to fruit that formed after it and is off the soil (Nebraska Extension)."""
    folder = place.inbox / "G01"
    folder.mkdir(exist_ok=True)
    looks = f"site,plot,date,alive,problem\nG01,1,2024-06-20,2,flood\nG01,1,2024-07-01,2,{problem}\n"
    (folder / "flood.csv").write_text(looks)
    told = notes(place).set_index("code")
    told = told[told["kind"] == "flood"]
    assert sorted(told.index) == ["flood-discard", "flood-wait"]
    assert set(told["site"]) == {"G01"}
    assert told.loc["flood-wait", "from_date"] == pd.Timestamp("2024-09-29")
    assert told.loc["flood-discard", "sentence"].startswith("Flood water was noted on July 1, 2024.")
    assert "until September 29, 2024. Ask the health department" in told.loc["flood-wait", "sentence"]


def test_other_problems_are_no_flood(place):
    folder = place.inbox / "G01"
    folder.mkdir(exist_ok=True)
    (folder / "look.csv").write_text(
        "site,plot,date,alive,problem\nG01,1,2024-07-01,2,standing water on leaves\n"
    )
    assert "flood" not in set(notes(place)["kind"])


def test_temperatures_are_told_in_the_networks_units(place):
    us = notes(place).set_index("code")["sentence"]
    assert us["soil-warm"].str.contains("60 °F").all()
    si = open_workspace(place.root).settings.model_copy(update={"units": "si"})
    (place.root / "network.toml").write_text(commented_file(si))
    assert (
        notes(open_workspace(place.root))
        .set_index("code")["sentence"]["soil-warm"]
        .str.contains("16 °C")
        .all()
    )


def test_after_the_close_only_what_happened_is_told(place):
    later = place.settings.model_copy(update={"today": date(2024, 12, 1)})
    (place.root / "network.toml").write_text(commented_file(later))
    codes = set(notes(open_workspace(place.root))["code"])
    assert not {code for code in codes if code.startswith(("heat", "freeze", "harden", "soil"))}


def test_every_note_and_doubt_has_words_in_both_languages():
    bands = [*season_notes.HEAT_BANDS, *season_notes.LEAD_BANDS[1:]]
    kinds = ["heat"] * len(season_notes.HEAT_BANDS) + ["lead"] * (len(season_notes.LEAD_BANDS) - 1)
    codes = {f"{kind}-{name.replace(' ', '-')}" for kind, (_, name) in zip(kinds, bands, strict=True)}
    told_of = {season_notes.LOCAL_RULES_FIRST, "flood-discard", "flood-wait"}
    assert codes | told_of <= set(NOTE_WORDS)
    assert not any(" safe" in sentence for sentence in NOTE_WORDS.values())
    assert set(RAIN_FACTORS.values()) <= set(station_words())
    for words in station_words().values():
        placeholders = [
            {name for _, name, _, _ in string.Formatter().parse(words[f"said_{language}"]) if name}
            for language in ("en", "es")
        ]
        assert placeholders[0] == placeholders[1]
        assert words["said_en"]
