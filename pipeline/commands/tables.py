"""Tables that people hand to a command: CSV text in, the columns that the command needs out."""

from pathlib import Path

import pandas as pd

from sites.errors import InputError

#: Cells that stand for nothing recorded in a table made by a program.
_BLANK = ("", "NA", "NaN", "nan")


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


def read_table(file: Path, texts: list[str], numbers: list[str]) -> pd.DataFrame:
    """Return the named columns of a CSV file as text and as numbers; a blank cell is missing.

    Raises InputError that names the column that is not there, or the first cell that is no number.
    """
    table = read_text_table(file, [*texts, *numbers])
    named = {name: table[name].str.strip().replace("", pd.NA) for name in texts}
    return pd.DataFrame(named | {name: _numbers(file, name, table[name].str.strip()) for name in numbers})


def _numbers(file: Path, name: str, cells: pd.Series) -> pd.Series:
    blank = cells.isin(_BLANK)
    values = pd.to_numeric(cells.where(~blank), errors="coerce")
    wrong = values.isna() & ~blank
    if wrong.any():
        line = int(wrong.to_numpy().argmax()) + 2
        sent = cells[wrong].iloc[0][:60]
        raise InputError(f"{file}, line {line}, {name}: “{sent}” is not a number. Correct the cell.")
    return values.astype("float64")
