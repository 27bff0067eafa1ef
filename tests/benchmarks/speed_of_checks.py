"""How long reading and checking take beside reading the same files plainly; `bench_checks.py` prints it.

Files are judged in batches, as a night judges them, all checks of rows included; the plain reader is pyarrow,
all cells as text, file by file. Both are measured in turns within one process, and the median of the ratios
within a turn is what counts: another program on the machine then slows both.
"""

import gc
import io
import statistics
import time
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from importlib.util import find_spec

import numpy as np
import pandas as pd
import polars as pl
import pyarrow.csv

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import Context, make_context
from pipeline.checks.judge import judge
from pipeline.checks.season.find import find_season
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.nightly import BATCH
from pipeline.settings import Settings
from sites.crops import read_crops
from sites.registry import Registry

FILES, PLOTS, DAYS = 4_000, 10, 25
TURNS = 3
#: Times that one upload is judged.
UPLOADS = 200
#: Files that are also read by the two libraries that only some have; frictionless reads row by row.
SAMPLE = 200
FIRST_DAY, TODAY = date(2024, 7, 5), date(2024, 12, 1)
HEADER = "site,plot,date,good fruits,weight (lb),culls,cull weight (lb),recorded by\n"


def speed(say: Callable[[str], None]) -> None:
    """Print seconds for a million rows, milliseconds for one file, memory by batch, and ratios."""
    rng = np.random.default_rng(3)
    context = _context()
    files = [_file(number, PLOTS, DAYS, rng) for number in range(FILES)]
    # What a process has held once it keeps, so memory comes first.
    _memory(say, context, files)
    _whole_network(say, context, files)
    _season(say, context, files)
    _one_upload(say, context, rng)
    _others(say, context, files[:SAMPLE])


def _whole_network(say: Callable[[str], None], context: Context, files: Sequence[SentFile]) -> None:
    plain, ours = [], []
    for _ in range(TURNS):
        plain.append(_spent(lambda: [_plain(file.content) for file in files]))
        ours.append(_spent(lambda: _in_batches(files, context)))
    ratio, work = (
        statistics.median(mine[at] / theirs[at] for mine, theirs in zip(ours, plain, strict=True))
        for at in (0, 1)
    )
    say(f"{FILES * PLOTS * DAYS:,} rows in {FILES:,} files, in batches of {BATCH}")
    say(f"pyarrow file by file, all cells text   {min(plain)[0]:7.2f} s    1.00")
    say(f"reading and all checks of rows         {min(ours)[0]:7.2f} s {ratio:7.2f}")
    say(f"  processor time                       {min(ours)[1]:7.2f} s {work:7.2f}")


def _in_batches(files: Sequence[SentFile], context: Context, size: int = BATCH) -> None:
    for start in range(0, len(files), size):
        judge(files[start : start + size], context, Settings(), CATALOGUE)


def _season(say: Callable[[str], None], context: Context, files: Sequence[SentFile]) -> None:
    rows = judge(files, context, Settings(), CATALOGUE).rows["harvest"]
    names = ["file", "tab", "line", "season", *sheets()["harvest"].column_names]
    counting = {"harvest": rows.filter(~pl.col("is_held")).select(names)}
    say(f"checks of the whole season             {_seconds(lambda: find_season(counting, context)):7.2f} s")


def _memory(say: Callable[[str], None], context: Context, files: Sequence[SentFile]) -> None:
    """Print the most memory held above the files, batch by batch, for a part of the files and for all."""
    for part in (len(files) // 4, len(files)):
        gc.collect()
        before, most = _held_mb(), 0.0
        for start in range(0, part, BATCH):
            judged = judge(files[start : start + BATCH], context, Settings(), CATALOGUE)
            most = max(most, _held_mb() - before)
            del judged
        say(f"memory above the files, {part:5,} files   {most:7.0f} MB")


def _held_mb() -> float:
    """Return the memory that the process holds now, in megabytes (proc(5), statm; pages of 4 KiB)."""
    with open("/proc/self/statm", encoding="ascii") as told:
        return int(told.read().split()[1]) * 4096 / 1e6


def _one_upload(say: Callable[[str], None], context: Context, rng: np.random.Generator) -> None:
    file = _file(7, PLOTS, 30, rng)
    taken = [_spent(lambda: judge([file], context, Settings(), CATALOGUE)) for _ in range(UPLOADS)]
    say(f"one upload of {PLOTS * 30} rows, read and judged: median, and 10th to 90th in a hundred")
    for name, spent in zip(("by the clock", "processor time"), zip(*taken, strict=True), strict=True):
        low, *_, high = statistics.quantiles(spent, n=10)
        say(f"  {name:36} {1000 * statistics.median(spent):7.1f} ms {1000 * low:7.1f} to {1000 * high:.1f}")


def _others(say: Callable[[str], None], context: Context, files: Sequence[SentFile]) -> None:
    """Print how long other libraries take for the rules that they can express, where they are installed."""
    floor = min(_seconds(lambda: [_plain(file.content) for file in files]) for _ in range(TURNS))
    ours = min(_seconds(lambda: _in_batches(files, context)) for _ in range(TURNS))
    say(f"a sample of {len(files)} files, {len(files) * PLOTS * DAYS:,} rows; pyarrow is 1")
    say(f"  ours, all checks of rows               {ours / floor:9.1f}")
    for name, check in (("pandera", _with_pandera), ("frictionless", _with_frictionless)):
        if find_spec(name) is None:
            say(f"  {name}: not installed; pip install --editable '.[bench]'")
            continue
        check(files[:1])
        taken = min(_seconds(lambda check=check: check(files)) for _ in range(TURNS))
        say(f"  {name:38} {taken / floor:9.1f}")


def _with_pandera(files: Sequence[SentFile]) -> None:
    """Check types, needed cells, ranges, and the weight of a fruit: all rows of the sample at once."""
    import pandera.errors
    import pandera.polars as pa

    schema = pa.DataFrameSchema(
        {
            "site": pa.Column(str, pa.Check.str_matches(r"^S\d{5}$")),
            "plot": pa.Column(str, pa.Check.isin([str(plot + 1) for plot in range(PLOTS)])),
            "date": pa.Column(pl.Date, pa.Check.in_range(FIRST_DAY, TODAY)),
            "good fruits": pa.Column(pl.Int64, pa.Check.ge(0)),
            "weight (lb)": pa.Column(pl.Float64, pa.Check.in_range(0, 100), nullable=True),
            "culls": pa.Column(pl.Int64, pa.Check.ge(0)),
            "cull weight (lb)": pa.Column(pl.Float64, pa.Check.ge(0), nullable=True),
        },
        checks=pa.Check(
            lambda data: data.lazyframe.select(
                (pl.col("weight (lb)") <= 4.63 * pl.col("good fruits")) | (pl.col("good fruits") == 0)
            )
        ),
    )
    frame = pl.concat([pl.read_csv(file.content, try_parse_dates=True) for file in files])
    try:
        schema.validate(frame, lazy=True)
    except pandera.errors.SchemaErrors as found:
        len(found.failure_cases)


def _with_frictionless(files: Sequence[SentFile]) -> None:
    """Check types, needed cells and ranges, file by file."""
    from frictionless import Resource, Schema

    fields = [
        {"name": "site", "type": "string", "constraints": {"required": True, "pattern": r"S\d{5}"}},
        {
            "name": "plot",
            "type": "integer",
            "constraints": {"required": True, "minimum": 1, "maximum": PLOTS},
        },
        {"name": "date", "type": "date", "constraints": {"required": True}},
        {"name": "good fruits", "type": "integer", "constraints": {"minimum": 0}},
        {"name": "weight (lb)", "type": "number", "constraints": {"minimum": 0, "maximum": 100}},
        {"name": "culls", "type": "integer", "constraints": {"minimum": 0}},
        {"name": "cull weight (lb)", "type": "number", "constraints": {"minimum": 0}},
        {"name": "recorded by", "type": "string"},
    ]
    for file in files:
        schema = Schema.from_descriptor({"fields": fields})
        Resource(data=file.content, format="csv", schema=schema).validate()


def _spent(work: Callable[[], object]) -> tuple[float, float]:
    """Return seconds by the clock and of the processors; ours works on all of them, pyarrow on one."""
    before = time.process_time()
    return _seconds(work), time.process_time() - before


def _seconds(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def _plain(content: bytes) -> object:
    names = HEADER.strip().split(",")
    as_text = pyarrow.csv.ConvertOptions(column_types=dict.fromkeys(names, "string"))
    return pyarrow.csv.read_csv(io.BytesIO(content), convert_options=as_text)


def _site(number: int) -> str:
    return f"S{number:05}"


def _file(number: int, plots: int, days: int, rng: np.random.Generator) -> SentFile:
    """Return the sheet of one garden, with a slip in one row of fifty."""
    count = plots * days
    fruits, culls = rng.poisson(5, count), rng.poisson(0.6, count)
    pounds = fruits * 0.33 * np.exp(rng.normal(0, 0.1, count)) / 0.45359237
    culled = culls * 0.25 * np.exp(rng.normal(0, 0.2, count)) / 0.45359237
    slips = rng.random(count) < 0.02
    pounds = np.where(slips, pounds * rng.choice([16.0, 10.0, 0.1, -1.0], count), pounds)
    lines = [
        f"{_site(number)},{at % plots + 1},{(FIRST_DAY + timedelta(days=3 * (at // plots))).isoformat()},"
        f"{fruits[at]},{pounds[at]:.2f},{culls[at]},{culled[at]:.2f},JB\n"
        for at in range(count)
    ]
    return SentFile(f"{_site(number)}.csv", (HEADER + "".join(lines)).encode())


def _context() -> Context:
    sites = [_site(number) for number in range(FILES)]
    gardens = pd.DataFrame({"site": sites, "name": [f"Garden {site}" for site in sites]})
    trials = pd.DataFrame(
        {
            "trial": ["graft"],
            "season": ["2024"],
            "crop": ["eggplant"],
            "control": ["own-root"],
            "start": [pd.Timestamp("2024-05-10")],
            "close": [pd.Timestamp("2024-10-05")],
            "plants_per_plot": [4],
        }
    )
    treatments = pd.DataFrame(
        {
            "trial": "graft",
            "treatment": ["own-root", "grafted"],
            "code": ["A", "B"],
            "rootstock": ["", "Corvane"],
            "label": ["Own-root", "Grafted"],
        }
    )
    plots = pd.DataFrame(
        [
            ("graft", "2024", site, str(plot // 2 + 1), str(plot + 1), ("own-root", "grafted")[plot % 2])
            for site in sites
            for plot in range(PLOTS)
        ],
        columns=["trial", "season", "site", "block", "plot", "treatment"],
    )
    plots["in_ground"] = plots["treatment"]
    registry = Registry(gardens, trials, treatments, plots, pd.DataFrame())
    return make_context(registry, read_crops(), TODAY)
