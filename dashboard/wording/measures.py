"""How measures, axes and the columns of tables are named, and how their numbers are written."""

from dataclasses import dataclass
from types import MappingProxyType

from pipeline.words import marked


@dataclass(frozen=True)
class OutcomeWords:
    """How a measure is named, and how its numbers are written."""

    name: str
    title: str
    note: str
    unit: str
    digits: int
    scale: float = 1.0


#: Measures by their column of the plot seasons, in the order in which pages offer them.
OUTCOMES = MappingProxyType(
    {
        "marketable_kg_per_plant": OutcomeWords(
            "weight per plant", marked("Weight per plant"), "marketable, kg", "kg", 2
        ),
        "marketable_kg_per_survivor": OutcomeWords(
            "weight per surviving plant", marked("Weight per surviving plant"), "marketable, kg", "kg", 2
        ),
        "marketable_fruits_per_plant": OutcomeWords(
            "fruits per plant", marked("Fruits per plant"), "marketable", "", 1
        ),
        "mean_fruit_mass_g": OutcomeWords(
            "weight of a fruit", marked("Weight of a fruit"), "marketable, g", "g", 0
        ),
        "marketable_share": OutcomeWords(
            "marketable share", marked("Marketable share"), "of the weight picked, %", "%", 0, 100.0
        ),
        "early_kg_per_plant": OutcomeWords(
            "early weight", marked("Early weight"), "marketable, first 21 picking days, kg per plant", "kg", 2
        ),
        "days_to_first_harvest": OutcomeWords(
            "days to first pick", marked("Days to first pick"), "from planting", "days", 0
        ),
        "height_cm": OutcomeWords("height", marked("Height"), "cm", "cm", 0),
        "survival": OutcomeWords(
            "plants alive", marked("Plants alive"), "of those planted, %", "%", 0, 100.0
        ),
        "relative_audpc": OutcomeWords(
            "sick leaf", marked("Sick leaf"), "share over the season, %", "%", 1, 100.0
        ),
    }
)


@dataclass(frozen=True)
class AxisWords:
    """How a horizontal axis is named in a choice and under a figure, and how its numbers are written."""

    name: str
    label: str
    digits: int = 0


AXES = MappingProxyType(
    {
        "position_km": AxisWords("km east", "km east"),
        "degree_days_c": AxisWords("heat", "degree days of the season, °C"),
        "degree_days_c_per_day": AxisWords("heat a day", "degree days a day, °C", 1),
        "hot_days": AxisWords("hot days", "days too hot to set fruit"),
        "warm_nights": AxisWords("warm nights", "nights too warm to set fruit"),
        "rain_mm": AxisWords("rain", "rain of the season, mm"),
        "rain_mm_per_day": AxisWords("rain a day", "rain a day, mm", 1),
        "freeze_free_days": AxisWords("freeze-free days", "days between the last and the first freeze"),
        "elevation_m": AxisWords("height", "metres above the sea"),
        "ph": AxisWords("soil pH", "soil pH in water", 1),
        "organic_matter_pct": AxisWords("organic matter", "organic matter of the topsoil, %", 1),
    }
)


@dataclass(frozen=True)
class ColumnWords:
    """The heading of a table's column, and how many decimals its numbers show."""

    heading: str
    digits: int = 0
    scale: float = 1.0


#: Columns of tables. A column without an entry is headed by its own name.
COLUMNS = MappingProxyType(
    {
        "site": ColumnWords(marked("garden")),
        "name": ColumnWords(marked("name")),
        "county": ColumnWords(marked("county")),
        "position_km": ColumnWords("km east"),
        "narrower_pct": ColumnWords("range of the slope narrower by, %", 1),
        "is_asked": ColumnWords("was asked"),
        "treatment": ColumnWords(marked("treatment")),
        "block": ColumnWords("block"),
        "plot": ColumnWords(marked("plot")),
        "plots": ColumnWords("plots"),
        "used": ColumnWords("counts"),
        "why_not": ColumnWords("why not"),
        "percent": ColumnWords(marked("difference, %"), 0),
        "percent_low": ColumnWords(marked("from, %"), 0),
        "percent_high": ColumnWords(marked("to, %"), 0),
        "mean_control": ColumnWords("control mean", 2),
        "mean_treatment": ColumnWords("treatment mean", 2),
        "rain_mm": ColumnWords("rain, mm"),
        "hot_days": ColumnWords("hot days"),
        "warm_nights": ColumnWords("warm nights"),
        "degree_days_c": ColumnWords("degree days, °C"),
        "degree_days_c_per_day": ColumnWords("degree days a day, °C", 1),
        "rain_mm_per_day": ColumnWords("rain a day, mm", 1),
        "freeze_free_days": ColumnWords("freeze-free days"),
        "percent_without": ColumnWords("answer without it, %", 1),
        "elevation_m": ColumnWords("height, m"),
        "texture": ColumnWords("topsoil"),
        "ph": ColumnWords("pH", 1),
        "soil_source": ColumnWords("soil from"),
        "weather_note": ColumnWords("weather"),
        "organic_matter_pct": ColumnWords("organic matter, %", 1),
        "state": ColumnWords("state"),
        "reason": ColumnWords("why"),
        "last_picking": ColumnWords("last picking"),
        "open_questions": ColumnWords("questions"),
        "rows_held": ColumnWords("rows on hold"),
        "rows_read": ColumnWords("rows read"),
        "rows_used": ColumnWords("rows in"),
        "sites": ColumnWords("gardens"),
        "verdict": ColumnWords("what became of it"),
        "pickings_received": ColumnWords("pickings here"),
        "pickings_expected": ColumnWords("pickings expected"),
        "date": ColumnWords(marked("date")),
        "code": ColumnWords("code"),
        "how_far": ColumnWords("moved the answer"),
        "percent_before": ColumnWords("itself before, %", 1),
        "percent_now": ColumnWords("itself now, %", 1),
        "answer_before": ColumnWords("answer before, %", 1),
        "answer_now": ColumnWords("answer now, %", 1),
        "moved_points": ColumnWords("moved the answer, points", 2),
        "outcome": ColumnWords("outcome"),
        "unit": ColumnWords("unit"),
        "p": ColumnWords("p", 4),
        "level": ColumnWords("limit for p", 4),
        "is_called": ColumnWords("limit crossed"),
        "estimate": ColumnWords("difference", 1),
        "ci_low": ColumnWords("from", 1),
        "ci_high": ColumnWords("to", 1),
        "axis_km": ColumnWords(marked("km east, rounded")),
        "gardens": ColumnWords(marked("gardens")),
        "volunteer_turns": ColumnWords("volunteers’ turns"),
        "service_hours": ColumnWords("hours of work"),
        "direct_contacts": ColumnWords("direct contacts"),
        "donated": ColumnWords("food donated"),
        "county_fips": ColumnWords("county code"),
        "expected": ColumnWords(marked("a new garden, %")),
        "expected_low": ColumnWords(marked("19 of 20 from, %")),
        "expected_high": ColumnWords(marked("to, %")),
        "marketable_kg_per_plant": ColumnWords(marked("kg per plant"), 2),
        "marketable_fruits_per_plant": ColumnWords("fruits per plant", 1),
        "mean_fruit_mass_g": ColumnWords("g per fruit", 0),
        "marketable_share": ColumnWords("marketable share, %", 0, 100.0),
        "early_kg_per_plant": ColumnWords("early kg per plant", 2),
        "days_to_first_harvest": ColumnWords("days to first pick", 0),
        "marketable_kg_per_survivor": ColumnWords("kg per surviving plant", 2),
        "height_cm": ColumnWords("height, cm", 0),
        "survival": ColumnWords("plants alive, %", 0, 100.0),
        "relative_audpc": ColumnWords("sick leaf, %", 1, 100.0),
        "difference_points": ColumnWords("difference, points", 1),
        "difference_points_low": ColumnWords("from, points", 1),
        "difference_points_high": ColumnWords("to, points", 1),
        "points_without": ColumnWords("answer without it, points", 2),
        "difference_days": ColumnWords("difference, days", 1),
        "difference_days_low": ColumnWords("from, days", 1),
        "difference_days_high": ColumnWords("to, days", 1),
        "days_without": ColumnWords("answer without it, days", 2),
    }
)
