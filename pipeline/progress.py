"""What a run is doing: its steps, how long each takes and how many rows it handled."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Protocol


@dataclass
class Step:
    """One step of a run."""

    step: str
    rows: int = 0
    seconds: float = 0.0


class Observer(Protocol):
    """Somebody who watches a run, such as a progress bar."""

    def started(self, step: str, total: int | None) -> None:
        """A step begins; `total` is how much there is to do, where it is known."""

    def advanced(self, step: str, by: int, rows: int) -> None:
        """Some of the step is done; `rows` is how many rows it has handled by now."""

    def ended(self, step: Step) -> None:
        """The step is done; one that failed never ends."""


class _NobodyWatches:
    def started(self, step: str, total: int | None) -> None:
        """Take no notice."""

    def advanced(self, step: str, by: int, rows: int) -> None:
        """Take no notice."""

    def ended(self, step: Step) -> None:
        """Take no notice."""


@dataclass
class Progress:
    """The steps of one run so far."""

    observer: Observer = field(default_factory=_NobodyWatches)
    steps: list[Step] = field(default_factory=list)

    @contextmanager
    def step(self, name: str, total: int | None = None) -> Iterator["Advance"]:
        """Time a step; the object that it gives counts what is done."""
        step = Step(name)
        self.steps.append(step)
        self.observer.started(name, total)
        began = time.perf_counter()
        try:
            yield Advance(step, self.observer)
        finally:
            step.seconds = time.perf_counter() - began
        self.observer.ended(step)


@dataclass(frozen=True)
class Advance:
    """Counts what a step has done."""

    step: Step
    observer: Observer

    def __call__(self, by: int = 1, rows: int = 0) -> None:
        """Say that some of the step is done and how many rows that were."""
        self.step.rows += rows
        self.observer.advanced(self.step.step, by, self.step.rows)
