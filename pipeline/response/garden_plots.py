"""A frame of plots, checked and turned into numbers that the garden models take."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from pipeline.response.garden_model import Array, Codes
from sites.errors import InputError


@dataclass(frozen=True)
class CodedPlots:
    """The plots that have a value, `(n,)`, with numbers for names; a unit is a garden, or one season of it.

    `units` has one row per unit, sorted: site, season (missing where seasons are not told apart).
    `treatments` starts with the control. `block` is None where plots are independent.
    """

    response: Array
    unit: Codes
    treatment: Codes
    block: Codes | None
    units: pd.DataFrame
    treatments: tuple[Hashable, ...]


def coded_plots(plots: pd.DataFrame, columns: Mapping[str, str], control: Hashable) -> CodedPlots:
    """Return the plots as numbers.

    `columns` maps "site", "treatment", "response" and, where used, "block" and "season" to columns of
    `plots`. Plots without a response are left out, their garden stays in `units`. A garden whose blocks are
    all blank is one block.

    Raises InputError where a column is missing, a site, treatment or season is blank, the response is not
    numbers or is infinite, the control appears nowhere, or a garden names the block of some plots only.
    """
    table = _checked(plots, columns, control)
    keys = [key for key in ("site", "season") if key in table]
    groups = table.groupby(keys, sort=True, observed=True)
    units = groups.size().index.to_frame(index=False).reindex(columns=["site", "season"])
    treatments = (control, *sorted(set(table["treatment"]) - {control}))
    has_value = table["response"].notna().to_numpy()
    return CodedPlots(
        response=table["response"].to_numpy()[has_value],
        unit=groups.ngroup().to_numpy()[has_value],
        treatment=pd.Index(treatments).get_indexer(table["treatment"])[has_value],
        block=_block_codes(table, keys)[has_value] if "block" in table else None,
        units=units,
        treatments=treatments,
    )


def _checked(plots: pd.DataFrame, columns: Mapping[str, str], control: Hashable) -> pd.DataFrame:
    for column in columns.values():
        if column not in plots.columns:
            has = ", ".join(map(str, plots.columns))
            raise InputError(f"The plots have no column {column!r}. Their columns are: {has}.")
    table = pd.DataFrame({name: plots[column].to_numpy() for name, column in columns.items()})
    for name in ("site", "season", "treatment"):
        if name in table and table[name].isna().any():
            row = int(table[name].isna().argmax()) + 1
            raise InputError(f"Plot row {row} has a blank {columns[name]!r}. Fill it in or take the row out.")
    response = table["response"]
    if not pd.api.types.is_numeric_dtype(response) or pd.api.types.is_bool_dtype(response):
        raise InputError(
            f"The column {columns['response']!r} does not hold numbers. Choose a column that does."
        )
    table["response"] = response.astype(float)
    if np.isinf(table["response"]).any():
        row = int(np.isinf(table["response"]).argmax()) + 1
        raise InputError(
            f"Plot row {row} has an infinite {columns['response']!r}. Mend the value or blank it."
        )
    if not (table["treatment"] == control).any():
        listed = ", ".join(map(str, sorted(set(table["treatment"]))))
        raise InputError(f"No plot has the control {control!r}. The treatments are: {listed}.")
    return table


def _block_codes(table: pd.DataFrame, keys: list[str]) -> Codes:
    blank = table["block"].isna()
    if blank.any():
        share = blank.groupby([table[key] for key in keys]).mean()
        mixed = share.index[(share > 0) & (share < 1)]
        if len(mixed):
            raise InputError(
                f"Garden {mixed[0]} names the block of some plots only. Name all of them, or none."
            )
    return pd.factorize(table["block"], use_na_sentinel=False)[0]
