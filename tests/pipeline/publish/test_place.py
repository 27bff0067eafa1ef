"""What a night knows of places, and the words for what it does not know. Where a number may not stand (over
20 % of days estimated, over 250 km from a station, a tenth of days missing): common practice, no source."""

import gzip
import shutil
from datetime import date

import numpy as np
import pandas as pd
import pytest

from pipeline.nightly import run_night
from pipeline.publish.snapshot import newest_snapshot
from pipeline.settings import commented_file
from pipeline.simulate.network import TRIAL, Network, simulate
from pipeline.simulate.truth import Truth
from pipeline.store.engine import open_store
from pipeline.workspace import open_workspace
from sites.climate import read_stations
from sites.glossary import read_glossary

WEATHER = [
    "degree_days_c",
    "degree_days_c_per_day",
    "hot_days",
    "warm_nights",
    "tmax_mean_c",
    "reference_et_mm",
]


@pytest.fixture(scope="module")
def network(tmp_path_factory):
    """A small network before its night."""
    made = Network(gardens=6, faults=0.0, truth=Truth((0.2, 0.2), 0.0, 0.0, 0.1), seed=3)
    return simulate(tmp_path_factory.mktemp("place") / "net", made)


@pytest.fixture
def place(network, tmp_path):
    shutil.copytree(network.root, tmp_path / "net")
    return open_workspace(tmp_path / "net")


def published(workspace):
    assert run_night(workspace).status == "published"
    return newest_snapshot(open_store(workspace.database_url))


def attributes(snapshot):
    return snapshot.frame("attributes", TRIAL, "2024").set_index("site")


def garden(workspace, **changes):
    """Change the first garden of the registry and return its name."""
    file = workspace.registry / "gardens.csv"
    table = pd.read_csv(file, dtype=str)
    for column, value in changes.items():
        table.loc[0, column] = str(value)
    table.to_csv(file, index=False)
    return table.loc[0, "site"]


def station_file(workspace, number=0):
    return sorted(workspace.daily.glob("*.csv"))[number]


def write_in_fahrenheit(path):
    """Write a station's temperatures as tenths of °F where tenths of °C are expected."""
    table = pd.read_csv(path, dtype=str, keep_default_na=False)
    temperatures = table["ELEMENT"].isin(["TMAX", "TMIN"])
    column = "DATA_VALUE" if "DATA_VALUE" in table else "VALUE"
    celsius = table.loc[temperatures, column].astype(float) / 10
    table.loc[temperatures, column] = (celsius * 18 + 320).round().astype(int).astype(str)
    table.to_csv(path, index=False)


def weather_words(snapshot):
    said = snapshot.frame("sentences", TRIAL, "2024")
    return said[(said["place"] == "weather") & (said["language"] == "en")].iloc[0]


def test_every_column_that_pages_read_is_in_the_glossary_that_they_read(place):
    snapshot = published(place)
    glossary = snapshot.frame("glossary").set_index("name")
    assert list(attributes(snapshot).reset_index().columns) == [*glossary.index]
    assert (glossary["meaning"] != "").all()
    assert glossary["label_es"].tolist() == read_glossary()["label_es"].tolist()


def test_the_night_says_by_which_method_weather_is_carried_and_how_far_it_errs(place):
    snapshot = published(place)
    errors = snapshot.frame("station_errors")
    (used,) = set(errors.loc[errors["used"], "method"])
    assert set(errors["method"]) == {"A", "B"}
    assert set(attributes(snapshot)["weather_method"]) == {used}
    mae = errors[errors["group"] == "network"].set_index(["method", "element"])["mae"]
    ratio = float(np.exp(np.log(mae["B"] / mae["A"]).mean()))
    assert used == ("B" if ratio < 1 else "A")
    assert "stations" in weather_words(snapshot)["sentence"]


def test_a_garden_far_from_any_station_has_no_weather_and_is_told_why(place):
    file = place.climate / "stations.txt"
    lines = [line[:12] + " 10.0000   20.0000" + line[30:] for line in file.read_text().splitlines()]
    file.write_text("\n".join(lines))
    snapshot = published(place)
    told = attributes(snapshot)
    assert told[[*WEATHER, "rain_mm"]].isna().all(axis=None)
    assert set(told["weather_note"]) == {"weather missing: no station near enough"}
    assert "no station near enough" in weather_words(snapshot)["sure"]


def test_a_season_with_gaps_withholds_its_numbers_and_says_so(place):
    for path in sorted(place.daily.glob("*.csv")):
        table = pd.read_csv(path, dtype=str, keep_default_na=False)
        gap = table["DATE"].between("20240610", "20240725")
        table[~gap].to_csv(path, index=False)
    snapshot = published(place)
    told = attributes(snapshot)
    assert told[[*WEATHER, "rain_mm"]].isna().all(axis=None)
    assert set(told["weather_note"].str.split(";").str[0]) == {"weather withheld: days missing"}


@pytest.mark.parametrize(
    ("changes", "coordinates"),
    [
        ({"lon": 39.0, "lat": -98.0}, "swapped"),
        ({"lon": 98.0}, "longitude sign"),
        ({"lon": -70.0, "lat": 45.0}, "outside"),
    ],
)
def test_a_garden_outside_the_region_has_no_place_and_is_asked_about(place, changes, coordinates):
    site = garden(place, **changes)
    snapshot = published(place)
    gardens = snapshot.frame("gardens").set_index("site")
    assert gardens.loc[site, "coordinates"] == coordinates
    assert gardens.loc[site, ["position_km", "across_km", "county_fips"]].isna().all()
    told = attributes(snapshot).loc[site]
    assert told[["position_km", *WEATHER, "rain_mm", "ph"]].isna().all()
    assert told["weather_note"] == "weather missing: the garden's coordinates cannot be used"
    findings = snapshot.frame("findings")
    asked = findings[findings["check"].str.startswith("garden-place")]
    assert asked["site"].tolist() == [site]
    assert asked["message"].item()


def test_a_station_in_another_unit_is_left_out_and_named(place):
    sound = attributes(published(place))
    write_in_fahrenheit(station_file(place))
    snapshot = published(place)
    doubts = snapshot.frame("station_doubts")
    assert set(doubts.loc[doubts["doubt"] == "fahrenheit", "column"]) == {"tmax_c", "tmin_c"}
    assert "looks like °F where °C is expected" in doubts["said_en"].iloc[0]
    (line,) = snapshot.frame("stations_in_doubt").to_dict("records")
    assert line["values"] == doubts["days"].sum()
    assert (line["first_day"], line["last_day"]) == (doubts["first_day"].min(), doubts["last_day"].max())
    assert line["said_en"].startswith(f"{line['station']} ({line['name']}): ")
    assert "daily values are left out, January 1, 2024 to December 31, 2024." in line["said_en"]
    told = attributes(snapshot)
    assert told["tmax_mean_c"].dropna().sub(sound["tmax_mean_c"]).abs().max() < 3.0
    assert "contradict" in weather_words(snapshot)["sure"]


def test_the_week_s_weather_is_that_of_the_believed_stations(place):
    """No air temperature over 56.7 °C was ever seen at a station (World Meteorological Organization)."""
    for number in (0, 1):
        write_in_fahrenheit(station_file(place, number))
    running = place.settings.model_copy(update={"today": date(2024, 8, 1)})
    (place.root / "network.toml").write_text(commented_file(running))
    events = published(open_workspace(place.root)).frame("weather_events", TRIAL, "2024")
    assert len(events)
    assert events["value_c"].max() < 50


def test_a_network_without_stations_says_that_there_is_no_weather(place):
    shutil.rmtree(place.climate)
    snapshot = published(open_workspace(place.root))
    assert weather_words(snapshot)["sentence"].startswith("There is no weather")
    assert attributes(snapshot)[[*WEATHER, "rain_mm"]].isna().all(axis=None)


def test_a_gardens_own_soil_test_goes_before_the_map_and_says_when(place):
    site = garden(place)
    (place.inbox / site).mkdir(exist_ok=True)
    (place.inbox / site / "soil.csv").write_text(
        "site,date,bed,bed_type,ph,ph_in,sand_pct,silt_pct,clay_pct,lab\n"
        f"{site},2024-04-02,1,in ground,6.8,water,40,40,20,County lab\n"
    )
    told = attributes(published(place))
    assert told.loc[site, "ph"] == 6.8
    assert told.loc[site, "texture"] == "loam"
    assert "own test" in told.loc[site, "soil_source"]
    assert told.loc[site, "soil_tested_on"] == pd.Timestamp("2024-04-02")
    others = told.drop(site)
    assert set(others["soil_source"]) == {"map unit"}
    assert others["soil_tested_on"].isna().all()


def test_a_packed_record_in_the_folder_is_read_too(place):
    path = station_file(place)
    path.with_name(f"{path.name}.gz").write_bytes(gzip.compress(path.read_bytes()))
    path.unlink()
    errors = published(place).frame("station_errors")
    told = set(errors.loc[errors["group"] == "station", "name"])
    assert told == set(read_stations(place.climate / "stations.txt")["station"])
