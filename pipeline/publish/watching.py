"""What the lead watches beside the states: the week's weather, the planting week, scores by two people."""

from typing import Any

import numpy as np
import pandas as pd

from pipeline.publish import frames as published
from pipeline.response.agreement import agreement
from pipeline.surroundings import Surroundings
from sites.climate import JudgedRecord
from sites.climate.garden_weather import at_gardens
from sites.geography import coordinate_check

#: Days up to tonight whose weather is told.
WEEK_DAYS = 7
#: Below or at this a night is a freeze, °C.
FREEZE_C = 0.0
#: Measures that two people may score of one plot, with the unit in which they differ.
SCORED = {"severity_pct": "% of leaf", "height_cm": "cm", "alive": "plants"}
#: Days before a trial's start in which its plants may have arrived; common practice, no source.
ARRIVES_EARLY_DAYS = 45


def weather_events(
    surroundings: Surroundings, record: JudgedRecord, trial: Any, sites: list[str], tonight: pd.Timestamp
) -> pd.DataFrame:
    """Return the freezes and the days too hot to set fruit of the week up to tonight.

    From the record as far as it is believed. Only days of the season count. A garden or day without a station
    near enough has no event and no guess; nor has a garden whose coordinates cannot be used.
    """
    first = max(tonight - pd.Timedelta(days=WEEK_DAYS - 1), trial.start)
    last = min(tonight, trial.close)
    gardens = surroundings.registry.gardens
    good = coordinate_check(gardens["lon"], gardens["lat"], surroundings.counties).verdict == "good"
    gardens = gardens[gardens["site"].isin(sites) & good]
    if last < first or record.stations.empty or gardens.empty:
        return published.WEATHER_EVENTS.empty()
    found = at_gardens(
        record.stations,
        record.daily,
        gardens["lon"].to_numpy(float),
        gardens["lat"].to_numpy(float),
        gardens["elevation_m"].to_numpy(float),
        first.date(),
        last.date(),
        record.method,
    )
    limit = float(surroundings.crops["day_hot_low_c"].get(trial.crop, np.nan))
    parts = []
    for event, element, is_it in (
        ("freeze", "tmin_c", lambda value: value <= FREEZE_C),
        ("heat", "tmax_c", lambda value: value > limit),
    ):
        value = found.elements[element].value
        garden, day = np.nonzero(is_it(value))
        parts.append(
            pd.DataFrame(
                {
                    "site": gardens["site"].to_numpy()[garden],
                    "date": pd.to_datetime(found.dates[day]).astype("datetime64[us]"),
                    "event": event,
                    "value_c": value[garden, day],
                }
            )
        )
    return pd.concat(parts, ignore_index=True).sort_values(["date", "event", "site"], ignore_index=True)


def planting_week(
    plots: pd.DataFrame,
    planting: pd.DataFrame,
    deliveries: pd.DataFrame,
    pictures: pd.DataFrame,
    trial: Any,
) -> pd.DataFrame:
    """Return how far each garden is with planting: arrived, planted, its sheet here, a picture seen.

    `plots` has a row per plot of the trial, `planting` and `deliveries` rows that count, `pictures` those
    kept with their garden and day.
    """
    sites = pd.Index(sorted(plots["site"].unique()), name="site")
    early = trial.start - pd.Timedelta(days=ARRIVES_EARLY_DAYS)
    arrived = deliveries[deliveries["date"].between(early, trial.close)]
    seen = pictures[pictures["day"].between(early, trial.close)]
    table = pd.DataFrame(index=sites)
    table["arrived_on"] = arrived.groupby("site")["date"].min().reindex(sites)
    table["plants_usable"] = arrived.groupby("site")["usable"].sum(min_count=1).reindex(sites)
    table["plots"] = plots.groupby("site")["plot"].nunique().reindex(sites)
    table["plots_planted"] = planting.groupby("site")["plot"].nunique().reindex(sites).fillna(0)
    table["first_planted_on"] = planting.groupby("site")["date"].min().reindex(sites)
    table["last_planted_on"] = planting.groupby("site")["date"].max().reindex(sites)
    table["picture_on"] = seen.groupby("site")["day"].min().reindex(sites)
    whole = {name: table[name].astype("Int64") for name in ("plots", "plots_planted")}
    return table.assign(**whole).reset_index()


def double_scores(condition: pd.DataFrame) -> pd.DataFrame:
    """Return the scores of one plot on one day by two people: the first two of each, measure by measure."""
    known = condition[condition["recorded_by"].notna()].sort_values("row_id", kind="stable")
    parts = []
    for measure in SCORED:
        scored = known[known[measure].notna()].drop_duplicates(["site", "plot", "date", "recorded_by"])
        nth = scored.groupby(["site", "plot", "date"]).cumcount()
        keys = ["site", "plot", "date"]
        first = scored.loc[nth == 0, [*keys, "recorded_by", measure]]
        second = scored.loc[nth == 1, [*keys, "recorded_by", measure]]
        pairs = first.merge(second, on=keys, suffixes=("_one", "_other"))
        parts.append(
            pairs.rename(columns={f"{measure}_one": "score_one", f"{measure}_other": "score_other"})
            .rename(columns={"recorded_by_one": "person_one", "recorded_by_other": "person_other"})[
                [*keys, "person_one", "person_other", "score_one", "score_other"]
            ]
            .assign(measure=measure)
        )
    return pd.concat(parts, ignore_index=True)


def score_agreement(pairs: pd.DataFrame) -> pd.DataFrame:
    """Return for each measure how well the two people of each pair agree."""
    rows = []
    for measure, of_measure in pairs.groupby("measure", sort=False):
        found = agreement(of_measure["score_one"], of_measure["score_other"])
        rows.append({"measure": measure, "unit": SCORED[str(measure)], **vars(found)})
    return pd.DataFrame(rows, columns=published.SCORE_AGREEMENT.column_names)
