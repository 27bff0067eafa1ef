"""The table of attributes: one row for each garden and season."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sites.attributes.freezes import freezes_of_year, year_minima, year_of
from sites.attributes.states import NO_PLACE, NOT_STARTED
from sites.attributes.weather import SeasonDays, crop_limits, season_weather
from sites.attributes.windows import Window, checked_seasons, season_windows
from sites.climate.freezes import growing_year
from sites.climate.garden_weather import FAR_HEIGHT_M, FAR_KM
from sites.climate.interpolation import Interpolation, Places, places
from sites.climate.normals import departure, normal_of_days, normals_at
from sites.climate.station_days import Day, StationDays, station_days
from sites.climate.trend import month_of
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

    `soil_units`, `soil_tests` and `normals` are as sites.soil and sites.climate read them. `plantings` has
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
    weather = _Weather(record, at, method, batch, normals, available_mm)
    windows = season_windows(seasons, pd.Index(gardens["site"]), sources.plantings, today)
    parts = []
    for (_, season), (_, crop), window in zip(seasons.iterrows(), crops.iterrows(), windows, strict=True):
        climate = pd.DataFrame(weather.of_season(season, crop, window, placed), index=placed)
        climate = climate.reindex(range(len(gardens)))
        parts.append(_season_table(season, crop, window, place, climate, soil))
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


@dataclass(frozen=True)
class _Weather:
    """Weather of the placed gardens, worked through in batches."""

    record: StationDays
    at: Places
    method: Interpolation
    batch: int
    normals: dict[str, Any] | None
    available_mm: Any

    def of_season(self, season: pd.Series, crop: pd.Series, window: Window, placed: Any) -> dict[str, Any]:
        """Return every climate attribute of a season, an array over the placed gardens for each."""
        southern = bool(np.mean(self.at.lat) < 0) if len(placed) else False
        year = year_of(season["start"], southern)
        minima, split = year_minima(self.record, year, southern, self.method), growing_year(year, southern)[1]
        columns = _joined([freezes_of_year(minima, at, split) for at, _ in self._batches()])
        if window.last >= window.first:
            days = SeasonDays.of(self.record.window(window.dates[0], window.dates[-1]), self.method)
            columns |= _joined(
                [
                    season_weather(days, at, window.active(placed[rows]), crop, self.available_mm[rows])
                    for at, rows in self._batches()
                ]
            )
            columns |= self._departures(columns, window, placed)
        return columns | self._nearest()

    def _batches(self) -> Iterator[tuple[Places, slice]]:
        for start in range(0, max(len(self.at.lon), 1), self.batch):
            rows = slice(start, start + self.batch)
            yield self.at.rows(rows), rows

    def _nearest(self) -> dict[str, Any]:
        """Return how near the nearest station is, and whether it is far off or much higher or lower."""
        neighbours = self.at.neighbours
        if not neighbours.station.shape[1]:
            return {}
        nearest_km = neighbours.distance_km[:, 0]
        height_m = self.record.stations["elevation_m"].to_numpy(float)[neighbours.station[:, 0]]
        far = (nearest_km > FAR_KM) | (np.abs(height_m - self.at.elevation_m) > FAR_HEIGHT_M)
        within = np.isfinite(nearest_km)
        return {"nearest_station_km": np.where(within, nearest_km, np.nan), "stations_far": far}

    def _departures(self, columns: dict[str, Any], window: Window, placed: Any) -> dict[str, Any]:
        """Return how mean temperature and rain of the window depart from thirty-year normals, if any."""
        if self.normals is None:
            return {}
        months = _days_by_month(window, placed)
        temperature = (self.normals["tmax_c"] + self.normals["tmin_c"]) / 2.0
        mean = (columns["tmax_mean_c"] + columns["tmin_mean_c"]) / 2.0
        return {
            "mean_temperature_departure_c": departure(mean, normal_of_days(temperature, months)),
            "rain_departure_mm": departure(
                columns["rain_mm"], normal_of_days(self.normals["prcp_mm"], months, total=True)
            ),
        }


def _days_by_month(window: Window, placed: Any) -> Any:
    """Return how many days of each garden's window lie in each month, (G, 12)."""
    member = (month_of(window.dates)[:, None] == np.arange(1, 13)).astype(float)
    from_day = np.vstack([np.cumsum(member[::-1], axis=0)[::-1], np.zeros(12)])
    return from_day[np.clip(window.starts[placed] - window.first, 0, len(member))]


def _joined(parts: list[dict[str, Any]]) -> dict[str, Any]:
    if not parts:
        return {}
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}


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
    return table


def _method_name(crop: pd.Series) -> str:
    """Return how a crop's degree days are counted: a total without it is not usable data."""
    upper = crop["degree_day_upper_c"]
    cap = "" if np.isnan(upper) else f" to {upper:g}"
    return f"{crop['degree_day_method']}, {crop['degree_day_base_c']:g}{cap} °C"


#: Totals and the names of their means per day.
PER_DAY = {
    "degree_days_c": "degree_days_per_day_c",
    "rain_mm": "rain_per_day_mm",
    "reference_et_mm": "reference_et_per_day_mm",
}

#: Columns that say whether numbers stand, and why not.
STATE_COLUMNS = ("temperature_state", "rain_state", "last_freeze_state", "first_freeze_state")

#: Columns of the table, in this order; the glossary explains each.
COLUMNS = (
    *("site", "season", "trial", "crop"),
    *("coordinates", "county_fips", "county_match", "position_km", "north_km", "elevation_m"),
    *("window_start", "window_end", "window_days"),
    *("degree_days_c", "degree_days_per_day_c", "degree_day_method", "tmax_mean_c", "tmin_mean_c"),
    *("hot_days", "very_hot_days", "warm_nights", "very_warm_nights", "cold_nights", "heat_limits"),
    *("reference_et_mm", "reference_et_per_day_mm", "mean_temperature_departure_c"),
    *("temperature_estimated_pct", "temperature_state"),
    *("rain_mm", "rain_per_day_mm", "longest_dry_spell_days", "rain_minus_et_mm", "days_short_of_water"),
    *("rain_departure_mm", "rain_estimated_pct", "rain_state"),
    *("last_freeze", "last_freeze_state", "first_freeze", "first_freeze_state", "freeze_free_days"),
    *("nearest_station_km", "stations_far"),
    *("texture", "ph", "ph_class", "organic_matter_pct", "sand_pct", "silt_pct", "clay_pct"),
    *("available_water_mm", "constructed_medium", "soil_source", "soil_tested_on", "map_unit"),
)
