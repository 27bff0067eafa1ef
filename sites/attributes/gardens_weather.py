"""Every climate attribute of many gardens, season by season."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from sites.attributes.freezes import freezes_of_year, year_minima, year_of
from sites.attributes.long_records import freeze_risk_of_gardens, zone_of_gardens
from sites.attributes.weather import SeasonDays, season_weather
from sites.attributes.windows import Window
from sites.climate.freezes import growing_year
from sites.climate.garden_weather import FAR_HEIGHT_M, FAR_KM
from sites.climate.interpolation import Interpolation, Places
from sites.climate.normals import departure, normal_of_days
from sites.climate.station_days import Floats, StationDays
from sites.climate.trend import month_of


@dataclass(frozen=True)
class GardensWeather:
    """Weather of gardens that have a place, worked through in batches so that memory stays bounded.

    `placed` are their rows among all gardens, `available_mm` the water that their soils hold, `normals` their
    monthly normals, if there are any, `freeze_risk` the stations' freeze dates by probability and `minima`
    the means of their yearly minima.
    """

    record: StationDays
    at: Places
    placed: npt.NDArray[np.intp]
    method: Interpolation
    batch: int
    normals: dict[str, Floats] | None
    available_mm: Floats
    freeze_risk: pd.DataFrame
    minima: pd.DataFrame
    _years: dict[int, dict[str, Any]] = field(default_factory=dict)

    def of_season(self, start: pd.Timestamp, crop: pd.Series, window: Window) -> dict[str, Any]:
        """Return every climate attribute of a season that starts on a day, an array (G) for each."""
        columns = dict(self._freezes(year_of(start, self._southern))) | self._long_records(start.year)
        if window.last >= window.first:
            days = SeasonDays.of(self.record.window(window.dates[0], window.dates[-1]), self.method)
            columns |= _joined(
                [
                    season_weather(days, at, window.active(self.placed[rows]), crop, self.available_mm[rows])
                    for at, rows in self._batches()
                ]
            )
            columns |= self._departures(columns, window)
        return columns | self._nearest()

    @property
    def _southern(self) -> bool:
        """Return whether the network lies south of the equator."""
        return bool(self.at.lat.sum() < 0)

    def _freezes(self, year: int) -> dict[str, Any]:
        """Return the freezes of a growing year, found once for all trials of it."""
        if year not in self._years:
            split = growing_year(year, self._southern)[1]
            minima = year_minima(self.record, year, self._southern, self.method)
            found = [freezes_of_year(minima, at, split) for at, _ in self._batches()]
            self._years[year] = _joined(found)
        return self._years[year]

    def _long_records(self, year: int) -> dict[str, Any]:
        """Return the freeze dates by probability, as dates of a year, and the hardiness zones."""
        stations, at = self.record.stations, self.at
        risk = freeze_risk_of_gardens(stations, self.freeze_risk, at.lon, at.lat, year, self.method)
        zones = zone_of_gardens(stations, self.minima, at.lon, at.lat, self.method)
        return risk | zones

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

    def _departures(self, columns: dict[str, Any], window: Window) -> dict[str, Any]:
        """Return how mean temperature and rain of the window depart from thirty-year normals, if any."""
        if self.normals is None:
            return {}
        months = _days_by_month(window, self.placed)
        temperature = (self.normals["tmax_c"] + self.normals["tmin_c"]) / 2.0
        mean = (columns["tmax_mean_c"] + columns["tmin_mean_c"]) / 2.0
        return {
            "mean_temperature_departure_c": departure(mean, normal_of_days(temperature, months)),
            "rain_departure_mm": departure(
                columns["rain_mm"], normal_of_days(self.normals["prcp_mm"], months, total=True)
            ),
        }


def _days_by_month(window: Window, placed: npt.NDArray[np.intp]) -> Floats:
    """Return how many days of each garden's window lie in each month, (G, 12)."""
    member = (month_of(window.dates)[:, None] == np.arange(1, 13)).astype(float)
    from_day = np.vstack([np.cumsum(member[::-1], axis=0)[::-1], np.zeros(12)])
    return from_day[np.clip(window.starts[placed] - window.first, 0, len(member))]


def _joined(parts: list[dict[str, Any]]) -> dict[str, Any]:
    return {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
