"""The table of attributes: one row for each garden and season."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from sites.attributes.columns import COLUMNS, PER_DAY, STATE_COLUMNS
from sites.attributes.gardens_weather import GardensWeather
from sites.attributes.states import NO_PLACE, NOT_STARTED, weather_note
from sites.attributes.weather import HUMIDITY_FROM_MINIMUM, crop_limits
from sites.attributes.windows import Window, checked_seasons, season_windows
from sites.climate.freeze_risk import no_freeze_risk
from sites.climate.interpolation import Interpolation, places
from sites.climate.normals import normals_at
from sites.climate.station_days import Day, station_days
from sites.climate.zones import extreme_minima, yearly_minima
from sites.crops import match_crop
from sites.errors import InputError
from sites.geography import Axis, coordinate_check, county_of, plane_km
from sites.soil.garden_soil import MAP_UNIT, NOWHERE, TEST, soil_of_garden
from sites.soil.water import ROOT_DEPTH_CM

#: Gardens whose daily arrays are held at once: 0.8 MB for an array of 200 days. Smaller batches lose time in
#: calls, larger ones leave the processor's cache (measured with 128 to 1024); memory does not grow with the
#: network.
BATCH = 512


@dataclass(frozen=True)
class Sources:
    """What attributes are made from: weather stations, daily table, counties and crops; the rest if there.

    `soil_units`, `soil_tests` and `normals` are as sites.soil and sites.climate read them, `freeze_risk` as
    sites.climate.freeze_risk makes it, `extremes` as sites.climate.read_extremes reads it. `plantings` has
    site, season, trial and planted_on.
    """

    stations: pd.DataFrame
    daily: pd.DataFrame
    counties: pd.DataFrame
    crops: pd.DataFrame
    soil_units: pd.DataFrame | None = None
    soil_tests: pd.DataFrame | None = None
    normals: pd.DataFrame | None = None
    plantings: pd.DataFrame | None = None
    freeze_risk: pd.DataFrame | None = None
    extremes: pd.DataFrame | None = None


def attributes(
    gardens: pd.DataFrame,
    seasons: pd.DataFrame,
    sources: Sources,
    axis: Axis,
    today: Day | None = None,
    method: Interpolation | None = None,
    batch: int = BATCH,
) -> pd.DataFrame:
    """Return what is known of each garden's place in each season: one row for each garden, season and trial.

    `gardens` has site, lon, lat and elevation_m; `seasons` has season, trial, crop, start and end. Columns
    are those of the glossary (`sites.glossary`). Weather is summed over a fixed window, from planting or
    start to the end, cut at `today`. A garden without usable coordinates, too far from stations or with too
    many estimated days gets missing values and a state that says why, never a number that pretends. Raises
    InputError for a table without its columns and for a crop that the crop table does not have.
    """
    method = method or Interpolation()
    seasons = checked_seasons(seasons)
    crops = _crops_of(seasons, sources.crops)
    place = place_attributes(gardens, sources.counties, axis)
    soil = _soil_columns(soil_of_garden(gardens, sources.soil_units, sources.soil_tests, today))
    placed = np.flatnonzero(place["coordinates"] == "good")
    record = station_days(sources.stations, sources.daily)
    lon, lat, height = (gardens[name].to_numpy(float)[placed] for name in ("lon", "lat", "elevation_m"))
    at = places(record.stations, lon, lat, height, method)
    normals = None
    if sources.normals is not None:
        normals = normals_at(record.stations, sources.normals, lon, lat, height, method)
    available_mm = soil["available_water_mm"].to_numpy()[placed]
    risk = no_freeze_risk() if sources.freeze_risk is None else sources.freeze_risk
    extremes = [] if sources.extremes is None else [sources.extremes]
    minima = extreme_minima(*extremes, yearly_minima(record))
    weather = GardensWeather(record, at, placed, method, batch, normals, available_mm, risk, minima)
    windows = season_windows(seasons, pd.Index(gardens["site"]), sources.plantings, today)
    parts = []
    for (_, season), (_, crop), window in zip(seasons.iterrows(), crops.iterrows(), windows, strict=True):
        climate = pd.DataFrame(weather.of_season(season["start"], crop, window), index=placed)
        climate = climate.reindex(range(len(gardens)))
        table = _season_table(season, crop, window, place, climate, soil)
        parts.append(table.assign(weather_method="A" if method.trend is None else "B"))
    return pd.concat(parts, ignore_index=True)


def place_attributes(gardens: pd.DataFrame, counties: pd.DataFrame, axis: Axis) -> pd.DataFrame:
    """Return what holds for a garden in every season: coordinates, county, position and height.

    A position is given only for usable coordinates; the county is the one the point lies in.
    """
    lon, lat, elevation_m = (gardens[name].to_numpy(dtype=float) for name in ("lon", "lat", "elevation_m"))
    check = coordinate_check(lon, lat, counties)
    good = check.verdict == "good"
    county = county_of(np.where(good, lon, np.nan), np.where(good, lat, np.nan), counties)
    position_km, north_km = plane_km(np.where(good, lon, np.nan), lat, *axis)
    return pd.DataFrame(
        {
            "site": gardens["site"].to_numpy(),
            "coordinates": check.verdict,
            "county_fips": county["geoid"].to_numpy(),
            "county_match": county["match"].to_numpy(),
            "position_km": position_km,
            "north_km": north_km,
            "elevation_m": elevation_m,
        }
    )


def _crops_of(seasons: pd.DataFrame, crops: pd.DataFrame) -> pd.DataFrame:
    matched = match_crop(seasons["crop"], crops)
    if matched.isna().any():
        unknown = seasons.loc[matched.isna(), "crop"].iloc[0]
        raise InputError(
            f"The crop table has no crop {unknown!r}. Write one of {', '.join(crops.index)}, or add it there."
        )
    return crops.loc[matched]


def _soil_columns(soil: pd.DataFrame) -> pd.DataFrame:
    """Return soil attributes in the order of the gardens, with one source for all that is known."""
    sources = soil[[name for name in soil.columns if name.endswith("_source")]]
    tested, mapped = (sources == TEST).any(axis=1), (sources == MAP_UNIT).any(axis=1)
    known = np.select([tested & mapped, tested, mapped], [f"{MAP_UNIT} and {TEST}", TEST, MAP_UNIT], NOWHERE)
    tested_on = soil[[name for name in soil.columns if name.endswith("_tested_on")]].max(axis=1)
    columns = ["texture", "ph", "ph_class", "organic_matter_pct", "sand_pct", "silt_pct", "clay_pct"]
    return (
        soil[columns]
        .assign(
            available_water_mm=10.0 * ROOT_DEPTH_CM * soil["available_water"],
            constructed_medium=soil["constructed_medium"],
            soil_source=known,
            soil_tested_on=tested_on.astype("datetime64[us]"),
            map_unit=soil["map_unit"],
        )
        .reset_index(drop=True)
    )


def _season_table(
    season: pd.Series,
    crop: pd.Series,
    window: Window,
    place: pd.DataFrame,
    climate: pd.DataFrame,
    soil: pd.DataFrame,
) -> pd.DataFrame:
    """Return one season's rows in the order of the glossary."""
    table = pd.concat([place, climate, soil], axis=1).assign(
        season=season["season"],
        trial=season["trial"],
        crop=crop.name,
        degree_day_method=_method_name(crop),
        heat_limits=crop_limits(crop)[1],
        window_start=window.starts.astype("datetime64[D]").astype("datetime64[us]"),
        window_end=pd.Timestamp(window.last, unit="D").as_unit("us"),
    )
    table = table.reindex(columns=list(COLUMNS)).assign(window_days=window.length)
    for total, per_day in PER_DAY.items():
        table[per_day] = table[total] / table["window_days"].where(table["window_days"] > 0)
    table["stations_far"] = table["stations_far"].eq(other=True)
    why_none = pd.Series(np.where(table["coordinates"] == "good", NOT_STARTED, NO_PLACE), table.index)
    for name in STATE_COLUMNS:
        table[name] = table[name].astype("str").fillna(why_none)
    felt = table["heat_index_90f_days"].notna()
    table["heat_index_humidity"] = pd.Series(HUMIDITY_FROM_MINIMUM, table.index, dtype="str").where(felt)
    for name in ("freeze_years_without", "hardiness_zone", "hardiness_zone_period"):
        table[name] = table[name].astype("str")
    estimated_pct = table[["temperature_estimated_pct", "rain_estimated_pct"]].max(axis=1)
    note = weather_note(
        table["temperature_state"].to_numpy(),
        table["rain_state"].to_numpy(),
        table["nearest_station_km"].to_numpy(dtype=float),
        table["stations_far"].to_numpy(),
    )
    return table.assign(
        days_estimated_share=estimated_pct / 100.0, weather_note=pd.Series(note, table.index, dtype="str")
    )


def _method_name(crop: pd.Series) -> str:
    """Return how a crop's degree days are counted: a total without it is not usable data."""
    upper = crop["degree_day_upper_c"]
    cap = "" if np.isnan(upper) else f" to {upper:g}"
    return f"{crop['degree_day_method']}, {crop['degree_day_base_c']:g}{cap} °C"
