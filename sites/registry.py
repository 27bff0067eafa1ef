"""The registry of a network: gardens, trials, treatments, plots and absences.

Five CSV files that a person keeps. They are read and checked as a whole, so that every problem is
reported at once. Columns beyond those named here are kept.
"""

from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from sites.errors import Problem, RegistryError
from sites.tables import TableColumn as Column
from sites.tables import TableDefinition, TableReading, read_table

STATUSES = ("asked", "agreed", "active", "paused", "left")
PUBLIC_FORMS = ("exact", "coarse", "county", "hidden")

#: Outcomes that a trial may name before its season as the one it is about.
OUTCOME_NAMES = (
    *("marketable_kg_per_plant", "marketable_kg_per_survivor", "marketable_fruits_per_plant"),
    *("mean_fruit_mass_g", "marketable_share", "early_kg_per_plant", "days_to_first_harvest", "height_cm"),
    *("survival", "relative_audpc"),
)

#: Looks at a trial before its close that may be named: each takes from what may be called at the others.
MOST_INTERIM_DATES = 3

GARDENS = TableDefinition(
    "gardens.csv",
    (
        Column("site", required=True),
        Column("name", required=True),
        Column("lon", "number"),
        Column("lat", "number"),
        Column("elevation_m", "number", low=-500, high=9000),
        Column("county_fips"),
        Column("kind"),
        Column("contact"),
        Column("language"),
        Column("time_zone"),
        Column("first_season", "whole"),
        Column("status", choices=STATUSES, default="active"),
        Column("status_date", "date"),
        Column("beds", "whole", low=0),
        Column("sun_hours", "number", low=0, high=24),
        Column("water_source"),
        Column("public_as", choices=PUBLIC_FORMS, default="coarse"),
        Column("public_name"),
        Column("agreed_on", "date"),
    ),
    key=("site",),
)

TRIALS = TableDefinition(
    "trials.csv",
    (
        Column("trial", required=True),
        Column("season", required=True),
        Column("crop", required=True),
        Column("control", required=True),
        Column("start", "date", required=True),
        Column("close", "date", required=True),
        Column("blocks", "whole", required=True, low=1),
        Column("plants_per_plot", "whole", required=True, low=1),
        Column("primary_outcome", choices=OUTCOME_NAMES, default=OUTCOME_NAMES[0]),
        Column("harvest_stage", choices=("immature", "mature", "ripe"), default="mature"),
        Column("replace_days", "whole", low=0, default="10"),
        Column("interim_dates", "dates"),
        Column("blind", choices=("yes", "no"), default="no"),
    ),
    key=("trial", "season"),
)

TREATMENTS = TableDefinition(
    "treatments.csv",
    (
        Column("trial", required=True),
        Column("treatment", required=True),
        Column("code", required=True),
        Column("cultivar"),
        Column("rootstock"),
        Column("label"),
    ),
    key=("trial", "treatment"),
)

PLOTS = TableDefinition(
    "plots.csv",
    (
        Column("season"),
        Column("site", required=True),
        Column("trial", required=True),
        Column("block", required=True),
        Column("plot", required=True),
        Column("treatment", required=True),
        Column("planted_as"),
        Column("row", "whole"),
        Column("col", "whole"),
    ),
)

ABSENCES = TableDefinition(
    "absences.csv",
    (
        Column("site", required=True),
        Column("from", "date", required=True),
        Column("to", "date", required=True),
        Column("stand_in"),
    ),
    optional=True,
)

TABLES = (GARDENS, TRIALS, TREATMENTS, PLOTS, ABSENCES)


@dataclass(frozen=True)
class Registry:
    """The registry as frames; `plots` carries `in_ground`, what stands in the plot."""

    gardens: pd.DataFrame
    trials: pd.DataFrame
    treatments: pd.DataFrame
    plots: pd.DataFrame
    absences: pd.DataFrame

    def plots_of(self, trial: str, season: str) -> pd.DataFrame:
        """Return the plots of one trial and season."""
        return self.plots[(self.plots["trial"] == trial) & (self.plots["season"] == season)]

    def treatments_of(self, trial: str, control: str) -> pd.DataFrame:
        """Return the treatments of one trial, the control first, then in the order of the file."""
        rows = self.treatments[self.treatments["trial"] == trial]
        return rows.assign(is_control=rows["treatment"] == control).sort_values(
            ["is_control", "line"], ascending=[False, True]
        )


def read_registry(folder: Path) -> Registry:
    """Return the registry in `folder`.

    Raises RegistryError with every problem of the five files where there is one.
    """
    readings = {definition.file: read_table(folder, definition) for definition in TABLES}
    problems = [problem for reading in readings.values() for problem in reading.problems]
    # Cross-checks on a table that could not be read would only repeat what is already said.
    whole = not any(problem.line in (None, 1) for problem in problems)
    frames = {name: _complete(reading) for name, reading in readings.items()}
    if whole:
        frames["plots.csv"], season_problems = _with_seasons(frames["plots.csv"], frames["trials.csv"])
        problems += season_problems + _broken_links(frames) + _trial_problems(frames) + _plot_problems(frames)
        problems += _interim_problems(frames["trials.csv"])
    if problems:
        raise RegistryError(problems)
    return Registry(*(frames[definition.file] for definition in TABLES))


def _complete(reading: TableReading) -> pd.DataFrame:
    """Return the frame with the blanks that have a meaning filled in."""
    frame = reading.frame
    if "planted_as" in frame:
        in_ground = frame["planted_as"].where(frame["planted_as"] != "", frame["treatment"])
        return frame.assign(in_ground=in_ground)
    if "label" in frame:
        return frame.assign(label=frame["label"].where(frame["label"] != "", frame["treatment"]))
    return frame


def _with_seasons(plots: pd.DataFrame, trials: pd.DataFrame) -> tuple[pd.DataFrame, list[Problem]]:
    """Return the plots with blank seasons filled where the trial has only one, and the others as problems."""
    seasons = trials.groupby("trial")["season"].agg(["nunique", "first"])
    only = plots["trial"].map(seasons["first"].where(seasons["nunique"] == 1))
    blank = plots["season"] == ""
    problems = [
        Problem(
            PLOTS.file,
            int(line),
            "season",
            "the trial has several seasons and this plot names none.",
            "Add the column season and write the season of each plot.",
        )
        for line in plots["line"][blank & only.isna() & plots["trial"].isin(trials["trial"])]
    ]
    return plots.assign(season=plots["season"].where(~blank, only.fillna(""))), problems


def _unknown(frame: pd.DataFrame, file: str, column: str, known: pd.Series, where: str) -> list[Problem]:
    wrong = frame[~frame[column].isin(known) & (frame[column] != "")]
    return [
        Problem(
            file,
            int(row["line"]),
            column,
            f"“{row[column]}” is not in {where}.",
            f"Correct it or add it to {where}.",
        )
        for _, row in wrong.iterrows()
    ]


def _broken_links(frames: dict[str, pd.DataFrame]) -> list[Problem]:
    gardens, trials, plots = frames["gardens.csv"], frames["trials.csv"], frames["plots.csv"]
    treatments, absences = frames["treatments.csv"], frames["absences.csv"]
    problems = _unknown(plots, PLOTS.file, "site", gardens["site"], GARDENS.file)
    problems += _unknown(absences, ABSENCES.file, "site", gardens["site"], GARDENS.file)
    problems += _unknown(treatments, TREATMENTS.file, "trial", trials["trial"], TRIALS.file)
    problems += _unknown(plots, PLOTS.file, "trial", trials["trial"], TRIALS.file)
    known_trial = plots[plots["trial"].isin(trials["trial"])]
    for column in ("treatment", "planted_as"):
        for trial, of_trial in known_trial.groupby("trial"):
            names = treatments.loc[treatments["trial"] == trial, "treatment"]
            problems += _unknown(of_trial, PLOTS.file, column, names, f"the treatments of {trial}")
    for trial, of_trial in known_trial.groupby("trial"):
        seasons = trials.loc[trials["trial"] == trial, "season"]
        problems += _unknown(of_trial, PLOTS.file, "season", seasons, f"the seasons of {trial}")
    return problems


def _trial_problems(frames: dict[str, pd.DataFrame]) -> list[Problem]:
    trials, treatments = frames["trials.csv"], frames["treatments.csv"]
    problems = []
    for row in trials.itertuples():
        names = treatments.loc[treatments["trial"] == row.trial, "treatment"].tolist()
        if row.control not in names:
            what = f"the control “{row.control}” is not among the treatments of {row.trial}."
            problems.append(
                Problem(
                    TRIALS.file, int(row.line), "control", what, f"Correct it or add it to {TREATMENTS.file}."
                )
            )
        if len(names) < 2:
            what = f"{row.trial} has fewer than two treatments."
            mend = f"Add the control and at least one treatment to {TREATMENTS.file}."
            problems.append(Problem(TRIALS.file, int(row.line), "trial", what, mend))
        if row.close <= row.start:
            problems.append(
                Problem(
                    TRIALS.file,
                    int(row.line),
                    "close",
                    "the trial closes before it starts.",
                    "Correct one of the two dates.",
                )
            )
    absences = frames["absences.csv"]
    return problems + [
        Problem(
            ABSENCES.file,
            int(line),
            "to",
            "the absence ends before it starts.",
            "Correct one of the two dates.",
        )
        for line in absences["line"][absences["to"] < absences["from"]]
    ]


def _interim_problems(trials: pd.DataFrame) -> list[Problem]:
    """Return more interim analyses than may be named, and those that are not between start and close."""
    problems = []
    for row in trials.itertuples():
        days = [pd.Timestamp(day) for day in str(row.interim_dates).split()]
        whys = []
        if len(days) > MOST_INTERIM_DATES:
            what = f"{len(days)} interim analyses are named; a trial may name {MOST_INTERIM_DATES}."
            whys.append((what, "Keep the ones that matter most: each look makes all others stricter."))
        if len(set(days)) < len(days):
            whys.append(("a date is named twice.", "Take one of the two out."))
        whys += [
            (
                f"{day.date()} is not between the start and the close.",
                "Correct the date or take it out; everything is analysed at the close.",
            )
            for day in days
            if not row.start < day < row.close
        ]
        problems += [Problem(TRIALS.file, int(row.line), "interim_dates", *why) for why in whys]
    return problems


def _plot_problems(frames: dict[str, pd.DataFrame]) -> list[Problem]:
    """Return plots named twice in a garden and season, and blocks that repeat or lack the control."""
    plots, trials = frames["plots.csv"], frames["trials.csv"]
    key = ["season", "site", "plot"]
    first = plots.groupby(key)["line"].transform("min")
    problems = [
        Problem(
            PLOTS.file,
            int(row.line),
            "plot",
            f"line {int(first[row.Index])} already has a plot {row.plot} in {row.site}, season {row.season}.",
            "Give each plot of a garden a name of its own.",
        )
        for row in plots[plots.duplicated(key)].itertuples()
    ]
    controls = trials[["trial", "season", "control"]]
    blocks = plots.merge(controls, on=["trial", "season"], how="inner", validate="many_to_one")
    without = blocks.assign(has=blocks["treatment"] == blocks["control"])
    grouped = without.groupby(["trial", "season", "site"]).agg(has=("has", "any"), line=("line", "min"))
    return problems + [
        Problem(
            PLOTS.file,
            int(row.line),
            "treatment",
            f"{row.Index[2]} has no plot of the control in {row.Index[0]}, season {row.Index[1]}.",
            "Add the control plots of this garden.",
        )
        for row in grouped[~grouped["has"]].itertuples()
    ]
