"""The outcomes of a plot's season: what each is, and on which scale treatments are compared."""

from dataclasses import dataclass
from typing import Literal

Scale = Literal["ratio", "difference"]


@dataclass(frozen=True)
class Outcome:
    """One outcome: the column of the plot seasons, its names for people, its unit."""

    name: str
    label: str
    unit: str
    scale: Scale = "ratio"


OUTCOMES: tuple[Outcome, ...] = (
    Outcome("marketable_kg_per_plant", "weight per plant", "kg"),
    Outcome("marketable_fruits_per_plant", "fruits per plant", "fruits"),
    Outcome("mean_fruit_mass_g", "weight of a fruit", "g"),
    Outcome("early_kg_per_plant", "early weight per plant", "kg"),
)

#: What is compared where a trial names nothing else.
PRIMARY = OUTCOMES[0].name

BY_NAME = {outcome.name: outcome for outcome in OUTCOMES}
