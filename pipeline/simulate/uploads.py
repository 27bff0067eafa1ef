"""The files that the gardens of an invented network send in one season of one trial."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import pandas as pd

from pipeline.simulate import other_sheets, season, sheets, stories, writing
from pipeline.simulate.asked import Network
from pipeline.simulate.faults import Fault, Scene, put_faults
from pipeline.simulate.garden_faults import TAGS_TRADED, put_sheet_fault, style_for, trade_tags
from pipeline.simulate.trials import TrialPlan
from pipeline.workspace import Workspace

_PEOPLE = ("JB", "RM", "ALS", "Tomi", "K. R.", "Wren", "DP", "Ines")


@dataclass(frozen=True)
class _Garden:
    """One garden in one season of one trial while its sheets are written.

    `folder` is where they arrive in the inbox: the garden's own where it is None.
    """

    site: str
    plots: pd.DataFrame
    planted: date
    style: sheets.Style
    person: str
    sheet_fault: str | None = None
    folder: str | None = None

    @property
    def scene(self) -> Scene:
        """What a fault needs to know of the garden."""
        return Scene(self.style, self.planted, tuple(str(plot) for plot in self.plots["plot"]))


@dataclass(frozen=True)
class _Season:
    """One season of one trial, and how it is simulated."""

    workspace: Workspace
    network: Network
    plan: TrialPlan
    year: str

    @property
    def is_first_trial(self) -> bool:
        """Whether the trial is the network's first, whose files carry no name of a trial."""
        return self.plan.trial == self.network.plans[0].trial

    @property
    def is_last(self) -> bool:
        """Whether the season is the newest one."""
        return self.year == self.network.seasons[-1]

    @property
    def until(self) -> date:
        """The last day of which anything is known yet."""
        close = self.plan.days(self.year)[1]
        return min(close, self.network.today or close)

    def seed(self, *more: int) -> list[int]:
        """Return the seed of one thing in this season."""
        trial = () if self.is_first_trial else tuple(self.plan.trial.encode())
        return [self.network.seed, int(self.year), *more, *trial]

    def name(self, site: str, kind: str) -> str:
        """Return the name of a garden's sheet."""
        return f"{site}_{'' if self.is_first_trial else f'{self.plan.crop}_'}{kind}_{self.year}"


def write_season(
    workspace: Workspace,
    network: Network,
    plan: TrialPlan,
    year: str,
    gardens: pd.DataFrame,
    layout: pd.DataFrame,
    effects: pd.DataFrame,
) -> list[dict[str, str]]:
    """Write what all gardens send in a season of a trial, and return the faults in it.

    A fault is told by file, line, column and kind. `effects` are the true effects of every garden.
    """
    faults: list[dict[str, str]] = []
    of_season = layout[(layout["season"] == year) & (layout["trial"] == plan.trial)]
    one = _Season(workspace, network, plan, year)
    for number, site in enumerate(gardens["site"]):
        plots = of_season[of_season["site"] == site]
        if plots.empty:
            continue
        rng = np.random.default_rng(one.seed(number))
        garden = _garden(one, number, site, plots, rng)
        if garden.planted <= one.until:
            faults += _write_planting(one, garden, rng)
        if number < network.workbooks and one.is_last and one.is_first_trial:
            garden = replace(garden, style=replace(garden.style, is_workbook=True))
        faults += _write_harvest(one, garden, effects[effects["site"] == site], rng)
        if network.has_other_sheets:
            _write_others(one, garden, number)
    return faults


def _garden(one: _Season, number: int, site: str, plots: pd.DataFrame, rng: np.random.Generator) -> _Garden:
    network = one.network
    style_rng = np.random.default_rng([network.seed, number])
    style = sheets.style_of(style_rng, exact=(one.plan.truth or network.truth).cv == 0)
    if site in network.stories.spanish:
        style = replace(style, language="es")
    start = one.plan.days(one.year)[0]
    kinds = network.sheet_faults
    kind = kinds[number % len(kinds)] or None if kinds else None
    in_ground = plots["planted_as"].where(plots["planted_as"] != "", plots["treatment"])
    return _Garden(
        site,
        plots.assign(in_ground=in_ground),
        start + timedelta(days=int(rng.integers(*one.plan.planting_days))),
        style_for(style, kind),
        str(style_rng.choice(_PEOPLE)),
        kind,
    )


def _write_planting(one: _Season, garden: _Garden, rng: np.random.Generator) -> list[dict[str, str]]:
    plants = one.plan.plants_per_plot or one.network.plants_per_plot
    rows = writing.planting_rows(
        garden.site,
        garden.plots,
        one.plan.codes,
        set(one.plan.grafted),
        garden.planted,
        plants,
        garden.style,
        garden.person,
        rng,
    )
    columns: tuple[str, ...] = writing.PLANTING_COLUMNS
    faults = []
    if garden.sheet_fault == TAGS_TRADED:
        tag_at = columns.index("treatment")
        traded = trade_tags(rows, tag_at, np.random.default_rng([one.network.seed, int(one.year), 7]))
        faults = [Fault(at, "treatment", TAGS_TRADED) for at in traded or ()]
    if one.plan.is_sown or garden.site in one.network.stories.replaced:
        rows = [[*row[:3], "planted", "sown" if one.plan.is_sown else "set out", *row[3:]] for row in rows]
        columns = writing.PLANTING_WITH_EVENT
        if not one.plan.is_sown:
            rows.append(stories.replacement_row(rows[0], garden.planted, garden.style, columns))
    return _placed(faults, _send(one, garden, "planting", columns, rows), garden.style)


def _write_harvest(
    one: _Season, garden: _Garden, effects: pd.DataFrame, rng: np.random.Generator
) -> list[dict[str, str]]:
    network = one.network
    days, picked = _picked(one, garden, effects, rng)
    lines = writing.harvest_lines(garden.site, garden.plots, days, picked, garden.style, garden.person)
    told = network.stories
    lines = [line for line in lines if told.picks(garden.site, one.year, network.seasons[-1], line.day)]
    if not lines:
        return []
    if garden.site in told.two_pickers and one.is_last:
        other = next(person for person in _PEOPLE if person != garden.person)
        for person, of_person in stories.of_two_people(lines, other, garden.style):
            name = f"harvest_{person.replace('. ', '').rstrip('.')}"
            # The other person mails the sheet to whoever runs the network: it comes from no garden's folder.
            by = garden if person == garden.person else replace(garden, folder="")
            _send_lines(one, by, name, of_person, writing.HARVEST_COLUMNS)
        return []
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
    columns: tuple[str, ...] = writing.HARVEST_COLUMNS
    if garden.site in told.last_picking and one.until == one.plan.days(one.year)[1]:
        lines, columns = stories.stripped(lines), writing.WITH_EVENT
    return _placed(faults, _send_lines(one, garden, "harvest", lines, columns), garden.style)


def _picked(
    one: _Season, garden: _Garden, effects: pd.DataFrame, rng: np.random.Generator
) -> tuple[list[date], dict[str, np.ndarray]]:
    """Return the days on which the garden picks until today, and what each plot gives on all its days."""
    network, plan = one.network, one.plan
    truth = plan.truth or network.truth
    plants = plan.plants_per_plot or network.plants_per_plot
    start, close = plan.days(one.year)
    calendar = season.SeasonPlan(one.year, start, close, plan.first_picking_day, plan.days_between_pickings)
    totals = season.plot_totals(garden.plots, effects, plants, truth.cv, rng)
    place_rng = np.random.default_rng([network.seed, *garden.site.encode()])
    totals = totals * np.exp(season.GARDEN_SPREAD * place_rng.standard_normal())
    totals = totals * np.exp(season.SEASON_SPREAD * rng.standard_normal())
    days = season.picking_days(calendar, garden.planted, rng)
    crop = season.CROPS[plan.crop]
    totals = totals * (crop.kg_per_plant / season.CONTROL_KG_PER_PLANT)
    picked = season.pickings(
        totals,
        len(days),
        rng,
        exact=truth.cv == 0,
        fruit_mass_g=crop.fruit_mass_g,
        fruit_cv=network.fruit_cv,
    )
    _vary_mass(picked, network, [network.seed, int(one.year), *garden.site.encode()])
    return [day for day in days if network.today is None or day <= network.today], picked


def _vary_mass(picked: dict[str, np.ndarray], network: Network, seed: list[int]) -> None:
    """Make the mean fruit of the garden, and of each of its days, heavier or lighter."""
    if network.mass_spread > 0:
        rng = np.random.default_rng(seed)
        days = picked["kg"].shape[1]
        factor = np.exp(network.mass_spread * (rng.standard_normal() + rng.standard_normal(days)))
        picked["kg"] = picked["kg"] * factor
        picked["cull_kg"] = picked["cull_kg"] * factor


def _write_others(one: _Season, garden: _Garden, number: int) -> None:
    """Write the sheets of a garden besides planting and harvest; those of the garden once a season."""
    rng = np.random.default_rng([*one.seed(number), 77])
    plants = one.plan.plants_per_plot or one.network.plants_per_plot
    told, last = one.network.stories, one.network.seasons[-1]
    until = one.until
    while until > garden.planted and not told.picks(garden.site, one.year, last, until):
        until -= timedelta(days=1)
    site, style, plain = garden.site, garden.style, replace(garden.style, is_workbook=False)
    garden = replace(garden, style=plain)
    if one.is_first_trial:
        of_blocks = plants * garden.plots["block"].nunique()
        arrived = garden.planted - timedelta(days=3)
        codes = [one.plan.codes[treatment.name] for treatment in one.plan.treatments]
        rows = other_sheets.delivery_rows(site, codes, of_blocks, arrived, plain, rng)
        _send(one, garden, "delivery", other_sheets.DELIVERY_COLUMNS, rows)
        rows = other_sheets.outreach_rows(site, one.plan.days(one.year)[0], until, style, rng)
        _send(one, garden, "outreach", other_sheets.OUTREACH_COLUMNS, rows)
        if number % 2 == 0 and one.year == one.network.seasons[number % len(one.network.seasons)]:
            rows = other_sheets.soil_rows(site, garden.planted - timedelta(days=30), plain, rng)
            _send(one, garden, "soil", other_sheets.SOIL_COLUMNS, rows)
    looks = other_sheets.condition_rows(
        site, garden.plots, garden.planted, until, plants, plain, garden.person, rng
    )
    _send(one, garden, "condition", other_sheets.CONDITION_COLUMNS, looks)


def _placed(faults: list[Fault], file: str, style: sheets.Style) -> list[dict[str, str]]:
    """Return faults with the file and the line that each stands on."""
    first = sheets.first_line(style)
    return [
        {"file": file, "line": str(first + fault.at), "column": fault.column, "fault": fault.fault}
        for fault in faults
    ]


def _send_lines(
    one: _Season, garden: _Garden, kind: str, lines: list[writing.HarvestLine], columns: tuple[str, ...]
) -> str:
    header = writing.harvest_header(garden.style, columns)
    return _send(one, garden, kind, header, [line.row(columns) for line in lines])


def _send(
    one: _Season, garden: _Garden, kind: str, columns: list[str] | tuple[str, ...], rows: list[list[str]]
) -> str:
    """Put a sheet into the garden's folder of the inbox, if it has rows, and return its name."""
    file = f"{one.name(garden.site, kind)}{'.xlsx' if garden.style.is_workbook else '.csv'}"
    if rows:
        folder = one.workspace.inbox / (garden.site if garden.folder is None else garden.folder)
        folder.mkdir(parents=True, exist_ok=True)
        (folder / file).write_bytes(sheets.file_bytes(columns, rows, garden.style))
    return file
