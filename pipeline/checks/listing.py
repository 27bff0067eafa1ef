"""The catalogue of checks as people read it: by theme, with what they look at, words and limits of crops."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from pipeline.checks.every import MADE_BY_READING, MADE_BY_STORE
from pipeline.checks.garden_places import COUNTY_CHECK, PLACE_CHECKS
from pipeline.checks.season.find import SEASON_CATALOGUE
from pipeline.checks.shown import shown_number
from pipeline.checks.themes import (
    keys,
    outreach,
    planting,
    plots,
    ranges,
    reading,
    registry,
    season,
    soil,
    units,
    weights,
)
from pipeline.checks.words import catalogue_words
from pipeline.words import LANGUAGES, translate

#: What a check says, in the order in which a reader needs it.
PARTS = ("message", "why", "remedy", "if_nothing")


@dataclass(frozen=True)
class Listed:
    """One check as it is listed; `words` holds its four parts by language, placeholders in braces."""

    theme: str
    name: str
    sheets: str
    looks_at: str
    level: str
    when: str
    words: Mapping[str, Mapping[str, str]]


@dataclass(frozen=True)
class Limit:
    """A range of the crop table that checks are held against, and where it is from."""

    title: str
    unit: str
    low: str
    high: str
    hard_low: str
    hard_high: str
    source: str


#: The ranges of the crop table. Outside the usual range we ask; beyond a hard limit a row waits.
LIMITS = (
    Limit(
        "weight of a fruit",
        "g",
        "fruit_mass_low_g",
        "fruit_mass_high_g",
        "fruit_mass_hard_low_g",
        "fruit_mass_hard_high_g",
        "fruit_mass_source",
    ),
    Limit(
        "fruits of a plant",
        "",
        "fruits_per_plant_low",
        "fruits_per_plant_high",
        "",
        "fruits_per_plant_hard_high",
        "fruits_source",
    ),
    Limit(
        "yield of a plant",
        "kg",
        "yield_per_plant_low_kg",
        "yield_per_plant_high_kg",
        "",
        "yield_per_plant_hard_high_kg",
        "yield_source",
    ),
    Limit(
        "days to the first picking, set out",
        "days",
        "days_set_out_low",
        "days_set_out_high",
        "",
        "",
        "days_source",
    ),
    Limit(
        "days to the first picking, sown", "days", "days_sown_low", "days_sown_high", "", "", "days_source"
    ),
)


def _themes() -> Iterator[tuple[str, list[str]]]:
    yield "Files, tabs and headers", list(MADE_BY_READING)
    yield "Cells", [check.name for check in reading.CHECKS]
    yield "Dates", [check.name for check in reading.DATES]
    yield "Gardens, plots and seasons", [check.name for check in registry.CHECKS]
    yield "Rows sent twice", [check.name for check in keys.CHECKS]
    yield "What was sent before", list(MADE_BY_STORE)
    yield "Numbers that cannot be", [check.name for check in ranges.CHECKS]
    yield "Units", [check.name for check in units.CHECKS]
    yield "Weights and counts", [check.name for check in weights.CHECKS]
    yield "Pickings of a day", [check.name for check in season.CHECKS]
    yield "What became of a plot", [check.name for check in plots.CHECKS]
    yield "Planting", [check.name for check in planting.CHECKS]
    yield "Work days", [check.name for check in outreach.CHECKS]
    yield "Soil tests", [check.name for check in soil.CHECKS]
    yield "A whole season", [check.name for check in SEASON_CATALOGUE]
    yield "Places of gardens", [*(check.name for check in PLACE_CHECKS.values()), COUNTY_CHECK.name]


def listed_checks() -> list[Listed]:
    """Return every check once, under the first theme that it belongs to."""
    words = catalogue_words()
    theme_of: dict[str, str] = {}
    for theme, names in _themes():
        for name in names:
            theme_of.setdefault(name, theme)
    return [_listed(theme, words[name]) for name, theme in theme_of.items()]


def _listed(theme: str, words: Mapping[str, str]) -> Listed:
    name = words["check"]
    said = {
        language: {
            part: translate(language).npgettext(
                f"{name} {part}", words["message_one_en"], words[f"{part}_en"], 2
            )
            if part == "message" and words["message_one_en"]
            else translate(language).pgettext(f"{name} {part}", words[f"{part}_en"])
            for part in PARTS
        }
        for language in LANGUAGES
    }
    return Listed(theme, name, words["sheet"], words["looks_at"], words["level"], words["when"], said)


def crop_limits(crops: pd.DataFrame) -> list[dict[str, Any]]:
    """Return the limits of the crop table, one row for each crop and limit that it has.

    `crops` is the table that `sites.crops.read_crops` returns. A missing number is None.
    """
    rows = []
    for crop, values in crops.iterrows():
        for limit in LIMITS:
            low, high = _number(values, limit.low), _number(values, limit.high)
            if low is None and high is None:
                continue
            rows.append(
                {
                    "crop": str(crop),
                    "name": values["name_en"],
                    "limit": limit.title,
                    "unit": limit.unit,
                    "low": low,
                    "high": high,
                    "hard_low": _number(values, limit.hard_low),
                    "hard_high": _number(values, limit.hard_high),
                    "source": values[limit.source],
                }
            )
    return rows


def _number(values: pd.Series, name: str) -> float | None:
    return float(values[name]) if name and pd.notna(values[name]) else None


def as_document(checks: list[Listed], crops: pd.DataFrame) -> dict[str, Any]:
    """Return the catalogue as programs read it."""
    listed = [
        {
            "check": one.name,
            "theme": one.theme,
            "sheets": one.sheets,
            "looks_at": one.looks_at,
            "level": one.level,
            "when": one.when,
            "words": {language: dict(parts) for language, parts in one.words.items()},
        }
        for one in checks
    ]
    return {"checks": listed, "crop_limits": crop_limits(crops)}


_HEAD = """# What Longrow checks

Made by `longrow checks --markdown > pipeline/checks/CATALOGUE.md`; a test fails where it is behind.

Three levels: **held**, the row waits until it is mended, and the rest of the file counts; **question**, the
row counts and somebody is asked; **note**, we say what we did. Words in braces are filled in.
"""


def as_markdown(checks: list[Listed], crops: pd.DataFrame) -> str:
    """Return the catalogue as a document."""
    parts = [_HEAD]
    theme = ""
    for one in checks:
        if one.theme != theme:
            theme = one.theme
            parts.append(f"## {theme}\n")
        parts.append(_entry(one))
    parts.append("## Limits of the crop table\n")
    parts.append(
        "A network may set its own. Outside the usual range we ask; beyond the hard limit a row waits.\n"
    )
    head = "| crop | limit | usual | hard limit | source |\n|---|---|---|---|---|\n"
    parts.append(head + "".join(_limit_line(row) for row in crop_limits(crops)))
    return "\n".join(parts)


def _entry(one: Listed) -> str:
    lines = [
        f"### {one.name}\n",
        f"*{one.level}* · {one.sheets} · {one.looks_at}\n",
        f"{_escaped(one.when)}\n",
    ]
    for language, parts in one.words.items():
        lines.append(f"> **{language}** " + " ".join(parts.values()) + "\n")
    return "\n".join(lines)


def _escaped(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "\\<").replace("*", "\\*")


def _limit_line(row: Mapping[str, Any]) -> str:
    hard = shown_range(row["hard_low"], row["hard_high"], row["unit"])
    usual = shown_range(row["low"], row["high"], row["unit"])
    return f"| {row['name']} | {row['limit']} | {usual} | {hard} | {_escaped(row['source'])} |\n"


def shown_range(low: float | None, high: float | None, unit: str) -> str:
    """Return a range as text; an end that is not known is left out."""
    if low == high and low is not None:
        return f"{_rounded(low)} {unit}".strip()
    if low is None or high is None:
        return f"from {_rounded(low)} {unit}".strip() if low is not None else _up_to(high, unit)
    return f"{_rounded(low)} to {_rounded(high)} {unit}".strip()


def _up_to(high: float | None, unit: str) -> str:
    return "" if high is None else f"up to {_rounded(high)} {unit}".strip()


def _rounded(value: float) -> str:
    """Return a limit with the digits that matter."""
    return shown_number(round(value, 2 if value < 10 else 0))
