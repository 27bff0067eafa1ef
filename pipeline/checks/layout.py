"""The plots of all seasons as checks see them: one row each, with what the trial and the crop say of it.

`plot_at` is a plot's place in the frame; rows carry it, so that whatever is known of a plot is one look-up
away. `garden_at`, `arm_at` and `block_at` number the trial of a garden and season, a treatment in it, and a
block of it: groups of rows are taken by these numbers.
"""

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
            _own_key().alias("plot_key"),
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


def plot_places(layout: pl.DataFrame) -> pl.DataFrame:
    """Return where each name of a plot leads: site, name, first_at and how many seasons stand there in a run.

    A plot goes by its name as it is written (in small letters) and, where that is no other plot's, by the
    name without what does not count.
    """
    runs = layout.group_by("site", "plot_key").agg(
        pl.col("plot_at").min().alias("first_at"), pl.len().alias("seasons")
    )
    named = layout.select("site", "plot_key", "layout_plot").unique(maintain_order=True)
    written = named.select("site", "plot_key", as_written(pl.col("layout_plot")).alias("name"))
    loose = named.select("site", "plot_key", pl.col("plot_key").alias("name"))
    names = pl.concat([written, loose]).unique(["site", "name"], keep="first", maintain_order=True)
    return names.join(runs, on=["site", "plot_key"], how="left", maintain_order="left").drop("plot_key")


def _own_key() -> pl.Expr:
    """Return the loose name of a plot, or the name as written where two plots share the loose one."""
    loose = loosely(pl.col("layout_plot"))
    is_shared = pl.col("layout_plot").n_unique().over(["site", "season", loose]).max().over(["site", loose])
    return pl.when(is_shared > 1).then(as_written(pl.col("layout_plot"))).otherwise(loose)


def as_written(plot: pl.Expr) -> pl.Expr:
    """Return plots in small letters."""
    return plot.str.to_lowercase().str.strip_chars()


def loosely(plot: pl.Expr) -> pl.Expr:
    """Return plots without case, spaces, dashes and leading zeros."""
    tidy = plot.str.to_lowercase().str.replace_all(r"[\s_.#-]", "").str.strip_chars_start("0")
    return tidy.str.replace_all(r"([a-z])0+([0-9])", "${1}${2}")
