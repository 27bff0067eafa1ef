"""What commands print: text for people, one JSON document for programs, progress on standard error."""

import json
import math
import sys
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

from rich.console import Console
from rich.progress import (
    BarColumn,
    MofNCompleteColumn,
    Progress,
    SpinnerColumn,
    TaskID,
    TextColumn,
    TimeElapsedColumn,
)

from pipeline.progress import Step


def print_json(document: Any) -> None:
    """Print one JSON document on standard output; unknown numbers are null, never NaN."""
    text = json.dumps(_plain(document), ensure_ascii=False, indent=2, allow_nan=False)
    sys.stdout.write(text + "\n")


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(item) for item in value]
    if isinstance(value, (date, datetime)):
        return value.isoformat()
    if hasattr(value, "item"):
        return _plain(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def say(text: str = "") -> None:
    """Print a line for a person on standard output."""
    sys.stdout.write(text + "\n")


class ProgressBars:
    """Progress bars on standard error, one a step, with rows and seconds."""

    def __init__(self) -> None:
        self._bars = Progress(
            SpinnerColumn(finished_text="[green]✓"),
            TextColumn("{task.description}"),
            BarColumn(bar_width=24),
            MofNCompleteColumn(),
            TextColumn("{task.fields[rows]}"),
            TimeElapsedColumn(),
            console=Console(stderr=True),
        )
        self._tasks: dict[str, TaskID] = {}

    def __enter__(self) -> "ProgressBars":
        """Start drawing."""
        self._bars.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Stop drawing."""
        self._bars.stop()

    def started(self, step: str, total: int | None) -> None:
        """Draw a bar for a step that begins."""
        self._tasks[step] = self._bars.add_task(step, total=total or 1, rows="")

    def advanced(self, step: str, by: int, rows: int) -> None:
        """Move the bar."""
        self._bars.update(self._tasks[step], advance=by, rows=f"{rows:,} rows" if rows else "")

    def ended(self, step: Step) -> None:
        """Fill the bar and leave it standing."""
        task = self._tasks[step.step]
        total = self._bars.tasks[task].total
        self._bars.update(task, completed=total, rows=f"{step.rows:,} rows" if step.rows else "")


def table(rows: list[list[str]], heading: list[str], align: Callable[[int], str] = lambda _: "<") -> str:
    """Return rows as lines of text in even columns."""
    whole = [heading, *rows]
    widths = [max(len(row[at]) for row in whole) for at in range(len(heading))]
    lines = [
        "  ".join(f"{cell:{align(at)}{widths[at]}}" for at, cell in enumerate(row)).rstrip() for row in whole
    ]
    return "\n".join(lines)
