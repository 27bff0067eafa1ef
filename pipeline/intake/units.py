"""Units that people write, and what they are in kilograms and centimetres."""

from collections.abc import Mapping

#: Kilograms in one unit; pound and ounce are exact by the international avoirdupois definition (1959).
KG_PER_UNIT: dict[str, float] = {"g": 0.001, "kg": 1.0, "oz": 0.028349523125, "lb": 0.45359237}

#: Centimetres in one unit; the inch is exact (1959).
CM_PER_UNIT: dict[str, float] = {"cm": 1.0, "in": 2.54, "mm": 0.1, "m": 100.0, "ft": 30.48}

#: Ounces in a pound: a second number below it can be ounces.
OUNCES_PER_POUND = 16

#: Pounds and ounces in one cell, as a kitchen scale shows them.
POUNDS_AND_OUNCES = "lb oz"

_WEIGHT_WORDS = {
    "g": "g gr grs gm gms gram grams gramme grammes gramo gramos",
    "kg": "kg kgs kgr kgrs kilo kilos kilogram kilograms kilogramme kilogrammes kilogramo kilogramos k",
    "oz": "oz ozs ounce ounces onz onza onzas",
    "lb": "lb lbs lb's lbs' pound pounds libra libras # #s",
}
_LENGTH_WORDS = {
    "cm": "cm cms centimeter centimeters centimetre centimetres centimetro centimetros "
    "centímetro centímetros",
    "in": 'in ins inch inches " pulgada pulgadas pulg',
    "mm": "mm millimeter millimeters millimetre millimetres milimetro milimetros milímetro milímetros",
    "m": "m meter meters metre metres metro metros",
    "ft": "ft foot feet ' pie pies",
}


def _by_word(words: Mapping[str, str]) -> dict[str, str]:
    return {word: unit for unit, of_unit in words.items() for word in of_unit.split()}


#: How people write units of weight, in English and Spanish.
WEIGHT_UNITS: dict[str, str] = _by_word(_WEIGHT_WORDS)

#: How people write units of length.
LENGTH_UNITS: dict[str, str] = _by_word(_LENGTH_WORDS)

#: The unit that a bare weight is read in, by the units of the network.
BARE_WEIGHT: dict[str, str] = {"us": "lb", "si": "kg"}


def weight_unit(text: str) -> str | None:
    """Return the unit of weight that a cell or a header names: g, kg, oz, lb or "lb oz"; None for others."""
    word = text.strip().strip(".: ").casefold()
    if (unit := WEIGHT_UNITS.get(word)) is not None:
        return unit
    pair = [WEIGHT_UNITS.get(part) for part in _parts(word)]
    return POUNDS_AND_OUNCES if pair == ["lb", "oz"] else None


def length_unit(text: str) -> str | None:
    """Return the unit of length that a cell or a header names, or None."""
    return LENGTH_UNITS.get(text.strip().strip(".: ").casefold())


def _parts(word: str) -> list[str]:
    """Return the words of a text such as `lb/oz`, `lbs & oz` or `libras y onzas`."""
    for joint in ("/", "-", "&", "+", ",", ":"):
        word = word.replace(joint, " ")
    return [part.strip(".") for part in word.split() if part not in ("and", "y", "e")]
