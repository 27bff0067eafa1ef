"""The network's answer as data: every quantity under the name that the JSON output gives it."""

from collections.abc import Iterable
from dataclasses import dataclass, field, fields
from typing import Any

Number = float | None


@dataclass(frozen=True)
class Term:
    """One coefficient of a regression, in the unit of its covariate; the intercept is at covariate 0."""

    name: str
    coefficient: Number = None
    se: Number = None
    df: Number = None
    ci_low: Number = None
    ci_high: Number = None
    p: Number = None

    def to_json(self) -> dict[str, Any]:
        """Return plain values under the same names."""
        return plain(self)


@dataclass(frozen=True)
class Regression:
    """How the effect follows covariates: the terms, their joint F, and what they leave unexplained."""

    terms: tuple[Term, ...]
    tau2: Number = None
    r2: Number = None
    f: Number = None
    f_df1: Number = None
    f_df2: Number = None
    f_p: Number = None
    qe: Number = None
    qe_df: Number = None
    qe_p: Number = None
    unknown: dict[str, str] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Return plain values under the same names."""
        return plain(self) | {"terms": [term.to_json() for term in self.terms]}


@dataclass(frozen=True)
class Pooled:
    """The mean effect over gardens, and the regression if there is one.

    A quantity that is not known is None, and `unknown` says why under its name. `method`, `interval` and
    `prediction` name what was used. `garden_seasons` and `season_tau2`, the variance between seasons of a
    garden, are there where seasons were combined first.
    """

    k: int
    estimate: float
    se: Number = None
    df: Number = None
    ci_low: Number = None
    ci_high: Number = None
    p: Number = None
    pi_low: Number = None
    pi_high: Number = None
    tau2: Number = None
    tau2_low: Number = None
    tau2_high: Number = None
    q: Number = None
    q_df: Number = None
    q_p: Number = None
    i2: Number = None
    h2: Number = None
    garden_seasons: int | None = None
    season_tau2: Number = None
    method: str = ""
    interval: str = ""
    prediction: str = ""
    gradient: Regression | None = None
    unknown: dict[str, str] = field(default_factory=dict)

    def to_json(self) -> dict[str, Any]:
        """Return plain values under the same names."""
        return plain(self) | {"gradient": None if self.gradient is None else self.gradient.to_json()}


def because(reason: str, names: Iterable[str]) -> dict[str, str]:
    """Return the same reason under every name."""
    return dict.fromkeys(names, reason)


def plain(answer: Any) -> dict[str, Any]:
    """Return the fields of an answer by name, one level deep."""
    return {entry.name: getattr(answer, entry.name) for entry in fields(answer)}
