"""`longrow pool`: an answer over gardens from a table of effects and their variances."""

from pathlib import Path
from typing import Annotated, Literal

import pandas as pd
import typer

from pipeline.commands.options import JsonOption
from pipeline.commands.printing import print_json, say
from sites.errors import InputError

Method = Literal["reml", "paule-mandel", "dersimonian-laird"]
IntervalKind = Literal["knapp-hartung", "knapp-hartung-floor", "normal"]
PredictionKind = Literal["t", "bootstrap"]

MethodOption = Annotated[
    Method | None,
    typer.Option("--method", help="Estimator of the variance between gardens.", show_default=False),
]
IntervalOption = Annotated[
    IntervalKind | None, typer.Option("--interval", help="Kind of interval.", show_default=False)
]
PredictionOption = Annotated[
    PredictionKind | None,
    typer.Option("--prediction", help="Kind of interval for a new garden.", show_default=False),
]
TableArgument = Annotated[Path, typer.Argument(metavar="FILE.csv", help="A table with one row per garden.")]


def pool(
    file: TableArgument,
    effect: Annotated[str, typer.Option("--effect", metavar="COL", help="Column of the effects.")],
    variance: Annotated[str, typer.Option("--variance", metavar="COL", help="Column of their variances.")],
    gradient: Annotated[
        list[str] | None,
        typer.Option(
            "--gradient", metavar="COL", help="Column that the effect may change along; may be repeated."
        ),
    ] = None,
    method: MethodOption = None,
    interval: IntervalOption = None,
    prediction: PredictionOption = None,
    as_json: JsonOption = False,
) -> None:
    """Pool effects over gardens by a random-effects model, with a regression along gradients where asked."""
    from pipeline.response import defaults
    from pipeline.response.network import pool as pool_effects

    table = read_numbers(file, [effect, variance, *(gradient or [])])
    pooled = pool_effects(
        table[effect].to_numpy(),
        table[variance].to_numpy(),
        {name: table[name].to_numpy() for name in gradient} if gradient else None,
        method or defaults.METHOD,
        interval or defaults.INTERVAL,
        prediction=prediction or defaults.PREDICTION,
    )
    document = pooled.to_json()
    if as_json:
        print_json(document)
        return
    for name, value in document.items():
        if name == "gradient" and value:
            for term in value["terms"]:
                say(f"{term['name']:>20}  {term['coefficient']:.6g}  se {term['se']}  p {term['p']}")
        elif not isinstance(value, dict) and value is not None:
            say(f"{name:>20}  {value}")


def read_numbers(file: Path, columns: list[str]) -> pd.DataFrame:
    """Return the named columns of a CSV file as numbers; a blank cell is missing.

    Raises InputError that names the column that is not there, or the first cell that is no number.
    """
    table = read_text_table(file, columns)
    numbers = {}
    for name in columns:
        cells = table[name].str.strip()
        values = pd.to_numeric(cells.where(~cells.isin(["", "NA", "NaN", "nan"])), errors="coerce")
        wrong = values.isna() & ~cells.isin(["", "NA", "NaN", "nan"])
        if wrong.any():
            line = int(wrong.to_numpy().argmax()) + 2
            sent = cells[wrong].iloc[0][:60]
            raise InputError(f"{file}, line {line}, {name}: “{sent}” is not a number. Correct the cell.")
        numbers[name] = values.astype("float64")
    return pd.DataFrame(numbers)


def read_text_table(file: Path, columns: list[str]) -> pd.DataFrame:
    """Return a CSV file as text; raises InputError where it cannot be read or lacks a column."""
    try:
        table = pd.read_csv(file, dtype="str", keep_default_na=False, encoding="utf-8-sig")
    except OSError as error:
        raise InputError(f"{file} cannot be read: {error.strerror}. Check the name and try again.") from error
    except (UnicodeDecodeError, pd.errors.ParserError, pd.errors.EmptyDataError) as error:
        raise InputError(f"{file} cannot be read as a CSV file: {error}. Save it as CSV UTF-8.") from error
    missing = [name for name in columns if name not in table.columns]
    if missing:
        lacks, has = ", ".join(missing), ", ".join(table.columns)
        raise InputError(f"{file} has no column {lacks}. Its columns are {has}. Name one of these.")
    return table


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command()(pool)
