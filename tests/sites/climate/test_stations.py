"""Station lists: columns of ghcnd-stations.txt and ghcnd-inventory.txt after the GHCN-Daily readme."""

import numpy as np
import pandas as pd
import pytest

from sites.climate import read_inventory, read_stations, stations_for
from sites.errors import InputError

LINE = "ZZ0LGR00001  39.4200 -101.8000 1148.3 KS CINDER FLATS INVENTED                       "
INVENTORY = "ZZ0LGR00001  39.4200 -101.8000 TMAX 1990 2025"


def test_a_station_line_is_read_by_its_columns(tmp_path):
    path = tmp_path / "stations.txt"
    path.write_text(LINE + "\n")
    station = read_stations(path).iloc[0]
    assert station.to_dict() == {
        "station": "ZZ0LGR00001",
        "name": "CINDER FLATS INVENTED",
        "state": "KS",
        "lat": 39.42,
        "lon": -101.8,
        "elevation_m": 1148.3,
    }


def test_an_unknown_elevation_is_missing(tmp_path):
    path = tmp_path / "stations.txt"
    path.write_text(LINE.replace("1148.3", "-999.9") + "\n")
    assert np.isnan(read_stations(path)["elevation_m"].iloc[0])


def test_a_plain_table_of_stations_is_read_too(tmp_path):
    path = tmp_path / "stations.csv"
    path.write_text("station,lat,lon,elevation_m\nGARDEN,38.5,-98.35,\n")
    assert read_stations(path).loc[0, ["station", "lat"]].tolist() == ["GARDEN", 38.5]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("", "is empty"),
        (LINE + "\n" + LINE, "is there twice"),
        ("who knows what this line is meant to be, or why it is in here", "line 1"),
        (LINE + "\n" + LINE.replace("39.4200", "99.4200"), "line 2"),
        ("station,lat,lon\nA,1,2", "no column elevation_m"),
        ("station,lat,lon,elevation_m\nA,,2,3", "station A has no latitude"),
    ],
)
def test_a_list_that_cannot_be_used_says_where(tmp_path, text, complaint):
    path = tmp_path / "stations.txt"
    path.write_text(text)
    with pytest.raises(InputError, match=complaint):
        read_stations(path)


def test_a_list_that_is_not_there_is_named(tmp_path):
    with pytest.raises(InputError, match="Check the name"):
        read_stations(tmp_path / "none.txt")


def test_an_inventory_tells_elements_and_years(tmp_path):
    path = tmp_path / "inventory.txt"
    path.write_text(INVENTORY + "\n")
    row = read_inventory(path).iloc[0]
    assert (row["element"], row["first_year"], row["last_year"]) == ("TMAX", 1990, 2025)


def test_stations_to_fetch_are_the_nearest_with_all_the_years():
    inventory = pd.DataFrame(
        [
            ("NEAR", 38.5, -98.3, "TMAX", 1990, 2025),
            ("NEAR", 38.5, -98.3, "PRCP", 1990, 2025),
            ("CLOSED", 38.5, -98.35, "TMAX", 1990, 2010),
            ("NEXT", 38.5, -97.9, "TMAX", 2000, 2026),
            ("FAR", 45.0, -98.3, "TMAX", 1990, 2025),
            ("SNOW", 38.5, -98.35, "SNOW", 1990, 2025),
        ],
        columns=["station", "lat", "lon", "element", "first_year", "last_year"],
    )
    found = stations_for(inventory, [-98.35], [38.5], 2023, 2025)
    assert found["station"].tolist() == ["NEAR", "NEXT"]
    assert found["elements"].tolist() == ["PRCP TMAX", "TMAX"]
    with pytest.raises(InputError, match="Ask for fewer years"):
        stations_for(inventory, [-98.35], [38.5], 1900, 2025)
