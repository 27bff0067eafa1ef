"""The kind of a sheet is known from its header, whatever the case, spaces and accents."""

import pytest

from pipeline.intake.header import Header, HeaderMissing, find_header, read_header
from pipeline.intake.sheets import sheets


@pytest.mark.parametrize("name", sheets())
def test_each_sheet_is_known_from_its_own_column_names(name):
    found = read_header(sheets()[name].column_names)
    assert isinstance(found, Header)
    assert found.sheet == name
    assert sorted(found.columns.values()) == sorted(sheets()[name].column_names)


@pytest.mark.parametrize(
    "cells",
    [
        ["SITE", "Plot", " date ", "Marketable Weight"],
        ["Garden", "plot", "harvest_date", "WEIGHT"],
        ["Huerto", "Parcela", "Fecha", "Peso"],
        ["huerto", "PARCELA", "fecha", "Número de frutos", "peso"],
    ],
)
def test_common_names_for_the_same_columns_are_known(cells):
    found = read_header(cells)
    assert isinstance(found, Header)
    assert found.sheet == "harvest"
    assert {"site", "plot", "date", "marketable_weight"} <= set(found.columns.values())


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("Weight (lb)", "lb"),
        ("Weight [kg]", "kg"),
        ("weight_oz", "oz"),
        ("Weight, g", "g"),
        ("Peso (libras)", "lb"),
        ("Weight", None),
    ],
)
def test_a_unit_in_the_header_is_the_unit_of_the_column(name, unit):
    found = read_header(["site", "plot", "date", name])
    assert isinstance(found, Header)
    assert found.unit_of("marketable_weight") == unit


def test_titles_above_the_header_are_passed_over():
    found = find_header(
        [["Our harvest 2025"], [], ["site", "plot", "date", "weight"], ["G01", "1", "2025-07-01", "2"]]
    )
    assert isinstance(found, Header)
    assert found.row == 2


def test_columns_that_nobody_knows_are_named():
    found = read_header(["site", "plot", "date", "weight", "moon phase", ""])
    assert isinstance(found, Header)
    assert found.unknown == {4: "moon phase"}


def test_a_column_that_comes_twice_is_noticed():
    found = read_header(["site", "plot", "date", "weight", "peso"])
    assert isinstance(found, Header)
    assert found.twice == {"marketable_weight": [4]}


def test_a_harvest_sheet_without_weights_says_what_is_missing():
    found = find_header([["site", "plot", "date", "good fruits", "culls"]])
    assert found != HeaderMissing()


@pytest.mark.parametrize("cells", [["a", "b"], ["site", "plot", "date"], [], ["1", "2", "3"]])
def test_a_row_that_fits_no_sheet_or_several_is_no_header(cells):
    assert not isinstance(read_header(cells), Header)
