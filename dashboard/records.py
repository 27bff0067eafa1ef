"""The rows of a frame as records, for frames of a few rows: pandas' own way takes twice as long."""

from collections.abc import Sequence
from typing import Any

import pandas as pd


def records(rows: pd.DataFrame, names: Sequence[str] = ()) -> list[dict[str, Any]]:
    """Return one record a row, by the names of its columns, as `DataFrame.to_dict("records")` gives them.

    With `names`, of those columns alone.
    """
    names = names or [str(name) for name in rows.columns]
    columns = [_values(rows[name]) for name in names]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def _values(column: pd.Series) -> list[Any]:
    """Return a column's values; whole numbers and flags that are not recorded are None."""
    return [None if value is pd.NA else value for value in column.tolist()]
