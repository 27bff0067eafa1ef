"""A garden's rows are found by its name, and are those that a look through all rows would find."""

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.by_garden import by_garden

SITES = st.lists(st.sampled_from(["K01", "K02", "K10", None]), max_size=30)


@given(SITES, st.sampled_from(["K01", "K02", "K10", "K99"]))
def test_a_gardens_rows_are_all_of_its_rows_in_their_order(sites, site):
    rows = pd.DataFrame({"site": pd.Series(sites, dtype="str"), "at": range(len(sites))})
    assert by_garden(rows).of(site)["at"].tolist() == [at for at, one in enumerate(sites) if one == site]


@given(SITES, st.lists(st.sampled_from(["K01", "K02", "K10", "K99"]), unique=True))
def test_the_rows_of_several_gardens_come_garden_by_garden_as_they_are_named(sites, asked):
    rows = pd.DataFrame({"site": pd.Series(sites, dtype="str"), "at": range(len(sites))})
    expected = [at for site in asked for at, one in enumerate(sites) if one == site]
    assert by_garden(rows).of_several(asked)["at"].tolist() == expected


@pytest.mark.parametrize(
    ("site", "files"),
    [("K01", ["a", "b", "e"]), ("K02", ["b"]), ("K010", ["c"]), ("K1", []), ("garden", ["e"])],
)
def test_a_sheet_of_several_gardens_is_among_the_rows_of_each(site, files):
    sheets = pd.DataFrame(
        {"file": list("abcde"), "sites": ["K01", "K01, K02, K01", "K010", None, "garden K01"]}, dtype="str"
    )
    assert by_garden(sheets).of(site)["file"].tolist() == files


def test_rows_that_stand_together_are_not_copied():
    rows = pd.DataFrame({"site": ["K02", "K02", "K01"], "weight": [1.0, 2.0, 3.0]})
    own = by_garden(rows).of("K02")
    assert own["weight"].to_numpy().base is rows["weight"].to_numpy().base
