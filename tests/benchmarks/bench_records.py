"""How long thirty years of days at fourteen stations take to load, beside a plain parse of the same files.

Run as a script: `python tests/benchmarks/bench_records.py [--stations N] [--years N]`.

Invented records are written as GHCN-Daily by-station CSV and as .dly, one file for each station, with flags
and gaps as real ones have. The plain parse is pyarrow.csv over the CSV files, one by one into strings.
Seconds are processor seconds.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import numpy as np
import pandas as pd
import pyarrow as pa
from pyarrow import csv

sys.path.insert(0, str(Path(__file__).parents[2]))

from sites.climate import freeze_risk, freezes_of_record, read_daily, station_days

FIRST_YEAR = 1995
ELEMENTS = ("TMAX", "TMIN", "PRCP")
Found = TypeVar("Found")


def main() -> None:
    """Print seconds and ratios."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--stations", type=int, default=14)
    parser.add_argument("--years", type=int, default=30)
    options = parser.parse_args()
    rng = np.random.default_rng(30)
    with tempfile.TemporaryDirectory() as folder:
        dates = pd.date_range(f"{FIRST_YEAR}-01-01", f"{FIRST_YEAR + options.years - 1}-12-31")
        names = [f"ZZ0BNC{number:05}" for number in range(options.stations)]
        values = {name: made_values(rng, len(dates)) for name in names}
        tables = [write_by_station(Path(folder), name, dates, values[name]) for name in names]
        fixed = [write_dly(Path(folder), name, dates, values[name]) for name in names]
        plain, rows = seconds_of(lambda: sum(parse(path) for path in tables))
        loaded, daily = seconds_of(lambda: read_daily(tables))
        from_fixed, _ = seconds_of(lambda: read_daily(fixed))
        stations = pd.DataFrame({"station": names, "name": "", "elevation_m": 400.0})
        dense, _ = seconds_of(lambda: station_days(stations, daily))
        years = range(FIRST_YEAR, FIRST_YEAR + options.years)
        risk, _ = seconds_of(lambda: freeze_risk(freezes_of_record(stations, daily, years)))
    say(f"{options.stations} stations x {options.years} years: {rows:,} values, {len(daily):,} station days")
    say(f"plain parse of the CSV        {plain:6.2f} s")
    say(f"daily table from CSV          {loaded:6.2f} s, {loaded / plain:.1f} times the plain parse")
    say(f"daily table from .dly         {from_fixed:6.2f} s")
    say(f"dense arrays of it            {dense:6.2f} s")
    say(f"freeze dates by probability   {risk:6.2f} s")


def say(line: str) -> None:
    """Write one line of the result."""
    sys.stdout.write(line + "\n")


def seconds_of(work: Callable[[], Found]) -> tuple[float, Found]:
    """Return the processor seconds of some work, and what it gave."""
    started = time.process_time()
    found = work()
    return time.process_time() - started, found


def parse(path: Path) -> int:
    """Return the rows of a file that was parsed into strings, nothing else done."""
    read = csv.ReadOptions(autogenerate_column_names=True)
    convert = csv.ConvertOptions(column_types={f"f{at}": pa.string() for at in range(8)})
    return csv.read_csv(path, read_options=read, convert_options=convert).num_rows


def made_values(rng: np.random.Generator, days: int) -> dict[str, np.ndarray]:
    """Return the stored values of a station by element, three in a hundred missing."""
    season = -np.cos(2 * np.pi * np.arange(days) / 365.25)
    tmax = 190 + 140 * season + rng.normal(0, 50, days)
    tmin = tmax - rng.uniform(50, 180, days)
    rain = np.where(rng.random(days) < 0.24, rng.gamma(0.8, 90.0, days), 0.0)
    return {
        element: np.where(rng.random(days) < 0.03, -9999, values).round().astype(int)
        for element, values in zip(ELEMENTS, (tmax, tmin, rain), strict=True)
    }


def write_by_station(folder: Path, name: str, dates: pd.DatetimeIndex, values: dict[str, np.ndarray]) -> Path:
    """Write a station's values as by-station CSV, those that are missing left out, and return the file."""
    text = dates.strftime("%Y%m%d")
    parts = [
        pd.DataFrame(
            {"id": name, "date": text, "element": element, "value": stored, "m": "", "q": "", "s": "7"}
        ).assign(time="0700" if element != "PRCP" else "")[stored != -9999]
        for element, stored in values.items()
    ]
    path = folder / f"{name}.csv"
    pd.concat(parts).sort_values(["date", "element"]).to_csv(path, index=False, header=False)
    return path


def write_dly(folder: Path, name: str, dates: pd.DatetimeIndex, values: dict[str, np.ndarray]) -> Path:
    """Write a station's values as .dly, a record for each month and element, and return the file."""
    lines = []
    month = dates.to_period("M")
    for element, stored in values.items():
        for one in month.unique():
            days = stored[month == one]
            whole = np.r_[days, np.full(31 - len(days), -9999)]
            cells = "".join(f"{value:5d}  7" for value in whole)
            lines.append(f"{name}{one.year}{one.month:02}{element}{cells}")
    path = folder / f"{name}.dly"
    path.write_text("\n".join(lines) + "\n")
    return path


if __name__ == "__main__":
    main()
