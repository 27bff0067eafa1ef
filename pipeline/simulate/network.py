"""A whole invented network: registry, climate, soil, the files of volunteers, and the truth behind them."""

import csv
import io
import json
import shutil
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from pipeline.settings import Settings
from pipeline.simulate import place, season, sheets, writing
from pipeline.simulate.faults import put_faults
from pipeline.simulate.truth import Truth, as_json, garden_effects
from pipeline.workspace import Workspace, make_workspace
from sites.geography import position_km
from sites.layout import randomised_blocks

TRIAL = "eggplant-graft"
CROP = "eggplant"
#: Invented cultivar and rootstocks.
CULTIVAR = "Velvet Anvil"
CONTROL = "own-root"
GRAFTED = {"corvane": "Corvane", "tressel": "Tressel"}
CODES = {CONTROL: "A", "corvane": "B", "tressel": "C"}

_PEOPLE = ("JB", "RM", "ALS", "Tomi", "K. R.", "Wren", "DP", "Ines")


@dataclass(frozen=True)
class Network:
    """What a simulated network is asked to be.

    `like` is a workspace to take gardens, climate and soil from; `workbooks` how many gardens send their
    last harvest sheet as a spreadsheet.
    """

    gardens: int = 24
    seasons: tuple[str, ...] = ("2024",)
    seed: int = 1
    faults: float = 0.04
    truth: Truth = field(default_factory=lambda: Truth(effects=(0.2, 0.2)))
    blocks: int = 3
    plants_per_plot: int = 2
    today: date | None = None
    like: Path | None = None
    workbooks: int = 0


@dataclass(frozen=True)
class _Garden:
    """One garden in one season while its sheets are written."""

    site: str
    plots: pd.DataFrame
    planted: date
    style: sheets.Style
    person: str


def simulate(root: Path, network: Network) -> Workspace:
    """Make a workspace in `root` with an invented network, and return it.

    The inbox holds the files that volunteers send; `truth.json` what is true; `faults.csv` every fault that
    was put in, by file, line and column. The same seed makes the same bytes.
    """
    rng = np.random.default_rng(network.seed)
    settings = Settings(name="Invented garden network", today=network.today)
    gardens = _gardens(network, rng)
    layout = _layout(gardens, network)
    workspace = make_workspace(root, settings, _registry_files(gardens, layout, network))
    _write_place(workspace, network, rng)
    axis = settings.axis
    position = np.asarray(
        position_km(
            gardens["lon"].to_numpy(), gardens["lat"].to_numpy(), axis.origin, axis.centre, axis.azimuth_deg
        )
    )
    effects = garden_effects(gardens["site"], position, list(GRAFTED), network.truth, rng)
    truth = as_json(network.truth, effects, list(network.seasons), network.seed)
    (workspace.root / "truth.json").write_text(json.dumps(truth, indent=1) + "\n", encoding="utf-8")
    faults = [
        fault
        for year in network.seasons
        for fault in _write_season(workspace, network, year, gardens, layout, effects)
    ]
    _write_faults(workspace.root / "faults.csv", faults)
    return workspace


def _gardens(network: Network, rng: np.random.Generator) -> pd.DataFrame:
    if network.like is not None:
        return pd.read_csv(
            network.like / "registry" / "gardens.csv", dtype={"site": "str", "county_fips": "str"}
        )
    return place.invented_gardens(network.gardens, rng, int(network.seasons[0]))


def _layout(gardens: pd.DataFrame, network: Network) -> pd.DataFrame:
    treatments = [CONTROL, *GRAFTED]
    parts = []
    for year in network.seasons:
        taking_part = gardens["site"][gardens["first_season"] <= int(year)].tolist()
        plots = randomised_blocks(taking_part, treatments, network.blocks, network.seed * 10_000 + int(year))
        parts.append(plots.assign(season=year, trial=TRIAL, planted_as=""))
    return pd.concat(parts, ignore_index=True)


def _plan(year: str) -> season.SeasonPlan:
    return season.SeasonPlan(year, date(int(year), 5, 10), date(int(year), 10, 5))


def _registry_files(gardens: pd.DataFrame, layout: pd.DataFrame, network: Network) -> dict[str, str]:
    plans = [_plan(year) for year in network.seasons]
    trials = pd.DataFrame(
        {
            "trial": TRIAL,
            "season": [plan.season for plan in plans],
            "crop": CROP,
            "control": CONTROL,
            "start": [plan.start for plan in plans],
            "close": [plan.close for plan in plans],
            "blocks": network.blocks,
            "plants_per_plot": network.plants_per_plot,
            "primary_outcome": "marketable_kg_per_plant",
            "harvest_stage": "mature",
        }
    )
    treatments = pd.DataFrame(
        {
            "trial": TRIAL,
            "treatment": [CONTROL, *GRAFTED],
            "code": [CODES[name] for name in (CONTROL, *GRAFTED)],
            "cultivar": CULTIVAR,
            "rootstock": ["", *GRAFTED.values()],
            "label": ["own-root plants", *(f"grafting on {name}" for name in GRAFTED.values())],
        }
    )
    columns = ["season", "site", "trial", "block", "plot", "treatment", "planted_as", "row", "col"]
    return {
        "gardens.csv": gardens.to_csv(index=False, lineterminator="\n"),
        "trials.csv": trials.to_csv(index=False, lineterminator="\n"),
        "treatments.csv": treatments.to_csv(index=False, lineterminator="\n"),
        "plots.csv": layout[columns].to_csv(index=False, lineterminator="\n"),
        "absences.csv": "site,from,to,stand_in\n",
    }


def _write_place(workspace: Workspace, network: Network, rng: np.random.Generator) -> None:
    """Copy climate and soil from the workspace that this one is like, or invent them."""
    if network.like is not None:
        for name in ("climate", "soil"):
            shutil.copytree(network.like / name, workspace.root / name, dirs_exist_ok=True)
        return
    years = [int(year) for year in network.seasons]
    place.write_climate(workspace.climate, [years[0] - 1, *years], rng)
    place.write_soil(workspace.soil / "map_units.geojson", rng)


def _write_season(
    workspace: Workspace,
    network: Network,
    year: str,
    gardens: pd.DataFrame,
    layout: pd.DataFrame,
    effects: pd.DataFrame,
) -> list[dict[str, str]]:
    """Write the files of one season and return the faults in them."""
    faults: list[dict[str, str]] = []
    plan = _plan(year)
    exact = network.truth.cv == 0
    for number, site in enumerate(gardens["site"]):
        rng = np.random.default_rng([network.seed, int(year), number])
        plots = layout[(layout["season"] == year) & (layout["site"] == site)]
        if plots.empty:
            continue
        style_rng = np.random.default_rng([network.seed, number])
        style = sheets.style_of(style_rng, exact=exact)
        planted = plan.start + timedelta(days=int(rng.integers(3, 16)))
        garden = _Garden(
            site,
            plots.assign(in_ground=plots["treatment"]),
            planted,
            style,
            str(style_rng.choice(_PEOPLE)),
        )
        if network.today is None or planted <= network.today:
            _write_planting(workspace, network, year, garden, rng)
        if number < network.workbooks and year == network.seasons[-1]:
            garden = replace(garden, style=replace(style, is_workbook=True))
        faults += _write_harvest(workspace, network, plan, garden, effects[effects["site"] == site], rng)
    return faults


def _write_planting(
    workspace: Workspace, network: Network, year: str, garden: _Garden, rng: np.random.Generator
) -> None:
    rows = writing.planting_rows(
        garden.site,
        garden.plots,
        CODES,
        set(GRAFTED),
        garden.planted,
        network.plants_per_plot,
        garden.style,
        garden.person,
        rng,
    )
    content = sheets.file_bytes(writing.PLANTING_COLUMNS, rows, garden.style)
    _send(workspace, garden, f"{garden.site}_planting_{year}", content)


def _write_harvest(
    workspace: Workspace,
    network: Network,
    plan: season.SeasonPlan,
    garden: _Garden,
    effects: pd.DataFrame,
    rng: np.random.Generator,
) -> list[dict[str, str]]:
    truth = network.truth
    exact = truth.cv == 0
    totals = season.plot_totals(garden.plots, effects, network.plants_per_plot, truth.cv, rng)
    totals = totals * np.exp(
        season.GARDEN_SPREAD * np.random.default_rng([network.seed, *garden.site.encode()]).standard_normal()
    )
    totals = totals * np.exp(season.SEASON_SPREAD * rng.standard_normal())
    days = season.picking_days(plan, garden.planted, rng)
    picked = season.pickings(totals, len(days), rng, exact=exact)
    seen = [day for day in days if network.today is None or day <= network.today]
    if not seen:
        return []
    lines = writing.harvest_lines(garden.site, garden.plots, seen, picked, garden.style, garden.person)
    lines, faults = put_faults(lines, garden.style, network.faults, rng)
    name = f"{garden.site}_harvest_{plan.season}"
    content = sheets.file_bytes(
        writing.harvest_header(garden.style), [line.row() for line in lines], garden.style
    )
    file = _send(workspace, garden, name, content)
    first = sheets.first_line(garden.style)
    return [
        {"file": file, "line": str(first + fault.at), "column": fault.column, "fault": fault.fault}
        for fault in faults
    ]


def _send(workspace: Workspace, garden: _Garden, name: str, content: bytes) -> str:
    file = f"{name}{'.xlsx' if garden.style.is_workbook else '.csv'}"
    folder = workspace.inbox / garden.site
    folder.mkdir(parents=True, exist_ok=True)
    (folder / file).write_bytes(content)
    return file


def _write_faults(path: Path, faults: list[dict[str, str]]) -> None:
    out = io.StringIO()
    writer = csv.DictWriter(out, ["file", "line", "column", "fault"], lineterminator="\n")
    writer.writeheader()
    writer.writerows(faults)
    path.write_text(out.getvalue(), encoding="utf-8")
