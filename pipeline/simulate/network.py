"""A whole invented network: registry, climate, soil, the files of volunteers, and the truth behind them."""

import csv
import io
import json
import shutil
from pathlib import Path

import numpy as np
import pandas as pd

from pipeline.settings import Settings
from pipeline.simulate import place
from pipeline.simulate.asked import Network
from pipeline.simulate.registry import layout_of, registry_files
from pipeline.simulate.trials import GRAFT
from pipeline.simulate.truth import as_json, garden_effects
from pipeline.simulate.uploads import write_season
from pipeline.workspace import Workspace, make_workspace
from sites.geography import position_km

__all__ = ["TRIAL", "Network", "simulate"]

#: The trial of a network that asks for nothing else.
TRIAL = GRAFT.trial


def simulate(root: Path, network: Network) -> Workspace:
    """Make a workspace in `root` with an invented network, and return it.

    The inbox holds the files that volunteers send; `truth.json` what is true; `faults.csv` every fault that
    was put in, by file, line and column. The same seed makes the same bytes.
    """
    rng = np.random.default_rng(network.seed)
    settings = Settings(name="Invented garden network", today=network.today)
    known = _gardens(network, rng)
    # What is drawn does not depend on gardens that only may come.
    gardens = known[~known["site"].isin(network.stories.asked)].reset_index(drop=True)
    layout = layout_of(gardens, network.plans, network.seasons, network.blocks, network.seed, network.stories)
    files = registry_files(
        known, layout, network.plans, network.blocks, network.plants_per_plot, network.stories
    )
    workspace = make_workspace(root, settings, files)
    _write_place(workspace, network, rng)
    effects = _write_truth(workspace, network, gardens, rng)
    faults = [
        fault
        for year in network.seasons
        for plan in network.plans
        for fault in write_season(workspace, network, plan, year, gardens, layout, effects[plan.trial])
    ]
    _write_faults(workspace.root / "faults.csv", faults)
    return workspace


def _gardens(network: Network, rng: np.random.Generator) -> pd.DataFrame:
    if network.like is not None:
        known = pd.read_csv(
            network.like / "registry" / "gardens.csv", dtype={"site": "str", "county_fips": "str"}
        )
        return known.drop(columns=["language", "status", "status_date"], errors="ignore")
    return place.invented_gardens(network.gardens, rng, int(network.seasons[0]))


def _write_truth(
    workspace: Workspace, network: Network, gardens: pd.DataFrame, rng: np.random.Generator
) -> dict[str, pd.DataFrame]:
    """Draw what is true of each trial in each garden, write it down, and return it by trial."""
    axis = workspace.settings.axis
    position = np.asarray(
        position_km(
            gardens["lon"].to_numpy(), gardens["lat"].to_numpy(), axis.origin, axis.centre, axis.azimuth_deg
        )
    )
    effects: dict[str, pd.DataFrame] = {}
    documents = []
    for plan in network.plans:
        names = [treatment.name for treatment in plan.treatments[1:]]
        truth = plan.truth or network.truth
        effects[plan.trial] = garden_effects(gardens["site"], position, names, truth, rng)
        documents.append(as_json(truth, effects[plan.trial], list(network.seasons), network.seed))
    whole = documents[0] | {
        "others": [
            {"trial": plan.trial} | document
            for plan, document in zip(network.plans[1:], documents[1:], strict=True)
        ]
    }
    (workspace.root / "truth.json").write_text(json.dumps(whole, indent=1) + "\n", encoding="utf-8")
    return effects


def _write_place(workspace: Workspace, network: Network, rng: np.random.Generator) -> None:
    """Copy climate and soil from the workspace that this one is like, or invent them."""
    if network.like is not None:
        for name in ("climate", "soil"):
            shutil.copytree(network.like / name, workspace.root / name, dirs_exist_ok=True)
        return
    years = [int(year) for year in network.seasons]
    place.write_climate(workspace.climate, [years[0] - 1, *years], rng)
    place.write_soil(workspace.soil / "map_units.geojson", rng)


def _write_faults(path: Path, faults: list[dict[str, str]]) -> None:
    out = io.StringIO()
    writer = csv.DictWriter(out, ["file", "line", "column", "fault"], lineterminator="\n")
    writer.writeheader()
    writer.writerows(faults)
    path.write_text(out.getvalue(), encoding="utf-8")
