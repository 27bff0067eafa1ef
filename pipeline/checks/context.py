"""What the rows are held against: the registry, the crop and the day, joined to every row.

After the join a check is a plain condition on one row or on a group of rows. Added columns:

    site, site_how, site_nearest      the registry's name; plain, read as or unknown; the closest name
    plot, plot_known, garden_plots    the registry's plot; whether it is one; the garden's plots in words
    trial, season, block              what the layout says of the plot, in the season that holds the date
    assigned, in_ground               the treatment laid out, and what stands in the ground
    tag, trial_tags                   the treatment that the cell `treatment` names; the trial's, in words
    start, close, days_outside        the season's window and how far outside it the date lies
    crop and its bands                from the crop table
    plants_per_plot                   as planned
    today, days_outside_allowed       the night's day, and the days of grace around a season
"""

import difflib
from dataclasses import dataclass
from datetime import date

import pandas as pd
import polars as pl

from pipeline.intake.sheets import Sheet, plain
from sites.registry import Registry

#: Columns of the crop table that checks use.
CROP_COLUMNS = ("fruit_mass_low_g", "fruit_mass_high_g")


@dataclass(frozen=True)
class Context:
    """Everything outside the rows that checks need, made once a run."""

    sites: dict[str, str]
    names: dict[str, str]
    layout: pl.DataFrame
    tags: pl.DataFrame
    today: date
    days_outside_allowed: int

    def garden_of(self, folder: str) -> str | None:
        """Return the garden that an inbox sub-folder is named after, None where it is named after none."""
        return self.sites.get(plain(folder.split("/")[0])) if folder else None


def make_context(
    registry: Registry, crops: pd.DataFrame, today: date, days_outside_allowed: int = 14
) -> Context:
    """Return the context of a network on a day; `crops` is the crop table, indexed by crop."""
    names = dict(zip(registry.gardens["site"], registry.gardens["name"], strict=True))
    sites = {plain(name): site for site, name in names.items()} | {plain(site): site for site in names}
    return Context(sites, names, _layout(registry, crops), _tags(registry), today, days_outside_allowed)


def _layout(registry: Registry, crops: pd.DataFrame) -> pl.DataFrame:
    """Return one row per plot and season with what its trial and crop say of it."""
    trials = registry.trials[["trial", "season", "crop", "control", "start", "close", "plants_per_plot"]]
    treatments = registry.treatments[["trial", "treatment", "rootstock"]]
    plots = registry.plots[["season", "site", "trial", "block", "plot", "treatment", "in_ground"]]
    layout = plots.merge(trials, on=["trial", "season"], validate="many_to_one")
    layout = layout.merge(treatments, on=["trial", "treatment"], validate="many_to_one")
    bands = crops[list(CROP_COLUMNS)].rename_axis("crop").reset_index()
    layout = layout.merge(bands, on="crop", how="left", validate="many_to_one")
    frame = pl.from_pandas(layout).with_columns(pl.col("start", "close").cast(pl.Date))
    return frame.with_columns(_plot_key(pl.col("plot")).alias("plot_key")).rename(
        {"plot": "layout_plot", "treatment": "assigned"}
    )


def _tags(registry: Registry) -> pl.DataFrame:
    """Return the treatment that each name, code or label on a tag stands for, by trial."""
    named = [
        (row.trial, plain(text), row.treatment)
        for row in registry.treatments.itertuples()
        for text in (row.treatment, row.code, row.label)
        if plain(text)
    ]
    tags = pl.DataFrame(named, schema=["trial", "tag_key", "tag"], orient="row")
    return tags.unique(["trial", "tag_key"], keep="first", maintain_order=True)


def _plot_key(plot: pl.Expr) -> pl.Expr:
    """Return plots as they are compared: no case, spaces, dashes or leading zeros."""
    tidy = plot.str.to_lowercase().str.replace_all(r"[\s_.#-]", "").str.strip_chars_start("0")
    return tidy.str.replace_all(r"([a-z])0+([0-9])", "${1}${2}")


def with_context(sheet: Sheet, rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with everything that checks hold them against; their order is kept."""
    rows = _with_sites(rows.with_row_index("row"), context).with_columns(
        pl.lit(context.today).alias("today"),
        pl.lit(context.days_outside_allowed).alias("days_outside_allowed"),
    )
    if not sheet.of_kind("plot"):
        return rows.with_columns(pl.lit(None, pl.String).alias("season"))
    return _with_plots(rows, context)


def _with_sites(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    sent = rows["sent_site"].drop_nulls().unique(maintain_order=True).to_list()
    found = [context.sites.get(plain(name)) for name in sent]
    exact = [name == site for name, site in zip(sent, found, strict=True)]
    nearest = [None if site else _nearest(name, context) for name, site in zip(sent, found, strict=True)]
    known = pl.DataFrame(
        {
            "sent_site": sent,
            "known_site": found,
            "garden": [None if site is None else context.names[site] for site in found],
            "site_how": [
                "unknown" if site is None else "plain" if same else "read as"
                for site, same in zip(found, exact, strict=True)
            ],
            "site_nearest": nearest,
        },
        schema=dict.fromkeys(["sent_site", "known_site", "garden", "site_how", "site_nearest"], pl.String),
    )
    joined = rows.join(known, on="sent_site", how="left", maintain_order="left")
    return joined.with_columns(pl.col("known_site").alias("site")).drop("known_site")


def _nearest(name: str, context: Context) -> str | None:
    close = difflib.get_close_matches(plain(name), context.sites, n=1, cutoff=0.5)
    return context.sites[close[0]] if close else None


def _with_plots(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    """Return the rows with the plot, in the season whose start to close holds the date or lies nearest."""
    keyed = rows.with_columns(_plot_key(pl.col("sent_plot")).alias("plot_key"))
    day = pl.col("date")
    outside = pl.max_horizontal(
        (pl.col("start") - day).dt.total_days(), (day - pl.col("close")).dt.total_days(), 0
    )
    matched = (
        keyed.select("row", "site", "plot_key", "date")
        .join(context.layout, on=["site", "plot_key"], how="inner")
        .with_columns(outside.alias("days_outside"))
        .sort("row", "days_outside", "start", nulls_last=True)
        .unique("row", keep="first", maintain_order=True)
        .drop("site", "plot_key", "date")
    )
    plots = context.layout.group_by("site").agg(pl.col("layout_plot").unique().sort().alias("plots"))
    shown = plots.with_columns(pl.col("plots").list.head(12).list.join(", ").alias("garden_plots")).drop(
        "plots"
    )
    joined = keyed.join(matched, on="row", how="left", maintain_order="left")
    joined = joined.join(shown, on="site", how="left", maintain_order="left")
    placed = joined.with_columns(
        pl.col("layout_plot").is_not_null().alias("plot_known"),
        pl.coalesce("layout_plot", "sent_plot").alias("plot"),
    )
    return _with_tags(placed, context) if "sent_treatment" in placed.columns else placed


def _with_tags(rows: pl.DataFrame, context: Context) -> pl.DataFrame:
    sent = rows["sent_treatment"].drop_nulls().unique(maintain_order=True)
    keys = pl.DataFrame(
        {"sent_treatment": sent, "tag_key": [plain(tag) for tag in sent]},
        schema_overrides={"tag_key": pl.String},
    )
    keyed = rows.join(keys, on="sent_treatment", how="left", maintain_order="left")
    tagged = keyed.join(context.tags, on=["trial", "tag_key"], how="left", maintain_order="left")
    named = context.tags.group_by("trial").agg(pl.col("tag").unique(maintain_order=True).alias("trial_tags"))
    shown = named.with_columns(pl.col("trial_tags").list.join(", "))
    return tagged.join(shown, on="trial", how="left", maintain_order="left")
