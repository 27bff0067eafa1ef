"""`longrow check`: what a sheet would be told, before it is sent."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

import polars as pl
import typer

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.context import make_context
from pipeline.checks.judge import Judged, judge
from pipeline.checks.words import Words, in_words, shown_number, shown_weight, values_of
from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings
from pipeline.workspace import open_workspace
from sites.crops import read_crops
from sites.errors import InputError
from sites.registry import read_registry

_BY_NAME = {check.name: check for check in CATALOGUE}


def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sheets to check.")],
    workspace: WorkspaceOption = None,
    rows: Annotated[bool, typer.Option("--rows", help="Add every row as it was read (with --json).")] = False,
    as_json: JsonOption = False,
) -> None:
    """Check sheets against the registry and write nothing. Exit code 1 unless all rows would be taken."""
    place = open_workspace(workspace)
    registry = read_registry(place.registry)
    context = make_context(registry, read_crops(), place.today(), place.settings.watch.out_of_season_days)
    batch = [_read(path) for path in files]
    judged = judge(batch, context, place.settings, CATALOGUE)
    report = [_entry(verdict, batch, judged, place.settings, rows) for verdict in judged.verdicts.to_dicts()]
    if as_json:
        print_json({"files": report})
    else:
        for entry in report:
            _say_entry(entry)
    if any(entry["verdict"] != "taken" for entry in report):
        raise typer.Exit(1)


def _read(path: Path) -> SentFile:
    try:
        return SentFile(str(path), path.read_bytes())
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror}. Check the name and try again.") from error


def _entry(
    verdict: Mapping[str, Any], batch: list[SentFile], judged: Judged, settings: Settings, with_rows: bool
) -> dict[str, Any]:
    place = (pl.col("file") == verdict["file"]) & pl.col("tab").eq_missing(pl.lit(verdict["tab"], pl.String))
    name = batch[verdict["file"]].name
    found = judged.findings.filter(place & pl.col("sheet").eq_missing(pl.lit(verdict["sheet"], pl.String)))
    entry = {
        "file": name,
        "tab": verdict["tab"],
        "sheet": verdict["sheet"],
        "verdict": verdict["verdict"],
        "rows": verdict["rows"],
        "used": verdict["used"],
        "held": verdict["held"],
        "findings": [_finding(row, name, settings) for row in found.to_dicts()],
    }
    if with_rows and verdict["rows"]:
        columns = ["line", *sheets()[verdict["sheet"]].column_names]
        entry["values"] = judged.rows[verdict["sheet"]].filter(place).select(columns).to_dicts()
    elif with_rows:
        entry["values"] = []
    return entry


def _finding(row: dict[str, Any], file: str, settings: Settings) -> dict[str, Any]:
    words = _words(row, file, settings)
    return {
        "line": row["line"],
        "column": row["column"],
        "check": row["check"],
        "level": row["level"],
        "sent": row["sent"],
        "read": _read_as(row, settings),
        "message": words.message,
        "remedy": words.remedy,
    }


def _words(row: dict[str, Any], file: str, settings: Settings) -> Words:
    values = values_of(
        _BY_NAME.get(row["check"]), row | {"file": Path(file).name}, settings.language, settings.units
    )
    return in_words(row["check"], values, settings.language)


def _read_as(row: dict[str, Any], settings: Settings) -> str | None:
    """Return how the cell was read, in the network's units, where its check says so."""
    details = json.loads(row["details"])
    column = row["column"] or ""
    value = details.get("read")
    if value is None:
        return None
    if column.endswith("weight") and isinstance(value, (int, float)):
        return shown_weight(float(value), settings.units)
    return shown_number(value) if isinstance(value, (int, float)) else str(value)


def _say_entry(entry: dict[str, Any]) -> None:
    tab = f", tab {entry['tab']}" if entry["tab"] else ""
    say(
        f"{entry['file']}{tab}: {entry['verdict']}"
        + (f" ({entry['used']} of {entry['rows']} rows)" if entry["rows"] else "")
    )
    for finding in entry["findings"]:
        say(f"  {finding['level']:9} {finding['message']}")
        say(f"  {'':9} {finding['remedy']}")
    say()


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(check)
