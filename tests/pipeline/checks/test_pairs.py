"""Two rows about one picking are one question wherever findings are listed."""

import pandas as pd
import pytest

from pipeline.checks.pairs import one_of_each_pair


def kept(*findings: tuple[int, str, int | None, str]) -> pd.DataFrame:
    frame = pd.DataFrame(findings, columns=["sheet_id", "check", "line", "details"])
    return frame.astype({"sheet_id": "Int64", "line": "Int64"})


TWICE = "picking-twice-in-file"


@pytest.mark.parametrize(
    ("findings", "lines"),
    [
        pytest.param([(1, TWICE, 25, '{"other": 26}'), (1, TWICE, 26, '{"other": 25}')], [25], id="a pair"),
        pytest.param([(1, TWICE, 26, '{"other": 25}')], [26], id="the earlier row has its answer"),
        pytest.param(
            [(1, TWICE, 25, '{"other": 30}'), (2, TWICE, 30, '{"other": 25}')], [25, 30], id="two sheets"
        ),
        pytest.param(
            [(1, "row-repeated", 3, '{"other": 2}'), (1, TWICE, None, "{}")], [3, None], id="no pair at all"
        ),
    ],
)
def test_the_earlier_row_of_a_pair_asks_for_both(findings, lines):
    left = one_of_each_pair(kept(*findings))["line"]
    assert [None if pd.isna(line) else line for line in left] == lines
