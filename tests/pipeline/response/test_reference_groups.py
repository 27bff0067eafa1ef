"""No reference value that Longrow answers for lacks a test; sources in tests/reference/README.md."""

import re
from pathlib import Path

import pytest

from tests.reference import values
from tests.reference.groups import ASKED, HELD

TESTS = [path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py")]


def asked(dataset):
    return {
        name
        for of, pattern in ASKED
        if re.fullmatch(of, dataset)
        for name in values.expected(dataset)
        if re.match(pattern, name)
    }


@pytest.mark.parametrize("dataset", values.datasets())
def test_every_asked_quantity_is_held_by_a_group_of_tests(dataset):
    patterns = [pattern for group in HELD.values() for of, pattern in group if of == dataset]
    left = {name for name in asked(dataset) if not any(re.fullmatch(each, name) for each in patterns)}
    assert sorted(left) == []


def test_the_asked_quantities_are_as_many_as_they_were_counted():
    assert sum(len(asked(dataset)) for dataset in values.datasets()) == 4813


@pytest.mark.parametrize("group", HELD)
def test_every_group_has_its_test(group):
    assert any(f'HELD["{group}"]' in text for text in TESTS)


@pytest.mark.parametrize("group", HELD)
def test_every_pattern_of_a_group_names_quantities(group):
    for dataset, pattern in HELD[group]:
        assert any(re.fullmatch(pattern, name) for name in values.expected(dataset)), (dataset, pattern)
