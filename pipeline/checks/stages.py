"""Harvest maturity in the words that people use: immature, mature or ripe."""

import polars as pl

from pipeline.checks.lookup import looked_up, with_blanks
from pipeline.intake.sheets import plain

#: Words for a stage in English and Spanish, whatever the crop. Common practice, no source.
_WORDS = {
    "immature": "immature, young, unripe, too small, undersize, baby, tierno, inmaduro, verde tierno, joven",
    "mature": "mature, full size, mature green, sazón, verde sazón, tamaño completo",
    "ripe": "ripe, full ripe, fully ripe, overripe, over ripe, maduro, muy maduro, pasado, bien maduro",
}

#: Colours of a crop that is green at full size and colours as it ripens: tomato's are the six of the US grade
#: standard (7 CFR 51.1860: green, breakers, turning, pink, light red, red); others are common practice, no
#: source.
_COLOURS = {
    "mature": "green, verde",
    "ripe": "breaker, breakers, turning, pink, light red, red, yellow, orange, purple, colored, coloured, "
    "color, rayado, pintón, rosa, rosado, rojo claro, rojo, amarillo, anaranjado, naranja, morado, con color",
}


def _by_word(stages: dict[str, str]) -> dict[str, str]:
    return {plain(word): stage for stage, words in stages.items() for word in words.split(",")}


_STAGE_OF_WORD, _STAGE_OF_COLOUR = _by_word(_WORDS), _by_word(_COLOURS)


def read_stage(text: str, *, turns_colour: bool) -> str | None:
    """Return the stage that a word means for a crop, None where it means none that we know."""
    word = plain(text)
    stage = _STAGE_OF_WORD.get(word) or _STAGE_OF_WORD.get(word.removesuffix("s"))
    if stage is None and turns_colour:
        stage = _STAGE_OF_COLOUR.get(word)
    return stage


def with_stages(rows: pl.DataFrame) -> pl.DataFrame:
    """Return harvest rows with `stage_read`: immature, mature, ripe, or null where blank or not known."""
    if rows["stage"].null_count() == rows.height:
        return with_blanks(rows, {"stage_read": pl.String})
    kinds = ["stage", "turns_colour"]
    written = rows.select(kinds).filter(pl.col("stage").is_not_null()).unique()
    found = [read_stage(stage, turns_colour=bool(turns_colour)) for stage, turns_colour in written.rows()]
    return looked_up(rows, written.with_columns(pl.Series("stage_read", found, pl.String)), kinds)
