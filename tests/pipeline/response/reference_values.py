"""The reference values under `tests/reference`, read as a test wants them."""

import json
import math
import re
from functools import cache
from pathlib import Path

import pandas as pd

FOLDER = Path(__file__).parents[2] / "reference"


def data(name: str) -> pd.DataFrame:
    """Return one of the input tables; text stays text, blanks are missing."""
    return pd.read_csv(FOLDER / "data" / f"{name}.csv")


@cache
def _blocks() -> dict[str, dict[str, float]]:
    return json.loads((FOLDER / "expected.json").read_text(encoding="utf-8"))


@cache
def _tolerances() -> tuple[tuple[re.Pattern[str], float, float], ...]:
    rules = json.loads((FOLDER / "tolerances.json").read_text(encoding="utf-8"))
    return tuple((re.compile(rule["pattern"]), rule["rel"], rule.get("abs", 0.0)) for rule in rules)


def expected(block: str, pattern: str = "") -> dict[str, float]:
    """Return the quantities of one block whose names match `pattern` from their first letter on."""
    return {name: value for name, value in _blocks()[block].items() if re.match(pattern, name)}


def disagreements(found: dict[str, float], wanted: dict[str, float]) -> dict[str, tuple[float, float]]:
    """Return found and wanted where they differ by more than the first matching tolerance allows.

    A quantity that was not computed at all counts as found nan.
    """
    wrong = {}
    for name, value in wanted.items():
        relative, absolute = next((rel, abs_) for pattern, rel, abs_ in _tolerances() if pattern.search(name))
        got = float(found.get(name, math.nan))
        if not math.isclose(got, value, rel_tol=relative, abs_tol=absolute):
            wrong[name] = (got, value)
    return wrong
