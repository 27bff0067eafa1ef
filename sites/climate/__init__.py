"""Weather of a garden: station records, estimates between stations, and indices of a season."""

from sites.climate.crossvalidation import left_out_errors, left_out_estimates, wet_day_agreement
from sites.climate.daily import daily_table, read_daily
from sites.climate.degree_days import growing_degree_days
from sites.climate.doubts import doubtful_stations, doubtful_values, without_doubtful
from sites.climate.evapotranspiration import (
    actual_vapour_pressure,
    atmospheric_pressure,
    hargreaves,
    mean_saturation_vapour_pressure,
    penman_monteith,
    psychrometric_constant,
    saturation_vapour_pressure,
    vapour_pressure_slope,
    wind_at_2m,
)
from sites.climate.freeze_risk import (
    date_of_day,
    day_of_365,
    first_freeze_day,
    freeze_risk,
    freeze_risk_at,
    last_freeze_day,
    years_without,
)
from sites.climate.freezes import freeze_dates, freezes_of_record, is_freezing, read_freezes
from sites.climate.gaps import fill_gaps
from sites.climate.garden_weather import GardenWeather, at_garden, at_gardens
from sites.climate.heat import (
    afternoon_heat_index_f,
    cold_nights,
    heat_index_days,
    heat_index_f,
    hot_days,
    warm_nights,
)
from sites.climate.interpolation import Interpolation
from sites.climate.judging import JudgedRecord, better_method, judged_record
from sites.climate.normals import departure, monthly_normals, normals_at, read_normals
from sites.climate.radiation import day_length_hours, extraterrestrial_radiation, net_radiation
from sites.climate.rain import longest_dry_spell, rain_total, water_balance
from sites.climate.records import read_values, set_aside
from sites.climate.station_days import StationDays, station_days
from sites.climate.stations import read_inventory, read_stations, stations_for
from sites.climate.trend import Trend, trend_of_normals, trend_of_record
from sites.climate.zones import (
    extreme_minima,
    hardiness_zone,
    mean_extreme_minimum_f,
    read_extremes,
    yearly_minima,
)

__all__ = [
    "GardenWeather",
    "Interpolation",
    "JudgedRecord",
    "StationDays",
    "Trend",
    "actual_vapour_pressure",
    "afternoon_heat_index_f",
    "at_garden",
    "at_gardens",
    "atmospheric_pressure",
    "better_method",
    "cold_nights",
    "daily_table",
    "date_of_day",
    "day_length_hours",
    "day_of_365",
    "departure",
    "doubtful_stations",
    "doubtful_values",
    "extraterrestrial_radiation",
    "extreme_minima",
    "fill_gaps",
    "first_freeze_day",
    "freeze_dates",
    "freeze_risk",
    "freeze_risk_at",
    "freezes_of_record",
    "growing_degree_days",
    "hardiness_zone",
    "hargreaves",
    "heat_index_days",
    "heat_index_f",
    "hot_days",
    "is_freezing",
    "judged_record",
    "last_freeze_day",
    "left_out_errors",
    "left_out_estimates",
    "longest_dry_spell",
    "mean_extreme_minimum_f",
    "mean_saturation_vapour_pressure",
    "monthly_normals",
    "net_radiation",
    "normals_at",
    "penman_monteith",
    "psychrometric_constant",
    "rain_total",
    "read_daily",
    "read_extremes",
    "read_freezes",
    "read_inventory",
    "read_normals",
    "read_stations",
    "read_values",
    "saturation_vapour_pressure",
    "set_aside",
    "station_days",
    "stations_for",
    "trend_of_normals",
    "trend_of_record",
    "vapour_pressure_slope",
    "warm_nights",
    "water_balance",
    "wet_day_agreement",
    "wind_at_2m",
    "without_doubtful",
    "yearly_minima",
    "years_without",
]
