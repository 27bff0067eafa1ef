"""Addresses."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.address import KEYS, Address

choices = st.dictionaries(st.sampled_from(KEYS), st.text(min_size=1, max_size=20))


@given(choices)
def test_every_state_can_be_written_down_and_opened_again(chosen):
    address = Address("/gradient", chosen)
    path, _, search = address.href.partition("?")
    assert Address.parse(path, f"?{search}") == address


def test_what_an_address_names_beyond_its_keys_is_passed_over():
    assert Address.parse("/watch", "?garden=G01&utm_source=mail").chosen == {"garden": "G01"}


def test_a_choice_replaces_one_before_and_none_takes_it_back():
    address = Address.parse("/compare", "?trial=t&garden=G01")
    assert address.choosing(garden="G02").href == "/compare?trial=t&garden=G02"
    assert address.choosing(garden=None).href == "/compare?trial=t"


def test_another_page_keeps_the_choices_that_it_is_told_to():
    address = Address.parse("/gradient", "?trial=t&axis=rain_mm&garden=G01")
    assert address.keeping("trial", "garden").at("/watch").href == "/watch?trial=t&garden=G01"


@pytest.mark.parametrize(
    "chosen",
    [{}, {"trial": "T 1", "outcome": "x"}, {"lang": "es"}, {"season": "2024", "garden": "G9", "gain": "5"}],
)
def test_links_to_many_choices_are_those_to_each_of_them(chosen):
    address, sites = Address("/plan", chosen), ["G01", "Ñ & 2"]
    assert address.hrefs("garden", sites) == [address.choosing(garden=site).href for site in sites]


def test_without_choices_there_is_no_question_mark():
    assert Address.parse(None, None).href == "/"
