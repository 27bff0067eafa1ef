"""Faults stand where `faults.csv` says, are what it says, and the same seed puts in the same ones."""

import csv

import pytest

from pipeline.intake.units import KG_PER_UNIT
from pipeline.simulate.faults import EVERY_KIND, USUAL_KINDS
from pipeline.simulate.garden_faults import SHEET_KINDS
from pipeline.simulate.network import Network, simulate
from sites.crops import read_crops


def made(folder, **asked):
    workspace = simulate(folder, Network(gardens=5, **asked))
    with (workspace.root / "faults.csv").open() as lines:
        faults = list(csv.DictReader(lines))
    files = {path.name: path.read_text() for path in workspace.inbox.rglob("*.csv")}
    return files, faults


def cells(files, fault):
    return next(csv.reader([files[fault["file"]].splitlines()[int(fault["line"]) - 1]]))


def test_a_simulation_without_faults_lists_none(tmp_path):
    assert made(tmp_path / "net", faults=0.0)[1] == []


def test_every_fault_of_a_row_stands_on_its_line(tmp_path):
    clean, _ = made(tmp_path / "clean", faults=0.0, seed=3)
    files, faults = made(tmp_path / "net", faults=0.1, seed=3, fault_kinds=EVERY_KIND)
    # A second row for a picking is new; an empty one under another plot's name looks like that plot's own.
    twice = ("row-repeated", "picking-twice-in-file", "other plot of the garden")
    touched = [fault for fault in faults if fault["fault"] not in twice]
    assert len({fault["fault"] for fault in touched}) > 12
    for fault in touched:
        assert ",".join(cells(files, fault)) not in clean[fault["file"]].splitlines(), fault


def test_a_copied_row_is_the_row_above_it_again(tmp_path):
    files, faults = made(tmp_path / "net", faults=0.1, fault_kinds=("row-repeated",))
    assert faults
    for fault in faults:
        above = fault | {"line": str(int(fault["line"]) - 1)}
        assert cells(files, fault) == cells(files, above)


def test_the_usual_kinds_are_those_that_any_network_makes(tmp_path):
    _, faults = made(tmp_path / "net", faults=0.2)
    assert {fault["fault"] for fault in faults} <= set(USUAL_KINDS)


@pytest.mark.parametrize("kind", SHEET_KINDS)
def test_a_fault_of_a_whole_sheet_changes_the_sheets_of_its_gardens_alone(tmp_path, kind):
    clean, _ = made(tmp_path / "clean", faults=0.0, seed=2)
    files, faults = made(tmp_path / "net", faults=0.0, seed=2, sheet_faults=(kind, ""))
    at_fault = {fault["file"].split("_")[0] for fault in faults}
    assert at_fault <= {"G01", "G03", "G05"}
    assert {fault["fault"] for fault in faults} == {kind}
    assert {name.split("_")[0] for name in files if files[name] != clean[name]} == at_fault


def test_the_same_seed_makes_the_same_faults(tmp_path):
    asked = {"faults": 0.1, "seed": 4, "fault_kinds": EVERY_KIND, "sheet_faults": ("bucket weighed too",)}
    assert made(tmp_path / "one", **asked) == made(tmp_path / "two", **asked)


@pytest.mark.parametrize("crop", ["eggplant", "tomato-slicing", "tomato-cherry", "pepper-bell"])
def test_sound_fruits_of_every_crop_are_inside_its_usual_band(tmp_path, crop):
    band = read_crops().loc[crop, ["fruit_mass_low_g", "fruit_mass_high_g"]]
    files, _ = made(tmp_path / "net", faults=0.0, crop=crop, fruit_cv=0.2)
    grams = []
    for name, text in files.items():
        if "harvest" in name and " oz," not in text:
            rows = list(csv.reader(text.splitlines()))
            start = next(at for at, row in enumerate(rows) if "Good fruits" in row)
            unit = KG_PER_UNIT[rows[start][4].removeprefix("Weight (").removesuffix(")")]
            counted = [row for row in rows[start + 1 :] if int(row[3]) > 1]
            grams += [1000 * unit * float(row[4]) / int(row[3]) for row in counted]
    assert grams
    assert sum(band.iloc[0] <= gram <= band.iloc[1] for gram in grams) > 0.98 * len(grams)
