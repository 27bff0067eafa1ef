"""`longrow check`: what a sheet would be told, before it is sent."""

from collections.abc import Mapping
from pathlib import Path
from typing import Annotated, Any

import polars as pl
import typer

from pipeline.beside import standing_context
from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.every import EVERY_CHECK
from pipeline.checks.groups import Group, group, heading
from pipeline.checks.judge import Judged, judge
from pipeline.checks.words import Words, in_words, values_of
from pipeline.commands.options import JsonOption, WorkspaceOption
from pipeline.commands.printing import print_json, say
from pipeline.intake.sheets import sheets
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings
from pipeline.workspace import open_workspace
from sites.errors import InputError


def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sheets to check.")],
    workspace: WorkspaceOption = None,
    rows: Annotated[bool, typer.Option("--rows", help="Add every row as it was read (with --json).")] = False,
    as_json: JsonOption = False,
) -> None:
    """Check sheets against the registry and what was sent before, and write nothing.

    Exit code 1 unless all rows would be taken.
    """
    place = open_workspace(workspace)
    batch = [_read(path) for path in files]
    with standing_context(place) as context:
        judged = judge(batch, context, place.settings, CATALOGUE)
    verdicts = judged.verdicts.to_dicts()
    if as_json:
        print_json({"files": [_entry(verdict, batch, judged, place.settings, rows) for verdict in verdicts]})
    else:
        for verdict in verdicts:
            _say_sheet(verdict, batch, judged, place.settings)
    if any(verdict["verdict"] != "taken" for verdict in verdicts):
        raise typer.Exit(1)


def _read(path: Path) -> SentFile:
    try:
        return SentFile(str(path), path.read_bytes())
    except OSError as error:
        raise InputError(f"{path} cannot be read: {error.strerror}. Check the name and try again.") from error


def _entry(
    verdict: Mapping[str, Any], batch: list[SentFile], judged: Judged, settings: Settings, with_rows: bool
) -> dict[str, Any]:
    name = batch[verdict["file"]].name
    entry = {
        "file": name,
        "tab": verdict["tab"],
        "sheet": verdict["sheet"],
        "verdict": verdict["verdict"],
        "rows": verdict["rows"],
        "used": verdict["used"],
        "held": verdict["held"],
        "findings": [_finding(row, name, settings) for row in _found(verdict, judged).to_dicts()],
    }
    if with_rows and verdict["rows"]:
        columns = ["line", *sheets()[verdict["sheet"]].column_names]
        entry["values"] = judged.rows[verdict["sheet"]].filter(_place(verdict)).select(columns).to_dicts()
    elif with_rows:
        entry["values"] = []
    return entry


def _place(verdict: Mapping[str, Any]) -> pl.Expr:
    """Return whether a row or a finding is of the file and tab of a verdict."""
    return (pl.col("file") == verdict["file"]) & pl.col("tab").eq_missing(pl.lit(verdict["tab"], pl.String))


def _found(verdict: Mapping[str, Any], judged: Judged) -> pl.DataFrame:
    of_sheet = pl.col("sheet").eq_missing(pl.lit(verdict["sheet"], pl.String))
    return judged.findings.filter(_place(verdict) & of_sheet)


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
        EVERY_CHECK.get(row["check"]), row | {"file": Path(file).name}, settings.language, settings.units
    )
    return in_words(row["check"], values, settings.language)


def _read_as(row: dict[str, Any], settings: Settings) -> str | None:
    """Return how the cell was read, in the network's units, where there is a reading to tell."""
    values = values_of(EVERY_CHECK.get(row["check"]), row, settings.language, settings.units)
    return values.get("read") or None


def _say_sheet(verdict: Mapping[str, Any], batch: list[SentFile], judged: Judged, settings: Settings) -> None:
    """Print the verdict on one sheet and what was found, one cause at a time, a few questions first."""
    name = batch[verdict["file"]].name
    tab = f", tab {verdict['tab']}" if verdict["tab"] else ""
    used = f" ({verdict['used']} of {verdict['rows']} rows)" if verdict["rows"] else ""
    say(f"{name}{tab}: {verdict['verdict']}{used}")
    groups = group(_found(verdict, judged))
    first = [one for one in groups if one.is_first]
    later = groups[len(first) :]
    for one in first:
        _say_group(one, name, settings)
    if first and later:
        say(f"  {len(later)} more to look at:")
    for one in later:
        _say_group(one, name, settings)
    say()


def _say_group(one: Group, file: str, settings: Settings) -> None:
    """Print what was found, why we ask and how to mend it; the remedy of the first stands for all."""
    words = [_words(finding, file, settings) for finding in one.findings]
    if one.n > 1:
        say(f"  {one.level:9} {heading(one, settings.language)}")
    for at, each in enumerate(words):
        say(f"  {one.level if one.n == 1 else '':9} {each.message}")
        if at == len(words) - 1:
            say(f"  {'':9} {words[0].remedy}")


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command()(check)
