"""The outcomes of a plot's season: what each is, and on which scale treatments are compared."""

from dataclasses import dataclass
from typing import Literal

import pandas as pd

from pipeline.response.loss_causes import NOT_THE_TREATMENT

Scale = Literal["ratio", "difference"]

#: Whether an outcome is added up from pickings, which must be complete, or seen at looks.
Source = Literal["pickings", "looks"]


@dataclass(frozen=True)
class Outcome:
    """One outcome: the column of the plot seasons, its name for people, its unit, and how it is compared.

    Shares of few plants and days are compared by differences: a share may be 0 in a garden's control, and a
    date has no ratio.
    """

    name: str
    label: str
    unit: str
    scale: Scale = "ratio"
    source: Source = "pickings"


OUTCOMES: tuple[Outcome, ...] = (
    Outcome("marketable_kg_per_plant", "weight per plant", "kg"),
    Outcome("marketable_kg_per_survivor", "weight per surviving plant", "kg"),
    Outcome("marketable_fruits_per_plant", "fruits per plant", "fruits"),
    Outcome("mean_fruit_mass_g", "weight of a fruit", "g"),
    Outcome("marketable_share", "marketable share", "", "difference"),
    Outcome("early_kg_per_plant", "early weight per plant", "kg"),
    Outcome("days_to_first_harvest", "days to the first picking", "days", "difference"),
    Outcome("height_cm", "height", "cm", "ratio", "looks"),
    Outcome("survival", "survival", "", "difference", "looks"),
    Outcome("relative_audpc", "share of leaf sick", "", "difference", "looks"),
)

#: What is compared where a trial names nothing else.
PRIMARY = OUTCOMES[0].name

BY_NAME = {outcome.name: outcome for outcome in OUTCOMES}


def plots_with(plots: pd.DataFrame, outcome: Outcome) -> pd.DataFrame:
    """Return the plot seasons that say something of an outcome, with it as `value`.

    An outcome of pickings takes plots that are `used`; one of looks every plot that nobody took away.
    """
    usable = plots["used"] if outcome.source == "pickings" else ~plots["lost_to"].isin(NOT_THE_TREATMENT)
    rows = plots[usable & plots[outcome.name].notna()]
    return rows.assign(value=rows[outcome.name])[["site", "block", "treatment", "value"]]
