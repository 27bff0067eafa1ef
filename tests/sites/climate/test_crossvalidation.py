"""Leave-one-station-out errors.

The figures were found when the demo network was made, with pandas and pyproj and none of this code: 14
invented stations, nearest neighbour 104 to 140 km away, all days of 2023 to 2025 pooled. Method A is four
neighbours, inverse square of the distance and lapse rates; B takes the west-to-east trend out; C is B with
voted rain."""

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest

from sites.climate import (
    Interpolation,
    daily_table,
    left_out_errors,
    left_out_estimates,
    read_values,
    station_days,
    wet_day_agreement,
)

VARIANTS = {"A": {}, "B": {"with_trend": True}, "C": {"with_trend": True, "rain": "vote"}}


@pytest.fixture(scope="module")
def left_out(three_years):
    return {name: left_out_estimates(three_years, **options) for name, options in VARIANTS.items()}


@pytest.mark.parametrize(
    ("variant", "column", "mae", "rmse"),
    [
        ("A", "tmax_c", 1.75, 2.26),
        ("A", "tmin_c", 1.24, 1.61),
        ("A", "prcp_mm", 1.93, 5.89),
        ("B", "tmax_c", 1.70, 2.19),
        ("B", "tmin_c", 1.16, 1.50),
        ("B", "prcp_mm", 1.94, 5.90),
        ("C", "prcp_mm", 1.92, None),
    ],
)
def test_pooled_errors_equal_those_reckoned_apart(three_years, left_out, variant, column, mae, rmse):
    errors = left_out_errors(three_years, left_out[variant], by="all").set_index("element").loc[column]
    assert round(errors["mae"], 2) == mae
    assert rmse is None or round(errors["rmse"], 2) == rmse


@pytest.mark.parametrize(("variant", "tmax", "tmin"), [("A", 0.52, 0.62), ("B", 0.34, 0.42)])
def test_mean_absolute_bias_equals_that_reckoned_apart(three_years, left_out, variant, tmax, tmin):
    errors = left_out_errors(three_years, left_out[variant])
    bias = errors.assign(bias=errors["bias"].abs()).groupby("element")["bias"].mean()
    assert [round(bias["tmax_c"], 2), round(bias["tmin_c"], 2)] == [tmax, tmin]


@pytest.mark.parametrize(
    ("station", "tmax_mae", "tmax_bias", "tmin_mae", "tmin_bias"),
    [
        ("ZZ0LGR00001", 1.91, 0.30, 1.16, -0.10),
        ("ZZ0LGR00007", 1.72, 0.40, 1.47, 1.15),
        ("ZZ0LGR00012", 1.35, 0.49, 0.86, 0.05),
        ("ZZ0LGR00014", 1.99, 0.29, 1.43, 0.12),
    ],
)
def test_errors_of_a_station_equal_those_reckoned_apart(
    three_years, left_out, station, tmax_mae, tmax_bias, tmin_mae, tmin_bias
):
    errors = left_out_errors(three_years, left_out["B"]).set_index(["element", "station"]).round(2)
    found = [errors.loc[(column, station), ["mae", "bias"]].tolist() for column in ("tmax_c", "tmin_c")]
    assert found == [[tmax_mae, tmax_bias], [tmin_mae, tmin_bias]]


@pytest.mark.parametrize(
    ("variant", "agreement", "estimated"), [("A", 0.77, 0.39), ("B", 0.77, 0.39), ("C", 0.84, 0.21)]
)
def test_wet_day_agreement_equals_that_reckoned_apart(three_years, left_out, variant, agreement, estimated):
    shares = wet_day_agreement(three_years, left_out[variant]["prcp_mm"])[
        ["agreement", "observed_wet", "estimated_wet"]
    ].mean()
    assert shares.round(2).tolist() == [agreement, 0.24, estimated]


@pytest.mark.parametrize(("variant", "expected"), [("A", 19.8), ("B", 19.4)])
def test_the_error_of_a_months_rain_equals_that_reckoned_apart(three_years, left_out, variant, expected):
    """Months in which gauge and estimate share at least 25 days, mean over stations."""
    observed, estimate = three_years.readings["prcp_mm"], left_out[variant]["prcp_mm"]
    both = ~np.isnan(observed) & ~np.isnan(estimate)
    month = three_years.dates.astype("datetime64[M]")
    by_station = []
    for station in range(14):
        days = pd.DataFrame({"o": observed[station], "e": estimate[station], "month": month})[both[station]]
        months = days.groupby("month").agg(o=("o", "sum"), e=("e", "sum"), days=("o", "size"))
        months = months[months["days"] >= 25]
        by_station.append((months["e"] - months["o"]).abs().mean())
    assert round(float(np.mean(by_station)), 1) == expected


@pytest.mark.parametrize(
    ("options", "tmax", "tmin", "rain"),
    [
        ({"neighbours": 1}, (2.30, 2.95), (1.56, 2.00), (2.16, 6.85)),
        ({"neighbours": 2}, (1.92, 2.47), (1.30, 1.69), (1.99, 6.13)),
        ({"neighbours": 6, "limit_km": 400.0}, (1.80, 2.31), (1.28, 1.67), (1.94, 5.84)),
        ({"power": 1.0}, (1.76, 2.28), (1.27, 1.66), (1.95, 5.91)),
        ({"lapse_tmax": 0.0, "lapse_tmin": 0.0}, (1.75, 2.26), (1.29, 1.67), (1.93, 5.89)),
    ],
)
def test_other_choices_err_by_what_was_reckoned_apart(three_years, options, tmax, tmin, rain):
    estimates = left_out_estimates(three_years, Interpolation(**options))
    assert pooled(three_years, estimates) == [tmax, tmin, rain]


@pytest.mark.parametrize(
    ("column", "blank", "tmax", "tmin"),
    [
        ("observed_at", "2400", (2.47, 3.35), (1.24, 1.61)),  # readings at 07:00 left on their day
        ("quality_flag", "", (1.86, 2.66), (1.28, 1.76)),  # values that failed a check used
    ],
)
def test_forgetting_hours_or_flags_costs_what_was_reckoned_apart(
    stations, sample_data, column, blank, tmax, tmin
):
    values = read_values(sample_data / "climate" / "daily")
    daily = daily_table(values.assign(**{column: pd.Categorical([blank] * len(values))}))
    days = station_days(stations, daily).window("2023-01-01", "2025-12-31")
    assert pooled(days, left_out_estimates(days))[:2] == [tmax, tmin]


def pooled(days, estimates):
    errors = left_out_errors(days, estimates, by="all").round(2)
    return list(zip(errors["mae"], errors["rmse"], strict=True))


def test_errors_are_told_by_season(three_years, left_out):
    errors = left_out_errors(three_years, left_out["A"], by="season")
    assert set(errors["season"]) == {"winter", "spring", "summer", "autumn"}
    tmax = errors[errors["element"] == "tmax_c"]
    assert tmax["days"].sum() == 14_869
    assert np.average(tmax["mae"], weights=tmax["days"]) == pytest.approx(1.752, abs=0.001)


def test_a_left_out_station_does_not_know_itself(three_years):
    changed = {column: value.copy() for column, value in three_years.readings.items()}
    changed["tmax_c"][3] += 30.0
    one = left_out_estimates(three_years)["tmax_c"][3]
    other = left_out_estimates(replace(three_years, readings=changed))["tmax_c"][3]
    assert one.tolist() == other.tolist()
