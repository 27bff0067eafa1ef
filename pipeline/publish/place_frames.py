"""Frames of where gardens lie: attributes and what they mean, weather stations, neighbours."""

from pipeline.publish.frame import Column, Frame, Kind, frame
from sites.glossary import read_glossary

#: Kinds of the glossary of attributes by their name there.
_KINDS: dict[str, Kind] = {"text": "text", "number": "number", "date": "date", "flag": "flag"}


def _of_the_glossary() -> tuple[Column, ...]:
    """Return the columns of the attributes, with the glossary's kinds and meanings."""
    return tuple(
        Column(str(name), _KINDS[row["kind"]], row["meaning"]) for name, row in read_glossary().iterrows()
    )


ATTRIBUTES = Frame(
    "attributes",
    True,
    "What is known of each garden's place and weather over the season's window; the glossary explains it.",
    _of_the_glossary(),
)

GLOSSARY = frame(
    "glossary",
    False,
    "What each attribute of a garden and season means, how it is made and from what.",
    ("name", "text", "column of the attributes"),
    ("kind", "text", "text, number, date or flag"),
    ("label_en", "text", "its name in English, short enough for an axis"),
    ("label_es", "text", "its name in Spanish"),
    ("unit", "text", "unit of a number"),
    ("meaning", "text", "what it is"),
    ("method", "text", "how it is made"),
    ("source", "text", "from what"),
)

STATION_ERRORS = frame(
    "station_errors",
    False,
    "How far each station is missed when it is left out and estimated from the others, tonight.",
    ("method", "text", "A: nearest stations averaged; B: their departures from the west-to-east trend"),
    ("used", "flag", "whether gardens are given weather by this method"),
    ("element", "text", "tmax_c, tmin_c or prcp_mm"),
    ("group", "text", "network, season (of the weather) or station"),
    ("name", "text", "which season or station, blank for the network"),
    ("days", "whole", "station days compared"),
    ("bias", "number", "mean of estimate less observation, °C or mm a day"),
    ("mae", "number", "mean absolute error, °C or mm a day"),
    ("rmse", "number", "root mean square error, °C or mm a day"),
)

STATION_DOUBTS = frame(
    "station_doubts",
    False,
    "What of the station record is left out because the stations around contradict it.",
    ("station", "text", "station"),
    ("name", "text", "its name"),
    ("column", "text", "tmax_c, tmin_c or prcp_mm"),
    ("year", "whole", "calendar year in which it is left out"),
    ("doubt", "text", "what is wrong"),
    ("size", "number", "how much, by the kind of doubt"),
    ("days", "whole", "days compared, or single days left out"),
    ("first_day", "date", "first day left out"),
    ("last_day", "date", "last day left out"),
    ("said_en", "text", "the same as a sentence"),
    ("said_es", "text", "the same in Spanish"),
)

STATIONS_IN_DOUBT = frame(
    "stations_in_doubt",
    False,
    "One row for each station of which something is left out; station_doubts has each reason.",
    ("station", "text", "station"),
    ("name", "text", "its name"),
    ("values", "whole", "daily values left out"),
    ("first_day", "date", "first day of them"),
    ("last_day", "date", "last day of them"),
    ("said_en", "text", "the same as a sentence"),
    ("said_es", "text", "the same in Spanish"),
)

CLOSE_PAIRS = frame(
    "close_pairs",
    True,
    "Gardens of the trial too near to each other to be independent, nearest first.",
    ("site", "text", "garden"),
    ("neighbour", "text", "the other garden"),
    ("distance_km", "number", "kilometres between them"),
    ("said_en", "text", "the same in words"),
    ("said_es", "text", "the same in Spanish"),
)
