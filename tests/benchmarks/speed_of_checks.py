"""How long the checks take beside reading the same files plainly; `bench_checks.py` prints it."""

import io
import statistics
import time
from collections.abc import Callable
from datetime import date, timedelta

import numpy as np
import pandas as pd
import polars as pl
import pyarrow.csv

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import Context, make_context
from pipeline.checks.judge import judge, judge_rows, limits_of
from pipeline.checks.season.find import find_season
from pipeline.intake.reading import read_file
from pipeline.intake.rows import sent_rows, typed_rows
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.settings import Intake, Settings
from sites.crops import read_crops
from sites.registry import Registry

FILES, PLOTS, DAYS = 4_000, 10, 25
FIRST_DAY, TODAY = date(2024, 7, 5), date(2024, 12, 1)
HEADER = "site,plot,date,good fruits,weight (lb),culls,cull weight (lb),recorded by\n"


def speed(say: Callable[[str], None]) -> None:
    """Print seconds for a million rows and milliseconds for one file, and their ratios to plain reading."""
    rng = np.random.default_rng(3)
    context = _context()
    files = [_file(number, PLOTS, DAYS, rng) for number in range(FILES)]
    floor = _best(lambda: [_plain(file.content) for file in files], 3)
    typed = _typed(files)
    checks = _best(lambda: judge_rows(typed, context, CATALOGUE), 3)
    rows, findings = judge_rows(typed, context, CATALOGUE)
    counting = {"harvest": rows["harvest"].filter(~pl.col("is_held"))}
    season = _best(lambda: find_season(counting, context), 2)
    say(f"{rows['harvest'].height:,} rows in {FILES:,} files, {findings.height:,} findings")
    say(f"pyarrow file by file, all cells text   {floor:7.2f} s    1.00")
    say(f"checks of rows                         {checks:7.2f} s {checks / floor:7.2f}")
    say(f"checks of the season                   {season:7.2f} s {season / floor:7.2f}")
    _one_upload(say, context, rng)


def _one_upload(say: Callable[[str], None], context: Context, rng: np.random.Generator) -> None:
    file = _file(7, PLOTS, 30, rng)
    typed = _typed([file])
    whole = _milliseconds(lambda: judge([file], context, Settings(), CATALOGUE))
    checks = _milliseconds(lambda: judge_rows(typed, context, CATALOGUE))
    height = typed["harvest"].height
    say(f"one file of {height} rows: read and judged {whole:.0f} ms, the checks {checks:.0f} ms")


def _best(work: Callable[[], object], times: int) -> float:
    seconds = []
    for _ in range(times):
        started = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - started)
    return min(seconds)


def _milliseconds(work: Callable[[], object]) -> float:
    seconds = []
    for _ in range(25):
        started = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - started)
    return 1000 * statistics.median(seconds)


def _plain(content: bytes) -> object:
    names = HEADER.strip().split(",")
    as_text = pyarrow.csv.ConvertOptions(column_types=dict.fromkeys(names, "string"))
    return pyarrow.csv.read_csv(io.BytesIO(content), convert_options=as_text)


def _typed(files: list[SentFile]) -> dict[str, pl.DataFrame]:
    limits = limits_of(Intake())
    tables = [(at, table) for at, file in enumerate(files) for table in read_file(file, limits).tables]
    season = (date(2024, 5, 10), date(2024, 10, 5))
    return {
        name: typed_rows(sheets()[name], sent, order="mdy", bare_weight="lb", season=season)
        for name, sent in sent_rows(tables).items()
    }


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
