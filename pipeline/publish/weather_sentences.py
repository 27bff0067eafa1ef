"""What stands under figures that show weather: from how many stations, how far off, and who lacks it."""

import pandas as pd

from pipeline.publish.answer_frames import SENTENCES
from sites.climate import JudgedRecord
from sites.units import MM_PER_INCH

#: Gardens whose lack of weather is told one by one; the others are counted.
MOST_NAMED = 5

_ELEMENTS = ("tmax_c", "tmin_c", "prcp_mm")

_WORDS = {
    "en": {
        "stations": "Weather comes from {count} stations ({method}). With each left out in turn, its days "
        "are missed by about {tmax} at the maximum, {tmin} at the minimum and {rain} of rain.",
        "plain": "Weather comes from the nearest stations, of {count} in all. There are too few to tell how "
        "far off it is.",
        "none": "There is no weather: no station records are here yet.",
        "A": "the nearest averaged",
        "B": "what differs from the west-to-east trend averaged",
        "left_out": "In part, {count} of them contradict the stations around; that part is left out.",
        "lacking": "Not all of the weather: {gardens}.",
        "more": "{count} more",
    },
    "es": {
        "stations": "El tiempo viene de {count} estaciones ({method}). Si se quita cada una por turno, sus "
        "días se apartan cerca de {tmax} en la máxima, {tmin} en la mínima y {rain} de lluvia.",
        "plain": "El tiempo viene de las estaciones más cercanas, de {count} en total. Son muy pocas para "
        "saber cuánto se aparta.",
        "none": "No hay datos del tiempo: todavía no hay registros de estaciones.",
        "A": "promedio de las más cercanas",
        "B": "promedio de lo que se aparta de la tendencia de oeste a este",
        "left_out": "En parte, {count} de ellas contradicen a sus vecinas; esa parte no se usa.",
        "lacking": "Sin todos los datos del tiempo: {gardens}.",
        "more": "{count} más",
    },
}


def weather_sentences(record: JudgedRecord, place: pd.DataFrame, units: str) -> pd.DataFrame:
    """Return a season's sentences about its weather, one for each language, as rows of the frame sentences.

    `place` are the attributes of the season's gardens; `units` us or si.
    """
    rows = [
        {
            "outcome": "",
            "treatment": "",
            "place": "weather",
            "language": language,
            "sentence": _of_stations(record, words, units),
            "sure": " ".join(part for part in (_left_out(record, words), _lacking(place, words)) if part),
        }
        for language, words in _WORDS.items()
    ]
    return pd.DataFrame(rows, columns=SENTENCES.column_names)


def _of_stations(record: JudgedRecord, words: dict[str, str], units: str) -> str:
    count = len(record.stations)
    if not count:
        return words["none"]
    used = record.errors[record.errors["used"] & (record.errors["group"] == "network")]
    mae = used.set_index("element")["mae"].dropna()
    if not set(_ELEMENTS) <= set(mae.index):
        return words["plain"].format(count=count)
    tmax, tmin, rain = (float(mae[each]) for each in _ELEMENTS)
    return words["stations"].format(
        count=count,
        method=words[record.method_name],
        tmax=_step(tmax, units),
        tmin=_step(tmin, units),
        rain=f"{rain / MM_PER_INCH:.2f} in" if units == "us" else f"{rain:.1f} mm",
    )


def _step(celsius: float, units: str) -> str:
    """Return a difference of temperatures, which converts without the offset of the scales."""
    return f"{celsius * 1.8:.0f} °F" if units == "us" else f"{celsius:.1f} °C"


def _left_out(record: JudgedRecord, words: dict[str, str]) -> str:
    doubted = record.doubts["station"].nunique()
    return words["left_out"].format(count=doubted) if doubted else ""


def _lacking(place: pd.DataFrame, words: dict[str, str]) -> str:
    """Return which gardens have no number for heat or rain, and why."""
    lacking = place[place[["degree_days_c", "rain_mm"]].isna().any(axis=1)]
    if lacking.empty:
        return ""
    named = lacking.head(MOST_NAMED)
    told = [f"{site} ({note})" for site, note in zip(named["site"], named["weather_note"], strict=True)]
    if len(lacking) > MOST_NAMED:
        told.append(words["more"].format(count=len(lacking) - MOST_NAMED))
    return words["lacking"].format(gardens=", ".join(told))
