"""What the rows are held against, made once a run: the registry, the crop table, the day, what is kept."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

import pandas as pd
import polars as pl

from pipeline.checks.layout import Places, make_layout
from pipeline.intake.dates import Season
from pipeline.intake.sheets import plain
from sites.registry import Registry

#: Words of the crop table that messages use, by the names they have here.
CROP_WORDS = {
    "name_en": "crop_en",
    "name_es": "crop_es",
    "counted_one_en": "one_en",
    "counted_many_en": "many_en",
    "counted_one_es": "one_es",
    "counted_many_es": "many_es",
}
_NO_FREEZES = {"site": pl.String, "season": pl.String, "late_freeze": pl.Date}
_NO_WEATHER = {"site": pl.String, "season": pl.String}
#: A garden of these states is one that we hear from.
_TAKES_PART = ("agreed", "active")
#: How many of a garden's plots a message names.
_PLOTS_NAMED = 12

#: Gives the rows of some gardens that count already, by kind of sheet; a kind may be read when asked for.
KeptOf = Callable[[Collection[str]], Mapping[str, pl.DataFrame]]


#: Gives the day of each garden and season after which one spring in ten still freezes.
LateFreeze = Callable[[], pl.DataFrame]


def no_late_freeze() -> pl.DataFrame:
    """Return no days: nobody knows when it freezes."""
    return pl.DataFrame(schema=_NO_FREEZES)


def nothing_kept(_sites: Collection[str]) -> Mapping[str, pl.DataFrame]:
    """Return no rows: a sheet is judged by itself."""
    return {}


@dataclass(frozen=True)
class Context:
    """Everything outside the rows that checks need.

    `sites` finds a garden by its plain name, `names` gives the names. `layout` has one row per plot and
    season and `places` finds it there (`checks.layout`). `tags` has the treatment that a word on a tag stands
    for, `trial_tags` the tags of a trial in words, `crops` the words of the crop table. `gardens` has one row
    per garden: site, garden (its name), garden_plots (in words), kind, takes_part, lon, lat. `absences` has
    site, from, to.

    `kept_of` gives, for some gardens and by kind of sheet, the rows that count already: the sheet's columns
    with season, weights in kg and lengths in cm; further columns are ignored. They are looked at beside the
    new rows and never asked about.

    `seasons` are the first and last day of every season: a day outside them all is not what was meant.

    `late_freeze` gives site, season and the day after which one spring in ten still freezes, and is asked
    only where something was planted; `weather` has site, season and any numbers that explain a yield (heat,
    rain). Either may be empty.
    """

    sites: dict[str, str]
    names: dict[str, str]
    layout: pl.DataFrame
    places: Places
    tags: pl.DataFrame
    crops: pl.DataFrame
    trial_tags: pl.DataFrame
    gardens: pl.DataFrame
    absences: pl.DataFrame
    today: date
    seasons: Sequence[Season]
    days_outside_allowed: int = 14
    late_days: int = 14
    late_freeze: LateFreeze = no_late_freeze
    weather: pl.DataFrame = field(default_factory=lambda: pl.DataFrame(schema=_NO_WEATHER))
    kept_of: KeptOf = nothing_kept

    def garden_of(self, folder: str) -> str | None:
        """Return the garden that an inbox sub-folder is named after, None where it is named after none."""
        return self.sites.get(plain(folder.split("/")[0])) if folder else None

    def is_away(self, day: pl.Expr) -> pl.Expr:
        """Return whether nobody is expected to pick at `site` on a day: it lies in one of its absences."""
        return pl.any_horizontal(
            pl.lit(value=False),
            *(
                (pl.col("site") == site) & day.is_between(first, last)
                for site, first, last in self.absences.rows()
            ),
        )


def make_context(
    registry: Registry,
    crops: pd.DataFrame,
    today: date,
    days_outside_allowed: int = 14,
    *,
    late_days: int = 14,
    late_freeze: LateFreeze = no_late_freeze,
    weather: pl.DataFrame | None = None,
    kept_of: KeptOf = nothing_kept,
) -> Context:
    """Return the context of a network on a day; `crops` is the crop table, indexed by crop."""
    names = dict(zip(registry.gardens["site"], registry.gardens["name"], strict=True))
    layout = make_layout(registry, crops)
    tags = _tags(registry)
    words = crops.reindex(columns=list(CROP_WORDS)).rename(columns=CROP_WORDS).rename_axis("crop")
    return Context(
        sites={plain(name): site for site, name in names.items()} | {plain(site): site for site in names},
        names=names,
        layout=layout,
        places=Places(layout),
        tags=tags,
        trial_tags=tags.group_by("trial").agg(
            pl.col("tag").unique(maintain_order=True).str.join(", ").alias("trial_tags")
        ),
        crops=pl.from_pandas(words.reset_index().astype("str")),
        gardens=_gardens(registry, layout),
        absences=_absences(registry),
        today=today,
        seasons=layout.select("start", "close").drop_nulls().unique().sort("start", "close").rows(),
        days_outside_allowed=days_outside_allowed,
        late_days=late_days,
        late_freeze=late_freeze,
        weather=pl.DataFrame(schema=_NO_WEATHER) if weather is None else weather,
        kept_of=kept_of,
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


def _gardens(registry: Registry, layout: pl.DataFrame) -> pl.DataFrame:
    known = registry.gardens
    gardens = pl.DataFrame(
        {
            "site": known["site"].tolist(),
            "garden": known["name"].tolist(),
            "kind": known.get("kind", pd.Series("", known.index)).tolist(),
            "status": known.get("status", pd.Series("active", known.index)).tolist(),
            "lon": known.get("lon", pd.Series(float("nan"), known.index)).astype("float64").tolist(),
            "lat": known.get("lat", pd.Series(float("nan"), known.index)).astype("float64").tolist(),
        },
        schema_overrides={"site": pl.String, "garden": pl.String, "kind": pl.String, "status": pl.String},
    )
    # As a person counts: 2 before 10.
    counted = pl.col("layout_plot").sort_by(pl.col("layout_plot").str.len_chars(), pl.col("layout_plot"))
    plots = layout.group_by("site").agg(counted.unique(maintain_order=True).head(_PLOTS_NAMED))
    shown = plots.select("site", pl.col("layout_plot").list.join(", ").alias("garden_plots"))
    placed = gardens.join(shown, on="site", how="left", maintain_order="left")
    return placed.with_columns(pl.col("status").is_in(_TAKES_PART).alias("takes_part")).drop("status")


def _absences(registry: Registry) -> pl.DataFrame:
    empty = {"site": pl.String, "from": pl.Date, "to": pl.Date}
    if registry.absences.empty:
        return pl.DataFrame(schema=empty)
    return pl.from_pandas(registry.absences[list(empty)]).cast(pl.Schema(empty))
