"""The columns of the table of attributes; the glossary explains each."""

#: Totals and the names of their means per day.
PER_DAY = {
    "degree_days_c": "degree_days_c_per_day",
    "rain_mm": "rain_mm_per_day",
    "reference_et_mm": "reference_et_mm_per_day",
}

#: Columns that say whether numbers stand, and why not.
STATE_COLUMNS = (
    *("temperature_state", "rain_state", "last_freeze_state", "first_freeze_state"),
    *("freeze_risk_state", "hardiness_zone_state"),
)

#: Columns of the table, in this order.
COLUMNS = (
    *("site", "season", "trial", "crop"),
    *("coordinates", "county_fips", "county_match", "position_km", "north_km", "elevation_m"),
    *("window_start", "window_end", "window_days"),
    *("degree_days_c", "degree_days_c_per_day", "degree_day_method", "tmax_mean_c", "tmin_mean_c"),
    *("hot_days", "very_hot_days", "warm_nights", "very_warm_nights", "cold_nights", "heat_limits"),
    *("heat_index_90f_days", "heat_index_103f_days", "heat_index_humidity"),
    *("reference_et_mm", "reference_et_mm_per_day", "mean_temperature_departure_c"),
    *("temperature_estimated_pct", "temperature_state"),
    *("rain_mm", "rain_mm_per_day", "longest_dry_spell_days", "rain_minus_et_mm", "days_short_of_water"),
    *("rain_departure_mm", "rain_estimated_pct", "rain_state"),
    *("last_freeze", "last_freeze_state", "first_freeze", "first_freeze_state", "freeze_free_days"),
    *("last_freeze_90", "last_freeze_50", "last_freeze_10"),
    *("first_freeze_10", "first_freeze_50", "first_freeze_90", "freeze_free_days_median"),
    *("freeze_years", "freeze_years_without", "freeze_risk_state"),
    *("extreme_minimum_mean_c", "hardiness_zone", "hardiness_zone_years", "hardiness_zone_period"),
    *("hardiness_zone_state",),
    *("nearest_station_km", "stations_far", "weather_method", "days_estimated_share", "weather_note"),
    *("texture", "ph", "ph_class", "organic_matter_pct", "sand_pct", "silt_pct", "clay_pct"),
    *("available_water_mm", "constructed_medium", "soil_source", "soil_tested_on", "map_unit"),
)
