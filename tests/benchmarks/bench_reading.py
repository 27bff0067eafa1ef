"""How long a season's files take to be read into typed rows, beside plain readers that check nothing.

Run as a script: `python tests/benchmarks/bench_reading.py [--files N] [--rows N] [--repeats N]`.

The files are plain text with one header, and a share of them as gardens really write: day first, pounds and
ounces, quoted notes, Windows line ends. The plain readers find columns of text: pyarrow file by file, and
polars over all rows joined in one buffer. All are measured in one process, in turns, and the median of the
ratios within a turn is what counts: another program on the machine then slows all of them. The best turns
show what an idle machine does. Seconds are of the clock, for the readers use more than one processor.
"""

import argparse
import io
import resource
import statistics
import sys
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.csv as arrow_csv

sys.path.insert(0, str(Path(__file__).parents[2]))

from pipeline.checks.judge import limits_of
from pipeline.intake.batch import read_batch
from pipeline.intake.rows import typed_rows
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import Limits, SentFile
from pipeline.settings import Settings

COLUMNS = (
    "site,plot,date,picking,marketable_count,marketable_weight,cull_count,cull_weight"
    ",unit,scale,recorded_by,note"
)
SEASON = (date(2025, 5, 15), date(2025, 10, 1))


def main() -> None:
    """Print seconds and their ratios to the plain readers, and the peak memory."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--files", type=int, default=4_000)
    parser.add_argument("--rows", type=int, default=250)
    parser.add_argument("--repeats", type=int, default=5)
    options = parser.parse_args()
    rng = np.random.default_rng(17)
    plain = [made_file(rng, at, options.rows, is_odd=False) for at in range(options.files)]
    mixed = [made_file(rng, at, options.rows, is_odd=at % 4 == 0) for at in range(options.files)]
    limits = limits_of(Settings().intake)
    say(
        f"{options.files:,} files, {options.files * options.rows:,} rows, {sum(map(len, plain)) / 1e6:.1f} MB"
    )

    before = peak_mb()
    runs: dict[str, Callable[[], None]] = {
        "pyarrow file by file": lambda: arrow_per_file(plain),
        "polars, joined": lambda: polars_joined(plain),
        "ours, plain files": lambda: typed(plain, limits),
        "ours, a quarter odd": lambda: typed(mixed, limits),
    }
    seconds = {name: [] for name in runs}
    for _ in range(options.repeats + 1):
        for name, run in runs.items():
            seconds[name].append(seconds_of(run))
    counted = {name: np.array(taken[1:]) for name, taken in seconds.items()}
    floor = counted["pyarrow file by file"]
    say("                          median          best")
    for name, taken in counted.items():
        median = f"{np.median(taken):6.2f} s {np.median(taken / floor):5.2f}"
        say(f"{name:24}{median}  {taken.min():6.2f} s {taken.min() / floor.min():5.2f}")
    say(f"peak memory              {peak_mb():,.0f} MB, {peak_mb() - before:,.0f} MB above the files")

    one = made_file(rng, 1, 300, is_odd=False)
    strange = made_file(rng, 1, 300, is_odd=True)
    for name, content in (("one upload of 300 rows", one), ("one odd upload", strange)):
        taken = [seconds_of(lambda content=content: typed([content], limits)) for _ in range(100)]
        say(f"{name:24} {1000 * statistics.median(taken):6.2f} ms")


def made_file(rng: np.random.Generator, at: int, rows: int, *, is_odd: bool) -> bytes:
    """Return the harvest sheet of one garden: eight plots picked every third day."""
    count = rng.integers(0, 30, rows)
    weight = np.round(count * rng.uniform(0.2, 0.8, rows), 2)
    culls = rng.integers(0, 5, rows)
    days = [SEASON[0] + timedelta(days=3 * (row // 8)) for row in range(rows)]
    lines = [COLUMNS]
    for row, (day, fruits, pounds, bad) in enumerate(zip(days, count, weight, culls, strict=True)):
        written, weighed = day.isoformat(), f"{pounds}"
        note = "hot and dry" if row % 3 == 0 else "picked early" if row % 3 == 1 else ""
        if is_odd:
            written = f"{day.day}/{day.month}/{day.year}"
            weighed = f"{int(pounds)} lb {round(pounds % 1 * 16)} oz"
            note = '"hot, and dry"' if row % 5 == 0 else note
        weights = f"{fruits},{weighed},{bad},{bad * 0.3:.1f},lb"
        lines.append(f"G{at:04d},{row % 8 + 1},{written},,{weights},kitchen scale,ab,{note}")
    return ("\r\n" if is_odd else "\n").join([*lines, ""]).encode()


def arrow_per_file(files: list[bytes]) -> None:
    """Read each file by itself into columns of text."""
    as_text = arrow_csv.ConvertOptions(column_types={name: pa.string() for name in COLUMNS.split(",")})
    for content in files:
        arrow_csv.read_csv(io.BytesIO(content), convert_options=as_text)


def polars_joined(files: list[bytes]) -> None:
    """Read the rows of all files, joined, into columns of text."""
    start = len(COLUMNS) + 1
    pl.read_csv(
        b"".join(content[start:] for content in files),
        has_header=False,
        schema=dict.fromkeys(COLUMNS.split(","), pl.String),
    )


def typed(files: list[bytes], limits: Limits) -> None:
    """Read files as an upload or a night does: into typed rows."""
    reading = read_batch([SentFile(f"{at}.csv", content) for at, content in enumerate(files)], limits)
    for name, sent in reading.rows.items():
        typed_rows(sheets()[name], sent, order="mdy", bare_weight="lb", seasons=[SEASON])


def seconds_of(run: Callable[[], None]) -> float:
    """Return the seconds that a run takes."""
    started = time.perf_counter()
    run()
    return time.perf_counter() - started


def peak_mb() -> float:
    """Return the most memory that the process has held so far, in megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def say(line: str) -> None:
    """Print one line."""
    sys.stdout.write(f"{line}\n")


if __name__ == "__main__":
    main()
