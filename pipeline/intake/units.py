"""Units that people write, and what they are in kilograms and centimetres."""

#: Kilograms in one unit; pound and ounce are exact by the international avoirdupois definition (1959).
KG_PER_UNIT: dict[str, float] = {"g": 0.001, "kg": 1.0, "oz": 0.028349523125, "lb": 0.45359237}

#: Centimetres in one unit; the inch is exact (1959).
CM_PER_UNIT: dict[str, float] = {"cm": 1.0, "in": 2.54, "mm": 0.1}

#: How people write units of weight, in English and Spanish.
WEIGHT_UNITS: dict[str, str] = {
    **dict.fromkeys(["g", "gr", "grs", "gm", "gms", "gram", "grams", "gramo", "gramos"], "g"),
    **dict.fromkeys(
        ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms", "kilogramo", "kilogramos", "k"], "kg"
    ),
    **dict.fromkeys(["oz", "ozs", "ounce", "ounces", "onza", "onzas"], "oz"),
    **dict.fromkeys(["lb", "lbs", "pound", "pounds", "libra", "libras", "#"], "lb"),
}

#: How people write units of length.
LENGTH_UNITS: dict[str, str] = {
    **dict.fromkeys(
        [
            "cm",
            "cms",
            "centimeter",
            "centimeters",
            "centimetre",
            "centimetres",
            "centimetro",
            "centimetros",
            "centímetro",
            "centímetros",
        ],
        "cm",
    ),
    **dict.fromkeys(["in", "ins", "inch", "inches", '"', "pulgada", "pulgadas"], "in"),
    **dict.fromkeys(
        ["mm", "millimeter", "millimeters", "millimetre", "millimetres", "milimetro", "milimetros"], "mm"
    ),
}

#: The unit that a bare weight is read in, by the units of the network.
BARE_WEIGHT: dict[str, str] = {"us": "lb", "si": "kg"}
