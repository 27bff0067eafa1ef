"""A frame of plots, checked and turned into numbers that the garden models take."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from pipeline.response.arrays import Array, Codes
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

    Raises InputError where there is no plot or a column is missing, a site, treatment or season is blank, the
    response is not numbers or is infinite, the control appears nowhere, or a garden names the block of some
    plots only.
    """
    for column in columns.values():
        if column not in plots.columns:
            has = ", ".join(map(str, plots.columns))
            raise InputError(f"The plots have no column {column!r}. Their columns are: {has}.")
    if plots.empty:
        raise InputError("There is no plot to work with. Give at least the plots of one garden.")
    response = _response(plots, columns["response"])
    unit, units = _units(plots, columns)
    treatment, treatments = _treatments(plots, columns["treatment"], control)
    block = _blocks(plots, columns["block"], unit, units) if "block" in columns else None
    has_value = ~np.isnan(response)
    return CodedPlots(
        response=response[has_value],
        unit=unit[has_value],
        treatment=treatment[has_value],
        block=None if block is None else block[has_value],
        units=units,
        treatments=treatments,
    )


def _response(plots: pd.DataFrame, column: str) -> Array:
    values = plots[column]
    if not pd.api.types.is_numeric_dtype(values) or pd.api.types.is_bool_dtype(values):
        raise InputError(f"The column {column!r} does not hold numbers. Choose a column that does.")
    response = values.to_numpy(dtype=float, na_value=np.nan)
    if np.isinf(response).any():
        row = int(np.isinf(response).argmax()) + 1
        raise InputError(f"Plot row {row} has an infinite {column!r}. Mend the value or blank it.")
    return response


def _units(plots: pd.DataFrame, columns: Mapping[str, str]) -> tuple[Codes, pd.DataFrame]:
    site, sites = _named(plots, columns["site"])
    if "season" not in columns:
        return site, pd.DataFrame({"site": sites, "season": np.nan})
    season, seasons = _named(plots, columns["season"])
    used, unit = np.unique(site * len(seasons) + season, return_inverse=True)
    return unit, pd.DataFrame({"site": sites[used // len(seasons)], "season": seasons[used % len(seasons)]})


def _treatments(plots: pd.DataFrame, column: str, control: Hashable) -> tuple[Codes, tuple[Hashable, ...]]:
    code, names = _named(plots, column)
    if control not in names:
        listed = ", ".join(map(str, names))
        raise InputError(f"No plot has the control {control!r}. The treatments are: {listed}.")
    first = names.get_loc(control)
    order = np.concatenate([[first], np.delete(np.arange(len(names)), first)])
    return np.argsort(order)[code], tuple(names[order])


def _blocks(plots: pd.DataFrame, column: str, unit: Codes, units: pd.DataFrame) -> Codes:
    blank = plots[column].isna().to_numpy()
    if blank.any():
        share = np.bincount(unit, blank) / np.bincount(unit)
        mixed = (share > 0) & (share < 1)
        if mixed.any():
            site = units["site"].iloc[int(mixed.argmax())]
            raise InputError(f"Garden {site} names the block of some plots only. Name all of them, or none.")
    return pd.factorize(plots[column], use_na_sentinel=False)[0]


def _named(plots: pd.DataFrame, column: str) -> tuple[Codes, pd.Index]:
    """Return each row's place among the sorted names of the column, and the names."""
    code, names = pd.factorize(plots[column], sort=True)
    if (code < 0).any():
        row = int((code < 0).argmax()) + 1
        raise InputError(f"Plot row {row} has a blank {column!r}. Fill it in or take the row out.")
    return code, pd.Index(names)
