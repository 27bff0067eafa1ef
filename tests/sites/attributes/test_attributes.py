"""Attributes of gardens and seasons, from the invented demo network."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from sites.attributes import Sources, attributes, season_windows
from sites.attributes.states import weather_note
from sites.climate import (
    at_garden,
    freeze_risk,
    growing_degree_days,
    hargreaves,
    heat_index_days,
    longest_dry_spell,
    read_freezes,
    station_days,
)
from sites.climate.interpolation import Interpolation
from sites.crops import read_crops
from sites.errors import InputError
from sites.geography import Axis, position_km
from sites.glossary import read_glossary
from sites.soil import read_map_units

AXIS = Axis(origin=(-102.0517, 38.5), centre=(-98.35, 38.5))
GARDENS = pd.DataFrame(
    [
        ("WEST", -101.7052, 39.3441, 1118.0),
        ("MIDDLE", -97.6159, 38.8317, 373.0),
        ("EAST", -94.7071, 37.4148, 280.0),
        ("SWAPPED", 38.8317, -97.6159, 373.0),
        ("NOWHERE", np.nan, np.nan, np.nan),
    ],
    columns=["site", "lon", "lat", "elevation_m"],
)
SEASON = pd.DataFrame(
    [{"season": 2025, "trial": "T1", "crop": "tomato", "start": "2025-05-10", "end": "2025-09-20"}]
)


@pytest.fixture(scope="module")
def sources(stations, daily, counties, sample_data):
    units = read_map_units(sample_data / "soil" / "map_units.geojson")
    normals = pd.read_csv(sample_data / "climate" / "normals.csv")
    risk = freeze_risk(read_freezes(sample_data / "climate" / "freezes.csv"))
    return Sources(stations, daily, counties, read_crops(), units, None, normals, freeze_risk=risk)


@pytest.fixture(scope="module")
def table(sources):
    return attributes(GARDENS, SEASON, sources, AXIS).set_index("site")


def daily_at(sources, site="MIDDLE", start="2025-05-10", end="2025-09-20", **options):
    garden = GARDENS.set_index("site").loc[site]
    place = (garden["lon"], garden["lat"], garden["elevation_m"])
    return at_garden(sources.stations, sources.daily, *place, start, end, **options)


def test_there_is_one_row_for_each_garden_and_season(sources):
    two = pd.concat([SEASON, SEASON.assign(season=2024, start="2024-05-10", end="2024-09-20")])
    found = attributes(GARDENS, two, sources, AXIS)
    assert len(found) == 10
    assert not found.duplicated(["site", "season", "trial"]).any()


def test_every_column_is_in_the_glossary_in_its_order(table):
    assert ["site", *table.columns] == read_glossary().index.tolist()


def test_every_glossary_entry_has_labels_and_a_meaning():
    glossary = read_glossary()
    assert (glossary[["label_en", "label_es", "meaning"]] != "").all(axis=None)
    numbers = glossary.index.str.contains(r"_(?:km|m|c|mm|pct|days)$")
    assert (glossary.loc[numbers, "unit"] != "").all()


def test_a_garden_stands_at_its_position_in_its_county(table):
    middle = table.loc["MIDDLE"]
    assert middle["position_km"] == pytest.approx(position_km(-97.6159, 38.8317, *AXIS[:2]))
    assert (middle["county_fips"], middle["county_match"], middle["coordinates"]) == (
        "20169",
        "inside",
        "good",
    )


def test_sums_are_those_of_the_daily_weather_at_the_garden(table, sources):
    days, middle = daily_at(sources), table.loc["MIDDLE"]
    heat = growing_degree_days(days["tmax_c"], days["tmin_c"], 10, 30, "clamped")
    et = hargreaves(days["tmax_c"], days["tmin_c"], 38.8317, days.index.day_of_year)
    assert middle["degree_days_c"] == pytest.approx(heat.sum())
    assert middle["degree_days_c_per_day"] == pytest.approx(heat.mean())
    assert middle["hot_days"] == (days["tmax_c"] > 29.4).sum()
    assert middle["very_warm_nights"] == (days["tmin_c"] > 24).sum()
    assert middle["cold_nights"] == (days["tmin_c"] < 12.8).sum()
    felt = heat_index_days(days["tmax_c"], days["tmin_c"], 90.0)
    assert 0 < middle["heat_index_103f_days"] < middle["heat_index_90f_days"] == felt
    assert "FAO-56" in middle["heat_index_humidity"]
    assert middle["rain_mm"] == pytest.approx(days["prcp_mm"].sum())
    assert middle["reference_et_mm"] == pytest.approx(et.sum())
    assert middle["rain_minus_et_mm"] == pytest.approx(days["prcp_mm"].sum() - et.sum())
    assert middle["tmax_mean_c"] == pytest.approx(days["tmax_c"].mean())


def test_dry_spells_are_voted_because_averages_rain_too_often(table, sources):
    assert table.loc["MIDDLE", "longest_dry_spell_days"] >= longest_dry_spell(daily_at(sources)["prcp_mm"])


def test_the_west_is_cooler_drier_and_earlier_than_the_east(table):
    west, east = table.loc["WEST"], table.loc["EAST"]
    assert west["degree_days_c"] < east["degree_days_c"]
    assert west["freeze_free_days"] < east["freeze_free_days"]
    assert west["ph"] > east["ph"]
    assert west["organic_matter_pct"] < east["organic_matter_pct"]


def test_a_freeze_is_called_from_minima_that_were_not_moved_to_the_gardens_height(table, sources):
    days = daily_at(sources, "WEST", "2025-01-01", "2025-12-31", lapse_tmin=0.0)
    freezing = days.index[(days["tmin_c"] * 1.8 + 32) < 32.5]
    assert table.loc["WEST", "last_freeze"] == freezing[freezing < "2025-07-24"].max()
    assert table.loc["WEST", "first_freeze"] == freezing[freezing >= "2025-07-24"].min()
    assert table.loc["WEST", "last_freeze_state"] == "complete"


def test_a_fall_that_the_record_does_not_reach_has_no_first_freeze(sources):
    until_august = replace(sources, daily=sources.daily[sources.daily["date"] < "2025-08-20"])
    found = attributes(GARDENS.iloc[:1], SEASON, until_august, AXIS).iloc[0]
    assert pd.isna(found["first_freeze"])
    assert found["first_freeze_state"] == "withheld: days missing"
    assert found["last_freeze_state"] == "complete"


@pytest.mark.parametrize(("site", "coordinates"), [("SWAPPED", "swapped"), ("NOWHERE", "missing")])
def test_a_garden_without_usable_coordinates_gets_no_number_that_pretends(table, site, coordinates):
    row = table.loc[site]
    numbers = [
        "position_km",
        "north_km",
        "degree_days_c",
        "rain_mm",
        "reference_et_mm",
        "ph",
        "nearest_station_km",
    ]
    assert row["coordinates"] == coordinates
    assert row[[*numbers, "last_freeze", "county_fips"]].isna().all()
    assert row["temperature_state"] == row["rain_state"] == "withheld: no usable coordinates"


def test_a_window_is_cut_at_today_and_says_so(sources):
    found = attributes(GARDENS.iloc[:1], SEASON, sources, AXIS, today="2025-06-08").iloc[0]
    assert (found["window_end"], found["window_days"]) == (pd.Timestamp("2025-06-08"), 30)


def test_a_season_that_has_not_started_has_no_numbers_yet(sources):
    found = attributes(GARDENS, SEASON, sources, AXIS, today="2025-05-01").set_index("site")
    assert found.loc["WEST", "temperature_state"] == "not yet started"
    assert found["degree_days_c"].isna().all()
    assert found.loc["WEST", "window_days"] == 0


def test_a_gardens_window_starts_with_its_own_planting(sources):
    planted = pd.DataFrame(
        {"site": ["WEST"], "season": [2025], "trial": ["T1"], "planted_on": ["2025-06-01"]}
    )
    found = attributes(GARDENS.iloc[:2], SEASON, replace(sources, plantings=planted), AXIS).set_index("site")
    late = attributes(GARDENS.iloc[:2], SEASON.assign(start="2025-06-01"), sources, AXIS).set_index("site")
    numbers = found.select_dtypes("number").columns
    assert found.loc["WEST", "window_start"] == pd.Timestamp("2025-06-01")
    assert found.loc["MIDDLE", "window_start"] == pd.Timestamp("2025-05-10")
    assert found.loc["WEST", numbers].tolist() == pytest.approx(
        late.loc["WEST", numbers].tolist(), nan_ok=True
    )


def without(daily, start, end, share=1.0):
    """The daily table with all values of some days missing at every station."""
    gone = daily["date"].between(start, end)
    return daily.assign(**{name: daily[name].mask(gone) for name in ("tmax_c", "tmin_c", "prcp_mm")})


def test_a_few_missing_days_are_filled_for_temperature_and_withhold_rain(sources, table):
    gappy = replace(sources, daily=without(sources.daily, "2025-07-01", "2025-07-03"))
    found = attributes(GARDENS.iloc[1:2], SEASON, gappy, AXIS).iloc[0]
    assert found["temperature_state"] == "complete"
    assert found["temperature_estimated_pct"] == pytest.approx(100 * 3 / 134)
    assert found["degree_days_c"] == pytest.approx(table.loc["MIDDLE", "degree_days_c"], rel=0.02)
    assert np.isnan(found["rain_mm"])
    assert found["rain_state"] == "withheld: days missing"


def test_over_five_percent_of_missing_days_withhold_temperature_too(sources):
    gappy = replace(sources, daily=without(sources.daily, "2025-07-01", "2025-07-08"))
    found = attributes(GARDENS.iloc[1:2], SEASON, gappy, AXIS).iloc[0]
    assert found["temperature_state"] == "withheld: days missing"
    assert np.isnan(found["degree_days_c"])
    assert np.isnan(found["rain_minus_et_mm"])


def test_a_missing_height_leaves_temperatures_uncorrected_and_is_seen(sources):
    heightless = attributes(GARDENS.iloc[:1].assign(elevation_m=np.nan), SEASON, sources, AXIS).iloc[0]
    assert np.isnan(heightless["elevation_m"])
    assert heightless["degree_days_c"] > 0


def own_station(daily, silent_days):
    """A station at the garden that is silent on some days of the season, beside the demo's own."""
    dates = pd.date_range("2025-01-01", "2025-12-31")
    own = pd.DataFrame({"station": "OWN", "date": dates, "tmax_c": 30.0, "tmin_c": 15.0, "prcp_mm": 1.0})
    silent = own["date"].isin(pd.date_range("2025-06-01", periods=silent_days))
    own.loc[silent, ["tmax_c", "tmin_c", "prcp_mm"]] = np.nan
    return pd.concat([daily.astype({"station": "str"}), own.assign(prcp_trace=False, set_aside=0)])


@pytest.mark.parametrize(
    ("silent_days", "state", "known"),
    [
        (6, "complete", True),
        (7, "some days estimated", True),
        (26, "some days estimated", True),
        (27, "withheld: over 20 % of days estimated", False),
    ],
)
def test_estimated_days_mark_over_5_and_withhold_over_20_percent(sources, silent_days, state, known):
    """134 days: 5 % are 6.7 and 20 % are 26.8."""
    here = pd.DataFrame(
        [{"station": "OWN", "name": "", "state": "", "lon": -97.6159, "lat": 38.8317, "elevation_m": 373.0}]
    )
    near = replace(
        sources, stations=pd.concat([sources.stations, here]), daily=own_station(sources.daily, silent_days)
    )
    found = attributes(GARDENS.iloc[1:2], SEASON, near, AXIS).iloc[0]
    assert found["temperature_state"] == found["rain_state"] == state
    assert (not np.isnan(found["degree_days_c"])) is known
    assert found["nearest_station_km"] == pytest.approx(0.0, abs=1e-6)
    assert not found["stations_far"]


def test_a_network_without_stations_in_reach_says_so(sources):
    far = replace(sources, stations=sources.stations.assign(lon=sources.stations["lon"] + 40))
    found = attributes(GARDENS.iloc[:1], SEASON, far, AXIS).iloc[0]
    assert found["temperature_state"] == "withheld: no station near enough"
    assert np.isnan(found["degree_days_c"])


def test_a_season_departs_from_its_normals_by_what_they_differ(sources):
    flat = sources.normals.assign(tmax_c=20.0, tmin_c=10.0, prcp_mm=0.0)
    level = Interpolation(lapse_tmax=0.0, lapse_tmin=0.0)
    found = attributes(GARDENS.iloc[1:2], SEASON, replace(sources, normals=flat), AXIS, method=level).iloc[0]
    mean = (found["tmax_mean_c"] + found["tmin_mean_c"]) / 2
    assert found["mean_temperature_departure_c"] == pytest.approx(mean - 15.0)
    assert found["rain_departure_mm"] == pytest.approx(found["rain_mm"])


def test_without_normals_there_is_no_departure(sources):
    found = attributes(GARDENS.iloc[:1], SEASON, replace(sources, normals=None), AXIS)
    assert found["rain_departure_mm"].isna().all()


def test_a_soil_test_is_preferred_and_its_date_told(sources):
    tests = pd.DataFrame({"site": ["EAST"], "date": ["2025-04-01"], "ph": [5.0]})
    found = attributes(GARDENS, SEASON, replace(sources, soil_tests=tests), AXIS).set_index("site")
    assert found.loc["EAST", ["ph", "soil_source"]].tolist() == [5.0, "map unit and own test"]
    assert found.loc["EAST", "soil_tested_on"] == pd.Timestamp("2025-04-01")
    assert found.loc["WEST", "soil_source"] == "map unit"


def test_a_crop_without_limits_of_its_own_is_judged_by_general_ones(sources):
    okra = attributes(GARDENS.iloc[:1], SEASON.assign(crop="okra"), sources, AXIS).iloc[0]
    assert okra["heat_limits"] == "general"
    assert okra["degree_day_method"] == "average, 15.6 °C"


def test_batches_change_nothing(sources, table):
    small = attributes(GARDENS, SEASON, sources, AXIS, batch=1).set_index("site")
    pd.testing.assert_frame_equal(small, table)


def test_a_garden_is_the_same_alone_as_among_others(sources, table):
    alone = attributes(GARDENS.iloc[2:3], SEASON, sources, AXIS).set_index("site")
    numbers = table.select_dtypes("number").columns
    assert alone.loc["EAST", numbers].tolist() == pytest.approx(
        table.loc["EAST", numbers].tolist(), nan_ok=True
    )


def test_columns_keep_their_kinds_with_and_without_places(table, sources):
    placed = attributes(GARDENS.iloc[:1], SEASON, sources, AXIS).set_index("site")
    assert table.dtypes.astype(str).to_dict() == placed.dtypes.astype(str).to_dict()


def test_a_network_of_no_gardens_gives_an_empty_table(sources, table):
    empty = attributes(GARDENS.iloc[:0], SEASON, sources, AXIS)
    assert empty.empty
    assert list(empty.columns) == ["site", *table.columns]


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"crop": "moon melon"}, "no crop 'moon melon'"),
        ({"start": "2025-10-01"}, "no start and end in order"),
        ({"end": "soon"}, "no start and end in order"),
    ],
)
def test_a_season_that_cannot_be_used_is_refused(sources, change, complaint):
    with pytest.raises(InputError, match=complaint):
        attributes(GARDENS, SEASON.assign(**change), sources, AXIS)


def test_a_season_may_name_its_end_close(sources):
    renamed = SEASON.rename(columns={"end": "close"})
    assert attributes(GARDENS.iloc[:1], renamed, sources, AXIS)["window_days"].item() == 134


def test_a_table_of_seasons_without_a_column_is_refused(sources):
    with pytest.raises(InputError, match="no column start"):
        attributes(GARDENS, SEASON.drop(columns="start"), sources, AXIS)


def test_a_planting_before_the_season_does_not_stretch_the_window():
    planted = pd.DataFrame({"site": ["A"], "season": [2025], "trial": ["T1"], "planted_on": ["2025-04-01"]})
    seasons = SEASON.assign(start=pd.Timestamp("2025-05-10"), end=pd.Timestamp("2025-09-20"))
    window = season_windows(seasons, pd.Index(["A", "B"]), planted)[0]
    assert window.length.tolist() == [134, 134]


def test_south_of_the_equator_the_growing_year_starts_in_july(stations, daily):
    from sites.attributes.freezes import freezes_of_year, year_minima, year_of
    from sites.climate.freezes import growing_year
    from sites.climate.interpolation import places

    half_a_year = np.timedelta64(181, "D")
    shifted = daily.assign(date=daily["date"] + half_a_year)
    record = station_days(stations.assign(lat=-stations["lat"]), shifted)
    at = places(record.stations, np.array([-97.6]), np.array([-38.8]), np.array([373.0]), Interpolation())
    year = year_of(pd.Timestamp("2024-11-10"), southern=True)
    found = freezes_of_year(year_minima(record, year, True, Interpolation()), at, growing_year(year, True)[1])
    assert str(found["last_freeze"][0])[:7] in {"2024-09", "2024-10", "2024-11"}
    assert str(found["first_freeze"][0])[:7] in {"2025-03", "2025-04", "2025-05"}


@pytest.mark.parametrize(
    ("nearest_km", "note"),
    [(212.0, "nearest station 212 km away"), (12.0, "nearest station much higher or lower")],
)
def test_a_far_station_is_told_by_what_makes_it_far(nearest_km, note):
    state = np.array(["complete"], dtype=object)
    assert weather_note(state, state, np.array([nearest_km]), np.array([True])) == [note]
