"""The reference values, their inputs and their tolerances, for tests that loop over quantities by name."""

import json
import math
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pandas as pd

HERE = Path(__file__).parent


@cache
def _all() -> dict[str, dict[str, float]]:
    return json.loads((HERE / "expected.json").read_text(encoding="utf-8"))


def datasets() -> list[str]:
    """Return the names of all datasets."""
    return list(_all())


def expected(dataset: str) -> dict[str, float]:
    """Return all reference values of a dataset by name."""
    return _all()[dataset]


def data(name: str) -> pd.DataFrame:
    """Return a dataset's table."""
    return pd.read_csv(HERE / "data" / f"{name}.csv")


def tolerance(quantity: str) -> tuple[float, float]:
    """Return the relative and absolute tolerance of a quantity: the first pattern that matches."""
    for entry in _tolerances():
        if re.search(entry["pattern"], quantity):
            return entry.get("rel", 0.0), entry.get("abs", 0.0)
    raise LookupError(quantity)


def compare(dataset: str, found: Mapping[str, float], covering: str = "") -> list[str]:
    """Return what disagrees with the reference, one line each; empty where all agrees.

    Every reference quantity whose name matches the pattern `covering` in full must be among `found`, and
    every one of `found` must be a reference quantity, so that a test cannot pass by comparing nothing.
    """
    reference = expected(dataset)
    wanted = {name for name in reference if covering and re.fullmatch(covering, name)}
    wrong = [f"{name}: not computed" for name in sorted(wanted - set(found))]
    wrong += [f"{name}: no such reference value" for name in sorted(set(found) - set(reference))]
    for name in sorted(set(found) & set(reference)):
        relative, absolute = tolerance(name)
        if not math.isclose(found[name], reference[name], rel_tol=relative, abs_tol=absolute):
            wrong.append(f"{name}: {found[name]!r} instead of {reference[name]!r}")
    if not set(found) & set(reference):
        wrong.append("nothing was compared")
    return wrong


@cache
def _tolerances() -> list[dict]:
    return json.loads((HERE / "tolerances.json").read_text(encoding="utf-8"))
