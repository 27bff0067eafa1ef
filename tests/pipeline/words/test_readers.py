"""Each garden is written to in the language that the registry names, else in the network's."""

import pandas as pd
import pytest

from pipeline.words.readers import garden_languages, language_of


@pytest.mark.parametrize(
    ("written", "language"),
    [("es", "es"), (" ES ", "es"), ("es-MX", "es"), ("en", "en"), (None, "en"), ("", "en"), ("xx", "en")],
)
def test_a_garden_reads_its_own_language_else_the_network_s(written, language):
    gardens = pd.DataFrame({"site": ["G01"], "language": pd.Series([written], dtype="str")})
    assert garden_languages(gardens, "en") == {"G01": language}


def test_gardens_that_share_a_sheet_share_its_language_only_if_all_read_it():
    languages = {"G01": "es", "G02": "es", "G03": "en"}
    assert language_of({"G01", "G02"}, languages, "en") == "es"
    assert language_of({"G01", "G03"}, languages, "en") == "en"
    assert language_of({"unknown"}, languages, "en") == "en"
