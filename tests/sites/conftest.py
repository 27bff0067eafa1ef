"""Places and weather that several tests of this room share."""

from pathlib import Path

import hypothesis
import pandas as pd
import pytest

from sites.climate import StationDays, read_daily, read_stations, station_days
from sites.geography import read_counties

#: No example is timed: a busy machine is no fault of the code.
hypothesis.settings.register_profile("untimed", deadline=None)
hypothesis.settings.load_profile("untimed")

SAMPLE_DATA = Path(__file__).parents[2] / "sample_data"


@pytest.fixture(scope="session")
def sample_data() -> Path:
    return SAMPLE_DATA


@pytest.fixture(scope="session")
def counties() -> pd.DataFrame:
    return read_counties()


@pytest.fixture(scope="session")
def stations() -> pd.DataFrame:
    return read_stations(SAMPLE_DATA / "climate" / "stations.txt")


@pytest.fixture(scope="session")
def daily() -> pd.DataFrame:
    return read_daily(SAMPLE_DATA / "climate" / "daily")


@pytest.fixture(scope="session")
def three_years(stations, daily) -> StationDays:
    return station_days(stations, daily).window("2023-01-01", "2025-12-31")
