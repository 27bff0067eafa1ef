"""The table behind each figure: its rows in its order, the same on the page and as CSV."""

import pandas as pd

from dashboard import data
from dashboard.data import TrialSeason, View
from dashboard.differences import unit_of
from dashboard.figures.gradient_rows import ROW_AXIS
from dashboard.figures.template import Screen
from dashboard.harvest_curves import SEASON_OUTCOME
from dashboard.pages.evidence import weights_of
from dashboard.pages.garden_rows import curves_of_plots, harvest_of
from dashboard.pages.neighbours import season_of
from dashboard.pages.over_seasons import is_over, over
from dashboard.pages.plan_gardens import fits, gardens_of, layout_of, next_map_rows
from dashboard.pages.plan_inputs import best_places, inputs_of
from dashboard.pages.rows import effects_of, fruit_mass_rows, gradient_rows, plots_of
from dashboard.pages.waiting import waiting
from dashboard.selection import Selection

#: Where a row's garden is: the first columns of every table.
PLACE = ["site", "name", "county", "position_km"]
DIFFERENCE = ["percent", "percent_low", "percent_high"]


def tonight(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return each garden's state tonight with its counts."""
    del view, trial
    counts = ["last_picking", "open_questions", "rows_held", "pickings_received", "pickings_expected"]
    return selection.gardens[[*PLACE, "state", "reason", *counts]]


def strips(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return each garden's differences, weather and land."""
    rows = gradient_rows(view, selection, trial, Screen())
    weather = ["rain_mm", "hot_days", "degree_days_c", "weather_note"]
    known = [*weather, "elevation_m", "texture", "ph", "soil_source"]
    effects = rows.effects[["site", "treatment", *DIFFERENCE]]
    joined = rows.gardens[[*PLACE, *known]].merge(effects, on="site", how="left")
    estimates = data.of_season(view, "estimates", over(trial) if is_over(view, selection) else trial)
    own = estimates[(estimates["outcome"] == selection.outcome) & (estimates["axis"] == ROW_AXIS)]
    unit = unit_of(selection.outcome)
    without = own[["site", "treatment"]].assign(
        # Ratios stand in percent already.
        percent_without=own["mean_without"] * (1.0 if unit.is_ratio else unit.per)
    )
    told = joined.merge(without, on=["site", "treatment"], how="left")
    return _named_by_unit(told[[*PLACE, "treatment", *DIFFERENCE, "percent_without", *known]], selection)


def _named_by_unit(rows: pd.DataFrame, selection: Selection) -> pd.DataFrame:
    """Return the rows with columns of points or days called so, since percents are something else."""
    unit = unit_of(selection.outcome)
    if unit.is_ratio:
        return rows
    names = {name: name.replace("percent", f"difference_{unit.many}") for name in DIFFERENCE}
    return rows.rename(columns=names | {"percent_without": f"{unit.many}_without"})


def plots(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return every plot with the chosen measure and whether it counts; plots without a value at the end."""
    drawn = plots_of(view, selection, trial, "light")
    rows = pd.concat([drawn.rows, drawn.missing], ignore_index=True)
    return rows[[*PLACE, "block", "plot", "treatment", selection.outcome, "used", "why_not"]]


def effects(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return each garden's difference for the chosen measure and treatment, with its means and interval."""
    rows = effects_of(view, selection, trial, "light")
    rows = rows[rows["treatment"] == selection.treatment]
    columns = [*PLACE, "treatment", "mean_control", "mean_treatment", "plots", *DIFFERENCE]
    return _named_by_unit(rows[columns], selection)


def season(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return weight per plant adding up, day by day."""
    del selection
    rows = data.placed(view, data.of_season(view, "harvest_curves", trial), "light")
    ordered = rows.sort_values(["position_km", "site", "treatment", "date"], kind="stable")
    return ordered[[*PLACE, "treatment", "date", SEASON_OUTCOME]].reset_index(drop=True)


def questions(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return what waits for a decision, most consequential first; treatments by code."""
    left = waiting(view, selection, trial).open
    names = ["group", "size", "site", "plot", "code", "date", "file", "line", "column", "check", "sent"]
    return left[[*names, "message"]]


def neighbours(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the rows of the garden around the question shown, with file and line."""
    chosen = waiting(view, selection, trial).chosen
    rows = [] if chosen is None else season_of(view, selection, chosen.to_dict())
    table = pd.DataFrame(rows, columns=list(rows[0]) if rows else [])
    return table.astype({name: kind for name, kind in _OF_ROWS.items() if name in table})[
        [name for name in _OF_ROWS if name in table]
    ]


#: What is told of rows of any sheet, with its kind.
_OF_ROWS = {
    **dict.fromkeys(["file", "tab"], "str"),
    "line": "Int64",
    "plot": "str",
    "date": "datetime64[us]",
    **dict.fromkeys(["marketable_count", "marketable_weight"], "float64"),
    "state": "str",
}


def garden_curves(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return weight per plant of the garden's plots, adding up day by day."""
    rows = [
        (curve.plot, curve.treatment, day, total)
        for curve in curves_of_plots(view, selection, trial)
        for day, total in zip(curve.days, curve.totals, strict=True)
    ]
    total = f"total_{weights_of(view).unit}_per_plant"
    return pd.DataFrame(rows, columns=["plot", "treatment", "date", total])


def garden_rows(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return every harvest row of the garden and season, with file and line."""
    rows = harvest_of(view, selection, trial)
    left_out = ("row_id", "sha256", "origin", "sent", "upload_id", "unit", "scale")
    return rows.drop(columns=[name for name in left_out if name in rows.columns])


def weather(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the week's weather events, west to east."""
    del selection
    events = data.placed(view, data.of_season(view, "weather_events", trial), "light")
    return events[[*PLACE, "date", "event", "value_c"]]


def planting(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return how far each garden is with planting, west to east."""
    del selection
    rows = data.placed(view, data.of_season(view, "planting_week", trial), "light")
    days = [
        "arrived_on",
        "plants_usable",
        "plots_planted",
        "first_planted_on",
        "last_planted_on",
        "picture_on",
    ]
    return rows[[*PLACE, "plots", *days]]


def scores(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return what two people said of one plot, west to east."""
    del selection
    rows = data.placed(view, data.of_season(view, "double_scores", trial), "light")
    said = ["plot", "date", "measure", "person_one", "score_one", "person_other", "score_other"]
    return rows[[*PLACE, *said]]


def power(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the chance to see the difference for networks of so many gardens."""
    del trial
    return pd.DataFrame([vars(each) for each in inputs_of(view, selection).planned().table])


def next_places(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return what one more garden would do to the slope's error, place by place."""
    del trial
    closed = inputs_of(view, selection).closed
    if closed is None:
        return pd.DataFrame()
    _, row = gardens_of(view, closed, "light")
    found = best_places(view, closed, max(row.low, 0.0), row.high)
    return pd.DataFrame() if found is None else found.options


def next_map(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the gardens on the map, west to east, and what one that was asked would bring."""
    del trial
    closed = inputs_of(view, selection).closed
    shown = next_map_rows(view, closed) if closed else None
    if shown is None:
        return pd.DataFrame()
    both = pd.concat([shown.gardens.assign(is_asked="no"), shown.asked.assign(is_asked="yes")])
    return both.sort_values("position_km")[[*PLACE, "is_asked", "narrower_pct"]]


def asked(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the gardens that were asked, west to east, with what speaks for and against each."""
    table = fits(view, trial, inputs_of(view, selection).blocks)
    known = ["beds", "plots_needed", "sun_hours", "water_source", "next_garden", "next_km"]
    return table[[*PLACE, *known, "has_beds", "has_sun", "has_water", "is_apart", "verdict"]]


def layout(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return where each plot of the chosen garden lies."""
    del trial
    plots, _ = layout_of(view, selection, inputs_of(view, selection).blocks)
    known = ["site", "block", "plot", "code", "row", "col"]
    return plots[[name for name in known if name in plots.columns]]


def fruit_mass(view: View, selection: Selection, trial: TrialSeason) -> pd.DataFrame:
    """Return the mean fruit of every plot that counts, west to east."""
    rows = fruit_mass_rows(view, selection, trial, Screen()).plots
    return rows[[*PLACE, "block", "plot", "treatment", "mean_fruit_mass_g"]]
