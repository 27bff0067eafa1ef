"""Soil of a garden: texture, acidity, organic matter and available water, from tests or from a map."""

from sites.soil.chemistry import organic_matter_from_carbon, ph_class
from sites.soil.garden_soil import soil_of_garden
from sites.soil.map_units import read_map_units, unit_of
from sites.soil.texture import CLASSES, texture_class
from sites.soil.water import available_water_of_texture, profile_available_water_cm

__all__ = [
    "CLASSES",
    "available_water_of_texture",
    "organic_matter_from_carbon",
    "ph_class",
    "profile_available_water_cm",
    "read_map_units",
    "soil_of_garden",
    "texture_class",
    "unit_of",
]
