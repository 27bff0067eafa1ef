"""Places that several tests of this room share."""

import pandas as pd
import pytest

from sites.geography import read_counties


@pytest.fixture(scope="session")
def counties() -> pd.DataFrame:
    return read_counties()
