"""Places and weather that several tests of this room share."""

from pathlib import Path

import pandas as pd
import pytest

from sites.climate import StationDays, read_daily, read_stations, station_days
from sites.geography import read_counties

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def counties() -> pd.DataFrame:
    return read_counties()


@pytest.fixture(scope="session")
def stations() -> pd.DataFrame:
    return read_stations(ROOT / "sample_data" / "climate" / "stations.txt")


@pytest.fixture(scope="session")
def daily() -> pd.DataFrame:
    return read_daily(ROOT / "sample_data" / "climate" / "daily")


@pytest.fixture(scope="session")
def three_years(stations, daily) -> StationDays:
    return station_days(stations, daily).window("2023-01-01", "2025-12-31")
