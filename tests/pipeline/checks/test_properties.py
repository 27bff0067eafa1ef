"""What holds whatever is sent: findings belong to their rows, not to the order of rows and files."""

from datetime import date, timedelta

import polars as pl
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings

HEADER = "site,plot,date,good fruits,weight (lb),culls,stage"
FIRST = date(2024, 6, 25)

#: Checks that look at the rows in the order of the file.
IN_ORDER = {"copied-down"}
#: Checks that ask once for a file or a garden: which row stands for all follows from the order.
ONCE = {check.name for check in CATALOGUE if check.once_per}

fixtures = settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)

WEIGHT = st.sampled_from(["", "0", "-1", "lots", "2 lb 3 oz", "1.5 kg", "40", "0.3", "2.71", "2.71"])
COUNT = st.sampled_from(["", "0", "3.5", "1", "4", "60"])


@st.composite
def sheets(draw, site):
    """Draw the rows of one garden: most of them sound, some not."""
    rows = []
    for day in range(draw(st.integers(1, 7))):
        for plot in range(1, 5):
            count = 2 + (plot * 3 + day) % 5
            weight = f"{count * 0.66 * (1 + 0.02 * ((plot + day) % 4)):.2f}"
            cells = [site, str(plot), str(FIRST + timedelta(days=6 * day)), str(count), weight, "1", "mature"]
            if draw(st.integers(0, 5)) == 0:
                at = draw(st.sampled_from([1, 2, 3, 4, 6]))
                strange = {1: st.sampled_from(["9", "2", ""]), 3: COUNT, 4: WEIGHT}
                cells[at] = draw(strange.get(at, st.sampled_from(["", "odd", "2023-07-01", "2024-07-01"])))
            rows.append(",".join(cells))
    return rows


def file_of(name, rows):
    return SentFile(name, "\n".join([HEADER, *rows]).encode())


def said(context, files, *names):
    """Return what is found in the files of these names: by file, row, check and column."""
    judged = judge(files, context, Settings(), CATALOGUE)
    found = []
    for row in judged.findings.to_dicts():
        name = files[row["file"]].name
        if name in names:
            found.append((name, row["line"], row["check"], row["column"], row["details"]))
    return sorted(found, key=str)


@fixtures
@given(one=sheets("G01"), two=sheets("G02"))
def test_the_order_of_files_changes_no_finding(context, one, two):
    files = [file_of("one.csv", one), file_of("two.csv", two)]
    both = ("one.csv", "two.csv")
    assert said(context, files, *both) == said(context, files[::-1], *both)


@fixtures
@given(one=sheets("G01"), two=sheets("G02"))
def test_another_garden_changes_no_finding(context, one, two):
    files = [file_of("one.csv", one), file_of("two.csv", two)]
    assert said(context, files, "one.csv") == said(context, files[:1], "one.csv")


@fixtures
@given(rows=sheets("G01"), seed=st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_no_finding(context, rows, seed):
    shuffled = list(rows)
    seed.shuffle(shuffled)

    def by_row(of):
        found = said(context, [file_of("one.csv", of)], "one.csv")
        rest = [case for case in found if case[2] not in ONCE | IN_ORDER | {"row-repeated"}]
        once = {case[2] for case in found if case[2] in ONCE - IN_ORDER}
        return sorted((of[line - 2], check, column or "") for _, line, check, column, _ in rest), once

    assert by_row(rows) == by_row(shuffled)


@fixtures
@given(rows=sheets("G01"))
def test_every_row_read_is_used_or_held_and_keeps_its_place(context, rows):
    judged = judge([file_of("one.csv", rows)], context, Settings(), CATALOGUE)
    frame = judged.rows["harvest"]
    held = set(judged.findings.filter(pl.col("level") == "held")["row"].to_list())
    assert frame["line"].to_list() == list(range(2, len(rows) + 2))
    assert set(frame.filter("is_held")["row"].to_list()) == held
    assert (judged.verdicts["used"] + judged.verdicts["held"]).to_list() == [len(rows)]


@fixtures
@given(rows=sheets("G01"))
def test_no_blank_weight_becomes_a_number(context, rows):
    frame = judge([file_of("one.csv", rows)], context, Settings(), CATALOGUE).rows["harvest"]
    blank = [row.split(",")[4] == "" for row in rows]
    assert frame.filter(pl.Series(blank))["marketable_weight"].null_count() == sum(blank)


def test_an_empty_batch_has_no_findings(context):
    assert judge([], context, Settings(), CATALOGUE).findings.is_empty()


@pytest.mark.parametrize(
    "sheet", ["harvest", "planting", "condition", "care", "delivery", "outreach", "soil"]
)
def test_every_kind_of_sheet_can_be_judged(context, sheet):
    headers = {
        "harvest": "site,plot,date,weight (lb)\nG01,1,2024-07-01,3",
        "planting": "site,plot,date,plants\nG01,1,2024-05-20,2",
        "condition": "site,plot,date,alive\nG01,1,2024-07-01,2",
        "care": "site,date,what,product\nG01,2024-07-01,fed,compost",
        "delivery": "site,date,treatment,received\nG01,2024-05-01,A,6",
        "outreach": "site,date,activity,hours,volunteers\nG01,2024-07-01,weeding,8,4",
        "soil": "site,date,bed,ph\nG01,2024-04-01,A,6.5",
    }
    judged = judge([SentFile("a.csv", headers[sheet].encode())], context, Settings(), CATALOGUE)
    assert judged.verdicts.select("sheet", "verdict").rows() == [(sheet, "taken")]
