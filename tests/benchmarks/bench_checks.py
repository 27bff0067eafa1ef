"""How many faults the checks find, how often they ask about sound rows, and how long they take.

Run as a script: `python tests/benchmarks/bench_checks.py [--quality] [--speed] [--gardens N] [--seeds N]`.

Quality: simulated networks of several crops, some with fruits as even as a shop's and some as uneven as a
garden's. Faults of single rows are put into 4 % of the rows, faults of whole sheets into every fourth garden,
one kind at a time. A fault of a row is found where a finding that wants an answer stands on its line (a note
where nothing is lost: a copied row, a day read the other way round); a fault of a sheet where one of the
checks made for it asks about that garden. False alarms are findings that want an answer in networks without
any fault, for 1,000 rows.

Some faults cannot be seen in the data, or only now and then, and do not enter the total:

- *digits switched* in a weight or a count: 2.13 for 2.31 is a difference of 8 %, less than between any two
  fruits. Only those that take the weight of a fruit far from the garden's own are seen.
- *kg for lb in a single row* is a factor of 2.2: seen where the garden's fruits are even, not where they vary
  as much themselves. All season long it is seen against the other gardens.
- *plots traded in mid-season* show only where the two differed, picking after picking, by more than pickings
  vary: among plots of one cultivar almost never.
- *culls for good fruit* looks like a bad day unless the garden's other plots had a good one.

*Day before month* enters the total; it is found where the reader of files tells the order of a file's days.

Speed: reading and checking a million rows (4,000 files of 250 rows) and one file of 300 rows, beside reading
the same files with pyarrow, all cells as text, file by file; memory by batch; two other libraries with the
rules that they can express, on a sample. On a machine that others use as well only ratios mean something.
"""

import argparse
import shutil
import sys
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass, field, replace
from pathlib import Path

import polars as pl

sys.path.insert(0, str(Path(__file__).parents[2]))

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import make_context
from pipeline.checks.judge import Judged, judge
from pipeline.checks.season.find import find_season
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.simulate.faults import EVERY_KIND
from pipeline.simulate.garden_faults import SHEET_KINDS
from pipeline.simulate.network import Network, simulate
from sites.crops import read_crops
from sites.registry import read_registry

#: Which checks answer to a fault of a whole sheet.
ANSWERS = {
    "pounds for kilograms all season": {"weight-kg-for-lb-season"},
    "another scale from some day on": {"weight-scale-changed"},
    "ounces or grams all season": {"weight-unit-slip"},
    "bucket weighed too": {"bucket-in-weight"},
    "running totals": {"weights-keep-growing"},
    "columns switched": {"columns-swapped", "count-not-whole"},
    "copied down": {"copied-down"},
    "day before month": {"dates-other-order", "date-two-ways"},
    "zeros for days without a picking": {"zeros-for-blanks"},
    "plots traded in mid-season": {"plots-cross-over"},
    "plot left out": {"plot-missing-from-block"},
    "tags traded": {"tags-swapped"},
}

#: Faults that cannot be seen in the data, or only sometimes; why is said above.
UNDECIDED = (
    "digits of a weight switched",
    "digits of a count switched",
    "kg typed as lb",
    "lb typed as kg",
    "culls for good fruit",
    "plots traded in mid-season",
)

#: Notes that tell of a fault by which nothing is lost.
NOTED = ("row-repeated", "date-other-way")

#: Networks of several crops, with even and with uneven fruits.
NETWORKS = (
    Network(crop="eggplant", fruit_cv=0.1),
    Network(crop="eggplant", fruit_cv=0.25, mass_spread=0.08),
    Network(crop="tomato-slicing", fruit_cv=0.3, mass_spread=0.08),
    Network(crop="tomato-cherry", fruit_cv=0.2, mass_spread=0.08),
    Network(crop="pepper-bell", fruit_cv=0.25, mass_spread=0.08),
)


def say(line: str = "") -> None:
    """Write one line of the result."""
    sys.stdout.write(line + "\n")


def main() -> None:
    """Print what was asked for, by default everything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quality", action="store_true")
    parser.add_argument("--speed", action="store_true")
    parser.add_argument("--gardens", type=int, default=20)
    parser.add_argument("--seeds", type=int, default=3)
    options = parser.parse_args()
    both = options.quality == options.speed
    if options.quality or both:
        quality(options.gardens, range(1, options.seeds + 1))
    if options.speed or both:
        from tests.benchmarks.speed_of_checks import speed

        speed(say)


@dataclass
class Night:
    """One simulated network, judged as a night judges it."""

    files: list[str]
    judged: Judged
    season: pl.DataFrame
    faults: pl.DataFrame

    @property
    def rows(self) -> int:
        """How many rows were read."""
        return sum(frame.height for frame in self.judged.rows.values())


def judged_night(network: Network) -> Night:
    """Return a network's files judged, with the season checks over the rows that count."""
    folder = Path(tempfile.mkdtemp())
    try:
        workspace = simulate(folder / "network", network)
        registry = read_registry(workspace.registry)
        paths = sorted(path for path in workspace.inbox.rglob("*") if path.is_file())
        context = make_context(registry, read_crops(), workspace.today())
        batch = [SentFile(path.name, path.read_bytes()) for path in paths]
        judged = judge(batch, context, workspace.settings, CATALOGUE)
        counting = {
            name: frame.filter(~pl.col("is_held")).select(
                "file", "tab", "line", "season", *sheets()[name].column_names
            )
            for name, frame in judged.rows.items()
        }
        held = judged.rows["harvest"].filter("is_held").select("site", "season", "plot", "date")
        season = find_season(counting, context, held=held)
        faults = pl.read_csv(workspace.root / "faults.csv", infer_schema=False)
        return Night([path.name for path in paths], judged, season, faults)
    finally:
        shutil.rmtree(folder)


@dataclass
class Tally:
    """Faults put in and found, by kind; and what was asked about sound rows."""

    put: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    rows: int = 0
    alarms: Counter[str] = field(default_factory=Counter)
    beside: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))


def quality(gardens: int, seeds: range) -> None:
    """Print recall by kind of fault and false alarms."""
    tally = Tally()
    for network in NETWORKS:
        for seed in seeds:
            of_seed = replace(network, gardens=gardens, seed=seed)
            _count_alarms(judged_night(replace(of_seed, faults=0.0)), tally)
            _count_rows(judged_night(replace(of_seed, faults=0.04, fault_kinds=EVERY_KIND)), tally)
    for kind in SHEET_KINDS:
        for network in NETWORKS:
            for seed in seeds:
                asked = replace(
                    network, gardens=gardens, faults=0.0, sheet_faults=(kind, "", "", ""), seed=seed
                )
                _count_sheets(judged_night(asked), kind, tally)
    _print(tally)


def _wants_answer(findings: pl.DataFrame) -> pl.DataFrame:
    return findings.filter(pl.col("level") != "note")


def _count_alarms(night: Night, tally: Tally) -> None:
    tally.rows += night.rows
    for found in (night.judged.findings, night.season):
        tally.alarms.update(_wants_answer(found)["check"].to_list())


def _count_rows(night: Night, tally: Tally) -> None:
    findings = night.judged.findings
    told = findings.filter((pl.col("level") != "note") | pl.col("check").is_in(NOTED))
    found = {(night.files[file], str(line)) for file, line in told.select("file", "line").rows() if line}
    for fault in night.faults.to_dicts():
        tally.put[fault["fault"]] += 1
        tally.found[fault["fault"]] += (fault["file"], fault["line"]) in found


def _count_sheets(night: Night, kind: str, tally: Tally) -> None:
    at_fault = {fault["file"].split("_")[0] for fault in night.faults.to_dicts()}
    found = pl.concat([night.judged.findings, night.season])
    answered = set(found.filter(pl.col("check").is_in(ANSWERS[kind]))["site"].to_list())
    tally.put[kind] += len(at_fault)
    tally.found[kind] += len(at_fault & answered)
    others = _wants_answer(found).filter(~pl.col("site").is_in(list(at_fault)))
    tally.beside[kind].update(others["check"].to_list())


def _print(tally: Tally) -> None:
    say(f"{'fault':36} {'put in':>7} {'found':>7} {'recall':>7}")
    decided = [kind for kind in tally.put if kind not in UNDECIDED]
    for kinds, title in ((decided, ""), (UNDECIDED, "not to be decided from the data alone:")):
        if title:
            say(title)
        for kind in kinds:
            put, found = tally.put[kind], tally.found[kind]
            if put:
                say(f"{kind:36} {put:7,} {found:7,} {found / put:7.3f}")
    put, found = (sum(counter[kind] for kind in decided) for counter in (tally.put, tally.found))
    say(f"{'all that can be decided':36} {put:7,} {found:7,} {found / put:7.3f}")
    total = tally.alarms.total()
    say(f"false alarms: {total} in {tally.rows:,} sound rows, {1000 * total / tally.rows:.2f} for 1,000")
    for check, count in tally.alarms.most_common():
        say(f"  {check:34} {count:5}")
    beside = Counter[str]()
    for counter in tally.beside.values():
        beside.update(counter)
    say(f"asked about gardens beside one at fault: {dict(beside)}")


if __name__ == "__main__":
    main()
