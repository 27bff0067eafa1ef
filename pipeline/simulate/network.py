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
from pipeline.simulate import outreach, place, season, sheets, writing
from pipeline.simulate.faults import USUAL_KINDS, Fault, Scene, put_faults
from pipeline.simulate.garden_faults import TAGS_TRADED, put_sheet_fault, style_for, trade_tags
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
    last harvest sheet as a spreadsheet. `faults` is the share of rows with one of `fault_kinds`; of
    `sheet_faults` each garden in turn gets one for its whole sheet, blank for none. `fruit_cv` is the
    coefficient of variation between fruits, `mass_spread` that of the mean fruit between gardens and between
    days. With `outreach`, most gardens send a sheet of their work days.
    """

    gardens: int = 24
    seasons: tuple[str, ...] = ("2024",)
    seed: int = 1
    faults: float = 0.04
    fault_kinds: tuple[str, ...] = USUAL_KINDS
    sheet_faults: tuple[str, ...] = ()
    crop: str = CROP
    fruit_cv: float = 0.1
    mass_spread: float = 0.0
    truth: Truth = field(default_factory=lambda: Truth(effects=(0.2, 0.2)))
    blocks: int = 3
    plants_per_plot: int = 2
    today: date | None = None
    like: Path | None = None
    workbooks: int = 0
    outreach: bool = False


@dataclass(frozen=True)
class _Garden:
    """One garden in one season while its sheets are written."""

    site: str
    plots: pd.DataFrame
    planted: date
    style: sheets.Style
    person: str
    sheet_fault: str | None = None

    @property
    def scene(self) -> Scene:
        """What a fault needs to know of the garden."""
        return Scene(self.style, self.planted, tuple(str(plot) for plot in self.plots["plot"]))


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
            "crop": network.crop,
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
        kinds = network.sheet_faults
        kind = kinds[number % len(kinds)] or None if kinds else None
        garden = _Garden(
            site,
            plots.assign(in_ground=plots["treatment"]),
            planted,
            style_for(style, kind),
            str(style_rng.choice(_PEOPLE)),
            kind,
        )
        if network.today is None or planted <= network.today:
            faults += _write_planting(workspace, network, year, garden, rng)
        if number < network.workbooks and year == network.seasons[-1]:
            garden = replace(garden, style=replace(style, is_workbook=True))
        faults += _write_harvest(workspace, network, plan, garden, effects[effects["site"] == site], rng)
        if network.outreach:
            _write_outreach(workspace, network, year, garden)
    return faults


def _write_planting(
    workspace: Workspace, network: Network, year: str, garden: _Garden, rng: np.random.Generator
) -> list[dict[str, str]]:
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
    faults = []
    if garden.sheet_fault == TAGS_TRADED:
        tag_at = writing.PLANTING_COLUMNS.index("treatment")
        traded = trade_tags(rows, tag_at, np.random.default_rng([network.seed, int(year), 7]))
        faults = [Fault(at, "treatment", TAGS_TRADED) for at in traded or ()]
    content = sheets.file_bytes(writing.PLANTING_COLUMNS, rows, garden.style)
    file = _send(workspace, garden, f"{garden.site}_planting_{year}", content)
    return _placed(faults, file, garden.style)


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
    crop = season.CROPS[network.crop]
    totals = totals * (crop.kg_per_plant / season.CONTROL_KG_PER_PLANT)
    picked = season.pickings(
        totals, len(days), rng, exact=exact, fruit_mass_g=crop.fruit_mass_g, fruit_cv=network.fruit_cv
    )
    _vary_mass(picked, network, [network.seed, int(plan.season), *garden.site.encode()])
    seen = [day for day in days if network.today is None or day <= network.today]
    if not seen:
        return []
    lines = writing.harvest_lines(garden.site, garden.plots, seen, picked, garden.style, garden.person)
    of_sheet = [
        (lines[fault.at], fault)
        for fault in put_sheet_fault(lines, garden.scene, garden.sheet_fault or "", rng)
    ]
    lines, faults = put_faults(lines, garden.scene, network.faults, rng, network.fault_kinds)
    # Rows that were put in since have moved the line where the sheet's own fault begins.
    faults += [
        replace(fault, at=next(at for at, line in enumerate(lines) if line is first))
        for first, fault in of_sheet
    ]
    name = f"{garden.site}_harvest_{plan.season}"
    content = sheets.file_bytes(
        writing.harvest_header(garden.style), [line.row() for line in lines], garden.style
    )
    return _placed(faults, _send(workspace, garden, name, content), garden.style)


def _write_outreach(workspace: Workspace, network: Network, year: str, garden: _Garden) -> None:
    rng = np.random.default_rng([network.seed, int(year), 17, *garden.site.encode()])
    rows = outreach.outreach_rows(garden.site, int(year), network.today, garden.style, rng)
    if rows:
        # The title that some gardens write names the harvest.
        style = replace(garden.style, title="")
        content = sheets.file_bytes(outreach.outreach_header(style), rows, style)
        _send(workspace, garden, f"{garden.site}_outreach_{year}", content)


def _vary_mass(picked: dict[str, np.ndarray], network: Network, seed: list[int]) -> None:
    """Make the mean fruit of the garden, and of each of its days, heavier or lighter."""
    if network.mass_spread > 0:
        rng = np.random.default_rng(seed)
        days = picked["kg"].shape[1]
        factor = np.exp(network.mass_spread * (rng.standard_normal() + rng.standard_normal(days)))
        picked["kg"] = picked["kg"] * factor
        picked["cull_kg"] = picked["cull_kg"] * factor


def _placed(faults: list[Fault], file: str, style: sheets.Style) -> list[dict[str, str]]:
    """Return faults with the file and the line that each stands on."""
    first = sheets.first_line(style)
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
