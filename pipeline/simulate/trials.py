"""Trials that can be simulated: what is compared, in which crop, and when. All names are invented."""

from dataclasses import dataclass, field
from datetime import date

from pipeline.simulate.truth import Truth


@dataclass(frozen=True)
class Treatment:
    """One treatment of a trial, as its registry names it."""

    name: str
    code: str
    label: str
    rootstock: str = ""


@dataclass(frozen=True)
class TrialPlan:
    """One trial as it is repeated from season to season.

    `treatments` begin with the control. `start` and `close` are month and day; gardens plant
    `planting_days` after the start. `sites` are the gardens that take part, all where it is empty, and
    `seasons` the years, all where it is empty. `interim` are month and day of the interim analyses that it
    names. `truth` is what is true where it is not the network's.
    """

    trial: str
    crop: str
    cultivar: str
    treatments: tuple[Treatment, ...]
    start: tuple[int, int] = (5, 10)
    close: tuple[int, int] = (10, 5)
    planting_days: tuple[int, int] = (3, 16)
    first_picking_day: int = 64
    days_between_pickings: float = 5.5
    is_sown: bool = False
    plants_per_plot: int | None = None
    blocks: int | None = None
    sites: tuple[str, ...] = ()
    seasons: tuple[str, ...] = ()
    interim: tuple[tuple[int, int], ...] = ()
    truth: Truth | None = field(default=None)

    @property
    def control(self) -> str:
        """The treatment that all others are compared to."""
        return self.treatments[0].name

    @property
    def codes(self) -> dict[str, str]:
        """The code on the tags of each treatment."""
        return {treatment.name: treatment.code for treatment in self.treatments}

    @property
    def grafted(self) -> frozenset[str]:
        """The treatments whose plants have a graft union."""
        return frozenset(treatment.name for treatment in self.treatments if treatment.rootstock)

    def days(self, year: str) -> tuple[date, date]:
        """Return the first and the last day of a season."""
        return date(int(year), *self.start), date(int(year), *self.close)

    def interim_dates(self, year: str) -> str:
        """Return the days of the interim analyses of a season as the registry writes them."""
        return " ".join(date(int(year), *day).isoformat() for day in self.interim)


GRAFT = TrialPlan(
    trial="eggplant-graft",
    crop="eggplant",
    cultivar="Velvet Anvil",
    treatments=(
        Treatment("own-root", "A", "own-root plants"),
        Treatment("corvane", "B", "grafting on Corvane", rootstock="Corvane"),
        Treatment("tressel", "C", "grafting on Tressel", rootstock="Tressel"),
    ),
)

MULCH = TrialPlan(
    trial="okra-mulch",
    crop="okra",
    cultivar="Tin Lantern",
    treatments=(
        Treatment("bare", "J", "bare soil"),
        Treatment("straw", "K", "straw mulch"),
        Treatment("compost", "L", "compost mulch"),
    ),
    start=(5, 15),
    close=(9, 25),
    planting_days=(2, 10),
    first_picking_day=56,
    days_between_pickings=3.6,
    is_sown=True,
    truth=Truth(effects=(0.1, 0.18), slope_per_100_km=0.0, tau=0.08, cv=0.22),
)
