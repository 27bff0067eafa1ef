"""The readout: what the strips say at the chosen garden, in words beside each of them."""

import json
from dataclasses import replace
from typing import Any

import pandas as pd
from dash import html

from dashboard.components.attributes import attributes
from dashboard.figures.gradient_rows import GradientRows
from dashboard.figures.response_strip import KEY_ROW_PX, key_rows
from dashboard.figures.row import around
from dashboard.figures.stack import Stack
from dashboard.figures.template import Screen
from dashboard.figures.titles import TITLE_PX
from dashboard.numerals import NOT_RECORDED, long_day, number, with_unit
from dashboard.words import GRADIENT_WORDS as WORDS
from dashboard.words import SHELL

Lines = tuple[str, ...]
#: Gardens whose lines a page carries.
MOST_READ = 100


def texts(rows: GradientRows, screen: Screen) -> dict[str, dict[str, Lines]]:
    """Return for each garden and each strip the lines to read there, the strongest first."""
    is_shown = (rows.effects["treatment"] == rows.focus) & rows.effects["site"].isin(rows.gardens["site"])
    effects = {effect["site"]: effect for effect in rows.effects[is_shown].to_dict("records")}
    known = {
        garden["site"]: _of_garden(garden, effects.get(garden["site"]), rows)
        for garden in rows.gardens.to_dict("records")
    }
    if screen.narrow:
        for lines in known.values():
            lines["land"] = (", ".join((*lines["land"], *lines["soil"])),)
    return known


def _of_garden(garden: dict[str, Any], effect: dict[str, Any] | None, rows: GradientRows) -> dict[str, Lines]:
    return {
        "where": (
            f"{garden['site']} {garden['name']}",
            SHELL["county"].format(county=garden["county"]),
            SHELL["km"].format(km=number(garden["position_km"])),
        ),
        "response": _response(effect, rows),
        "rain": (with_unit(garden["rain_mm"], "mm"), _weather_note(garden)),
        "hot": _hot(garden),
        "heat": (number(garden["degree_days_c"]), _estimated(garden)),
        "land": (with_unit(garden["elevation_m"], "m"),),
        "soil": (f"{garden['texture']}, pH {number(garden['ph'], 1)}", *_soil_source(garden)),
    }


def _hot(garden: dict[str, Any]) -> Lines:
    if pd.isna(garden["hot_days"]):
        return (NOT_RECORDED,)
    nights = f"{number(garden['warm_nights'])} nights"
    return f"{number(garden['hot_days'])} days", WORDS["warm_nights"].format(nights=nights)


def _estimated(garden: dict[str, Any]) -> str:
    if pd.isna(garden["degree_days_c"]):
        return _weather_note(garden)
    return WORDS["estimated"].format(share=with_unit(garden["days_estimated_share"] * 100, "%"))


def _soil_source(garden: dict[str, Any]) -> Lines:
    """Return where what is known of the soil comes from, and how old a test is."""
    tested = garden["soil_tested_on"]
    said = WORDS.get(str(garden["soil_source"]))
    return () if said is None else (said.format(day="" if pd.isna(tested) else long_day(tested)),)


def _response(effect: dict[str, Any] | None, rows: GradientRows) -> Lines:
    if effect is None:
        return (WORDS["no_effect"],)
    here = WORDS["here"].format(percent=rows.unit.said(effect["percent"]))
    if pd.isna(effect["percent_low"]) or pd.isna(effect["percent_high"]):
        return (here,) if rows.is_closed else (here, WORDS["so_far"])
    ends = rows.unit.between(effect["percent_low"], effect["percent_high"])
    return (here, WORDS["interval"].format(interval=ends))


def _weather_note(garden: dict[str, Any]) -> str:
    if garden["weather_note"] not in ("", NOT_RECORDED):
        return str(garden["weather_note"])
    if pd.isna(garden["nearest_station_km"]):
        return ""
    return WORDS["station"].format(km=with_unit(garden["nearest_station_km"], "km"))


def readouts(rows: GradientRows, stack: Stack, screen: Screen) -> list[html.Div]:
    """Return one block of lines for each strip, standing in the right gutter or at the strip's title.

    The block carries every garden's lines, so that a script can show another garden's while it is
    pointed at; of a crowd, those of the gardens around the chosen one.
    """
    known = texts(replace(rows, gardens=around(rows.gardens, rows.chosen, MOST_READ)), screen)
    chosen = known.get(rows.chosen or "", {})
    blocks = []
    for strip in stack.strips:
        lines = chosen.get(strip.name, ())[: 1 if screen.narrow else None]
        if not lines or (screen.narrow and strip.name == "soil"):
            continue
        blocks.append(
            html.Div(
                [
                    html.Span(
                        line,
                        className="strong" if index == 0 else "second",
                        **attributes(data_line=str(index)),
                    )
                    for index, line in enumerate(lines)
                ],
                className=f"readout readout-{strip.name}",
                style={"top": f"{stack.top(strip.name) - _title_above(strip.name, rows, screen)}px"},
                **attributes(data_strip=strip.name),
            )
        )
    return [
        html.Div(
            blocks,
            className="readouts",
            **attributes(
                data_readouts=json.dumps(known, ensure_ascii=False),
                data_chosen=rows.chosen or "",
                data_unread=WORDS["unread"],
            ),
        )
    ]


def _title_above(strip: str, rows: GradientRows, screen: Screen) -> int:
    """Return how far above its strip a narrow screen's title stands, pixels."""
    if not screen.narrow:
        return 0
    keys = len(key_rows(rows.treatments, screen)) if strip == "response" else 0
    return TITLE_PX + KEY_ROW_PX * keys
