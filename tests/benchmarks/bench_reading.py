"""How long a season's files take to be read into typed rows, beside plain readers that check nothing.

Run as a script: `python tests/benchmarks/bench_reading.py [--files N] [--rows N] [--repeats N]`.

The files are plain text with one header, and a share of them as gardens really write: day first, pounds and
ounces, quoted notes, Windows line ends. The plain readers find columns of text: pyarrow file by file, and
polars over all rows joined in one buffer. All are measured in one process, one after the other, and the ratio
of their medians is what counts. Seconds are of the clock, for the readers use more than one processor.
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

from pipeline.intake.batch import read_batch
from pipeline.intake.rows import typed_rows
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import Limits, SentFile
from pipeline.settings import Settings
from pipeline.checks.judge import limits_of

COLUMNS = "site,plot,date,picking,marketable_count,marketable_weight,cull_count,cull_weight,unit,recorded_by,note"
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
    say(f"{options.files:,} files, {options.files * options.rows:,} rows, {sum(map(len, plain)) / 1e6:.1f} MB")

    arrow = median(lambda: arrow_per_file(plain), options.repeats)
    joined = median(lambda: polars_joined(plain), options.repeats)
    before = peak_mb()
    ours = median(lambda: typed(plain, limits), options.repeats)
    peak = peak_mb()
    odd = median(lambda: typed(mixed, limits), options.repeats)
    say(f"pyarrow file by file      {arrow:6.2f} s   1.00")
    say(f"polars, joined            {joined:6.2f} s   {joined / arrow:.2f}")
    say(f"ours, plain files         {ours:6.2f} s   {ours / arrow:.2f}")
    say(f"ours, a quarter odd       {odd:6.2f} s   {odd / arrow:.2f}")
    say(f"peak memory               {peak:,.0f} MB, {peak - before:,.0f} MB above the plain readers")

    one = made_file(rng, 1, 300, is_odd=False)
    strange = made_file(rng, 1, 300, is_odd=True)
    say(f"one upload of 300 rows    {1000 * median(lambda: typed([one], limits), 100):6.2f} ms")
    say(f"one odd upload            {1000 * median(lambda: typed([strange], limits), 100):6.2f} ms")


def made_file(rng: np.random.Generator, at: int, rows: int, *, is_odd: bool) -> bytes:
    """Return the harvest sheet of one garden: eight plots picked every third day."""
    count = rng.integers(0, 30, rows)
    weight = np.round(count * rng.uniform(0.2, 0.8, rows), 2)
    culls = rng.integers(0, 5, rows)
    days = [SEASON[0] + timedelta(days=3 * (row // 8)) for row in range(rows)]
    lines = [COLUMNS]
    for row, (day, fruits, pounds, bad) in enumerate(zip(days, count, weight, culls, strict=True)):
        written, weighed, note = day.isoformat(), f"{pounds}", "ok"
        if is_odd:
            written = f"{day.day}/{day.month}/{day.year}"
            weighed = f"{int(pounds)} lb {round(pounds % 1 * 16)} oz"
            note = '"hot, and dry"' if row % 5 == 0 else "ok"
        lines.append(f"G{at:04d},{row % 8 + 1},{written},,{fruits},{weighed},{bad},{bad * 0.3:.1f},lb,ab,{note}")
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


def median(run: Callable[[], None], repeats: int) -> float:
    """Return the median of the seconds that a run takes, after one that does not count."""
    run()
    seconds = []
    for _ in range(repeats):
        started = time.perf_counter()
        run()
        seconds.append(time.perf_counter() - started)
    return statistics.median(seconds)


def peak_mb() -> float:
    """Return the most memory that the process has held so far, in megabytes."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def say(line: str) -> None:
    """Print one line."""
    sys.stdout.write(f"{line}\n")


if __name__ == "__main__":
    main()
