"""The plots of all seasons as checks see them: one row each, with what the trial and the crop say of it.

`plot_at` is a plot's place in the frame; rows carry it, so that whatever is known of a plot is one look-up
away. `garden_at`, `arm_at` and `block_at` number the trial of a garden and season, a treatment in it, and a
block of it: groups of rows are taken by these numbers.
"""

import re
from dataclasses import dataclass

import pandas as pd
import polars as pl

from sites.registry import Registry

#: Numbers of the crop table, by the names they have here; masses of a fruit in kg.
_BANDS = {
    "fruit_mass_low_g": "each_low_kg",
    "fruit_mass_high_g": "each_high_kg",
    "fruits_per_plant_low": "fruits_low",
    "fruits_per_plant_high": "fruits_high",
    "yield_per_plant_low_kg": "yield_low_kg",
    "yield_per_plant_high_kg": "yield_high_kg",
    "days_set_out_low": "days_set_out_low",
    "days_set_out_high": "days_set_out_high",
    "days_sown_low": "days_sown_low",
    "days_sown_high": "days_sown_high",
}
#: How the crop table says that a crop turns from green to a colour as it ripens.
_COLOURED = "coloured"
_GARDEN = ["site", "season", "trial"]


def make_layout(registry: Registry, crops: pd.DataFrame) -> pl.DataFrame:
    """Return one row per plot and season, those of one plot name of a garden in a run, oldest first.

    Columns: plot_at, garden_at, arm_at, block_at; site, season, trial, block, layout_plot, plot_key (one for
    each plot of a garden through all its seasons), assigned, in_ground, control, is_control, is_grafted;
    start, close, plants_per_plot, replace_days; crop, tender,
    turns_colour and the crop's bands.
    """
    trials = registry.trials.reindex(
        columns=["trial", "season", "crop", "control", "start", "close", "plants_per_plot", "replace_days"]
    )
    treatments = registry.treatments[["trial", "treatment", "rootstock"]]
    plots = registry.plots[["season", "site", "trial", "block", "plot", "treatment", "in_ground"]]
    merged = plots.merge(trials, on=["trial", "season"], validate="many_to_one")
    merged = merged.merge(treatments, on=["trial", "treatment"], validate="many_to_one")
    bands = crops[[*_BANDS, "tender", "ripe_en"]].rename_axis("crop").reset_index()
    merged = merged.merge(bands, on="crop", how="left", validate="many_to_one")
    frame = pl.from_pandas(merged).rename({"plot": "layout_plot", "treatment": "assigned"} | _BANDS)
    return _numbered(
        frame.with_columns(
            pl.col("start", "close").cast(pl.Date),
            pl.col("each_low_kg", "each_high_kg") / 1000,
            _plot_keys(frame),
            (pl.col("in_ground") == pl.col("control")).alias("is_control"),
            (pl.col("rootstock").fill_null("") != "").alias("is_grafted"),
            pl.col("replace_days").cast(pl.Float64).fill_null(0),
            pl.col("tender").cast(pl.Boolean).fill_null(value=False),
            (pl.col("ripe_en") == _COLOURED).fill_null(value=False).alias("turns_colour"),
        ).drop("rootstock", "ripe_en")
    )


def _numbered(layout: pl.DataFrame) -> pl.DataFrame:
    ordered = layout.sort("site", "plot_key", "start", "trial", maintain_order=True)
    groups = {"garden_at": _GARDEN, "arm_at": [*_GARDEN, "in_ground"], "block_at": [*_GARDEN, "block"]}
    numbers = [pl.struct(names).rank("dense").cast(pl.UInt32).alias(at) for at, names in groups.items()]
    return ordered.with_columns(numbers).with_row_index("plot_at")


@dataclass(frozen=True)
class Run:
    """Where the seasons of one plot stand in the layout: in a run, oldest first."""

    first_at: int
    seasons: int


class Places:
    """Plots by their names."""

    def __init__(self, layout: pl.DataFrame) -> None:
        runs = layout.group_by("site", "plot_key", maintain_order=True).agg(
            pl.col("plot_at").min().alias("first_at"), pl.len().alias("seasons"), pl.col("layout_plot")
        )
        self._runs: dict[tuple[str, str], Run] = {}
        self._written: dict[tuple[str, str], Run] = {}
        self._sites: dict[str, list[int]] = {}
        self._homes: dict[str, str | None] = {}
        for site, key, first_at, seasons, names in runs.rows():
            run = Run(first_at, seasons)
            self._runs[site, key] = run
            self._sites.setdefault(site, []).append(first_at)
            for name in {as_written(name) for name in names}:
                self._written[site, name] = run
                self._homes[name] = None if name in self._homes else site

    def find(self, site: str, name: str) -> Run | None:
        """Return the plot that a name means in a garden: as it is written, else by its loose name."""
        written = self._written.get((site, as_written(name)))
        return self._runs.get((site, loosely(name))) if written is None else written

    def of_site(self, site: str) -> list[int]:
        """Return where the plots of a garden begin in the layout."""
        return self._sites.get(site, [])

    def home_of(self, name: str) -> str | None:
        """Return the one garden that has a plot of this name, None where none or several have."""
        return self._homes.get(as_written(name))


def as_written(plot: str) -> str:
    """Return the name of a plot in small letters."""
    return plot.strip().lower()


def loosely(plot: str) -> str:
    """Return the name of a plot without case, spaces, dashes and leading zeros."""
    tidy = re.sub(r"[\s_.#-]", "", plot.lower()).lstrip("0")
    return re.sub(r"([a-z])0+([0-9])", r"\1\2", tidy)


def _plot_keys(layout: pl.DataFrame) -> pl.Series:
    """Return one name for each plot of a garden through all its seasons.

    It is the loose name, or the one that is written where two plots of one season share the loose one.
    """
    named = layout.select("site", "season", "layout_plot").rows()
    sharing: dict[tuple[str, str, str], set[str]] = {}
    for site, season, plot in named:
        sharing.setdefault((site, season, loosely(plot)), set()).add(plot)
    shared = {(site, loose) for (site, _, loose), plots in sharing.items() if len(plots) > 1 or not loose}
    keys = [as_written(plot) if (site, loosely(plot)) in shared else loosely(plot) for site, _, plot in named]
    return pl.Series("plot_key", keys, pl.String)
