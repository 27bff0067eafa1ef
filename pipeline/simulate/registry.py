"""The registry of an invented network, as the files that a person keeps."""

import pandas as pd

from pipeline.simulate.stories import Stories, absences_file, with_status, with_swaps
from pipeline.simulate.trials import TrialPlan
from sites.layout import randomised_blocks

_PLOT_COLUMNS = ["season", "site", "trial", "block", "plot", "treatment", "planted_as", "row", "col"]


def layout_of(
    gardens: pd.DataFrame,
    trials: tuple[TrialPlan, ...],
    seasons: tuple[str, ...],
    blocks: int,
    seed: int,
    stories: Stories,
) -> pd.DataFrame:
    """Return the plots of all trials and seasons; plots of a second trial are numbered on.

    A garden takes part from its first season on, until it leaves.
    """
    parts = []
    for year in seasons:
        taken = 0
        for trial in trials:
            if trial.seasons and year not in trial.seasons:
                continue
            sites = _taking_part(gardens, trial, int(year), stories)
            names = [treatment.name for treatment in trial.treatments]
            plots = randomised_blocks(sites, names, trial.blocks or blocks, seed * 10_000 + int(year) + taken)
            numbered = (plots["plot"].astype("int64") + taken).astype("str")
            parts.append(plots.assign(plot=numbered, season=year, trial=trial.trial, planted_as=""))
            taken += len(names) * (trial.blocks or blocks)
    return with_swaps(pd.concat(parts, ignore_index=True), seasons[-1], stories)


def _taking_part(gardens: pd.DataFrame, trial: TrialPlan, year: int, stories: Stories) -> list[str]:
    sites = gardens["site"][gardens["first_season"] <= year].tolist()
    gone = {site for site, day in stories.left.items() if day.year < year}
    return [site for site in sites if (not trial.sites or site in trial.sites) and site not in gone]


def registry_files(
    gardens: pd.DataFrame,
    layout: pd.DataFrame,
    trials: tuple[TrialPlan, ...],
    blocks: int,
    plants_per_plot: int,
    stories: Stories,
) -> dict[str, str]:
    """Return the registry's files by name."""
    known = with_status(gardens, stories) if stories != Stories() else gardens
    tables = {
        "gardens.csv": known,
        "trials.csv": _trials(layout, trials, blocks, plants_per_plot),
        "treatments.csv": _treatments(trials),
        "plots.csv": layout[_PLOT_COLUMNS],
    }
    texts = {name: table.to_csv(index=False, lineterminator="\n") for name, table in tables.items()}
    return {**texts, "absences.csv": absences_file(stories)}


def _trials(
    layout: pd.DataFrame, trials: tuple[TrialPlan, ...], blocks: int, plants_per_plot: int
) -> pd.DataFrame:
    rows = []
    for trial in trials:
        for year in sorted(layout.loc[layout["trial"] == trial.trial, "season"].unique()):
            start, close = trial.days(year)
            rows.append(
                {
                    "trial": trial.trial,
                    "season": year,
                    "crop": trial.crop,
                    "control": trial.control,
                    "start": start,
                    "close": close,
                    "blocks": trial.blocks or blocks,
                    "plants_per_plot": trial.plants_per_plot or plants_per_plot,
                    "primary_outcome": "marketable_kg_per_plant",
                    "harvest_stage": "mature",
                    "interim_dates": trial.interim_dates(year),
                }
            )
    table = pd.DataFrame(rows)
    return table if table["interim_dates"].any() else table.drop(columns="interim_dates")


def _treatments(trials: tuple[TrialPlan, ...]) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "trial": trial.trial,
                "treatment": treatment.name,
                "code": treatment.code,
                "cultivar": trial.cultivar,
                "rootstock": treatment.rootstock,
                "label": treatment.label,
            }
            for trial in trials
            for treatment in trial.treatments
        ]
    )
