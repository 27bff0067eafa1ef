"""What a night did, for programs and for people."""

from dataclasses import dataclass, field
from typing import Any

from pipeline.progress import Step
from pipeline.store.counts import Counts


@dataclass
class NightReport:
    """What a night did."""

    run: int
    status: str = "failed"
    counts: Counts = field(default_factory=Counts)
    again: int = 0
    steps: list[Step] = field(default_factory=list)
    trouble: str = ""

    @property
    def seconds(self) -> float:
        """How long the steps took together."""
        return sum(step.seconds for step in self.steps)

    def to_json(self) -> dict[str, Any]:
        """Return the report as programs read it."""
        counts = self.counts
        return {
            "run": self.run,
            "status": self.status,
            "files": {
                "new": counts.files_new,
                "taken": counts.taken,
                "taken_in_part": counts.taken_in_part,
                "refused": counts.refused,
            },
            "rows": {
                "read": counts.rows_read,
                "new": counts.rows_new,
                "revised": counts.rows_revised,
                "unchanged": counts.rows_unchanged,
                "held": counts.rows_held,
            },
            "steps": [{"step": step.step, "seconds": step.seconds, "rows": step.rows} for step in self.steps],
            "seconds": self.seconds,
            **({"trouble": self.trouble} if self.trouble else {}),
        }

    def summary(self) -> list[str]:
        """Return the report as a few lines for a person."""
        counts = self.counts
        if self.status == "failed":
            return [
                f"The night did not finish: {self.trouble}",
                "The snapshot of the night before is still shown. Nothing is lost.",
            ]
        files = (
            f"{counts.files_new} new files: {counts.taken} taken, {counts.taken_in_part} taken in part, "
            f"{counts.refused} refused."
        )
        rows = (
            f"{counts.rows_read:,} rows read: {counts.rows_new:,} new, {counts.rows_revised:,} revised, "
            f"{counts.rows_unchanged:,} unchanged, {counts.rows_held:,} on hold."
        )
        last = "Nothing new: the published snapshot stands." if self.status == "nothing new" else "Published."
        return [files, rows, f"{last} {self.seconds:.1f} seconds."]
