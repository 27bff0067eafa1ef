"""The fast weighted means against the definition, garden by garden and day by day."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sites.climate.averaging import Layers, weighted_means
from sites.climate.neighbours import nearest_stations, stations_used


def by_definition(layer, neighbours, count):
    means = np.full((len(neighbours.station), layer.shape[1]), np.nan)
    for garden in range(len(means)):
        for day in range(layer.shape[1]):
            reporting = [
                (weight, layer[station, day])
                for station, weight in zip(neighbours.station[garden], neighbours.weight[garden], strict=True)
                if weight > 0 and not np.isnan(layer[station, day])
            ][:count]
            if reporting:
                weights, values = zip(*reporting, strict=True)
                means[garden, day] = np.average(values, weights=weights)
    return means


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.integers(1, 9), st.integers(1, 5), st.floats(0, 0.95))
def test_means_equal_the_definition_whatever_is_missing(seed, count_stations, count, missing):
    rng = np.random.default_rng(seed)
    stations = pd.DataFrame(
        {"lon": rng.uniform(-100, -96, count_stations), "lat": rng.uniform(37, 40, count_stations)}
    )
    layer = rng.normal(20, 5, (count_stations, 6))
    layer[rng.random(layer.shape) < missing] = np.nan
    neighbours = nearest_stations(rng.uniform(-100, -96, 4), rng.uniform(37, 40, 4), stations, limit_km=200.0)
    averages = weighted_means(Layers.of(layer, layer * 2 + 1), neighbours, count)
    expected = by_definition(layer, neighbours, count)
    assert averages.means[0] == pytest.approx(expected, nan_ok=True)
    assert averages.means[1] == pytest.approx(expected * 2 + 1, nan_ok=True)
    used = stations_used(~np.isnan(layer), neighbours, count).sum(axis=1)
    assert (used == 0).tolist() == np.isnan(expected).tolist()
    assert averages.short.tolist() == (used < min(count, count_stations)).any(axis=1).tolist()


def test_neighbours_are_ordered_by_distance_and_end_at_the_limit():
    stations = pd.DataFrame({"lon": [-98.0, -98.0, -98.0], "lat": [39.0, 38.1, 42.0]})
    near = nearest_stations(-98.0, 38.0, stations, limit_km=250.0)
    assert near.station[0].tolist()[:2] == [1, 0]
    assert near.distance_km[0] == pytest.approx([11.1, 111.0, np.inf], abs=0.1)
    assert near.weight[0, 2] == 0.0


def test_a_station_at_the_garden_has_a_large_weight_and_no_infinite_one():
    stations = pd.DataFrame({"lon": [-98.0], "lat": [38.0]})
    assert nearest_stations(-98.0, 38.0, stations, 250.0).weight.tolist() == [[1.0]]


def test_a_network_without_stations_gives_no_neighbours():
    nothing = pd.DataFrame({"lon": [], "lat": []})
    assert nearest_stations([-98.0, -97.0], [38.0, 38.0], nothing, 250.0).station.shape == (2, 0)
