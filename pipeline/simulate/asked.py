"""What a simulated network is asked to be."""

from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from pipeline.simulate.faults import USUAL_KINDS
from pipeline.simulate.stories import Stories
from pipeline.simulate.trials import GRAFT, TrialPlan
from pipeline.simulate.truth import Truth


@dataclass(frozen=True)
class Network:
    """What a simulated network is asked to be.

    `like` is a workspace to take gardens, climate and soil from; `workbooks` how many gardens send their
    last harvest sheet as a spreadsheet. `faults` is the share of rows with one of `fault_kinds`; of
    `sheet_faults` each garden in turn gets one for its whole sheet, blank for none. `fruit_cv` is the
    coefficient of variation between fruits, `mass_spread` that of the mean fruit between gardens and between
    days. `crop` is that of the first trial, `truth` what is true of every trial that does not say otherwise.
    `has_other_sheets` adds deliveries, looks at the plants, work days and soil tests to what gardens send.
    """

    gardens: int = 24
    seasons: tuple[str, ...] = ("2024",)
    seed: int = 1
    faults: float = 0.04
    fault_kinds: tuple[str, ...] = USUAL_KINDS
    sheet_faults: tuple[str, ...] = ()
    crop: str = GRAFT.crop
    fruit_cv: float = 0.1
    mass_spread: float = 0.0
    truth: Truth = field(default_factory=lambda: Truth(effects=(0.2, 0.2)))
    blocks: int = 3
    plants_per_plot: int = 2
    today: date | None = None
    like: Path | None = None
    workbooks: int = 0
    trials: tuple[TrialPlan, ...] = (GRAFT,)
    stories: Stories = field(default_factory=Stories)
    has_other_sheets: bool = False

    @property
    def plans(self) -> tuple[TrialPlan, ...]:
        """The trials with all that they take over from the network."""
        first, *others = self.trials
        return tuple(
            replace(
                plan,
                truth=plan.truth or self.truth,
                blocks=plan.blocks or self.blocks,
                plants_per_plot=plan.plants_per_plot or self.plants_per_plot,
            )
            for plan in (replace(first, crop=self.crop), *others)
        )
