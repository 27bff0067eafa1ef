"""One file is a batch of one: a file is judged alike alone and among others."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings

GOOD = SentFile("good.csv", b"site,plot,date,weight (lb)\nG01,1,2024-07-01,3\nG01,2,2024-07-01,4\n")
PART = SentFile("part.csv", b"site,plot,date,weight (lb)\nG01,1,2024-07-02,3\nG09,2,2024-07-02,4\n")
PICTURE = SentFile("photo.csv", b"\x89PNG\r\n\x1a\n")


def judged(context, *files, checks=CATALOGUE):
    return judge(list(files), context, Settings(), checks)


def test_each_file_gets_its_verdict(context):
    verdicts = judged(context, GOOD, PART, PICTURE).verdicts
    assert verdicts["verdict"].to_list() == ["taken", "taken in part", "refused"]
    assert verdicts["rows"].to_list() == [2, 2, 0]
    assert verdicts["used"].to_list() == [2, 1, 0]


def test_a_file_is_judged_alike_alone_and_among_others(context):
    alone = judged(context, PART).findings.drop("file", "row")
    among = judged(context, GOOD, PART, GOOD).findings
    assert among["file"].unique().to_list() == [1]
    assert among.drop("file", "row").equals(alone)


def test_without_checks_nothing_is_held(context):
    assert judged(context, PART, checks=()).verdicts["held"].to_list() == [0]


CELLS = st.sampled_from(
    ["G01", "1", "2024-07-01", "3", "", "x", "-2", "1,5", "2 lb 3 oz", "0", "9/9/24", "NA", "1e3"]
) | st.text(st.characters(blacklist_categories=["Cs"]), max_size=8)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60)
@given(rows=st.lists(st.lists(CELLS, min_size=3, max_size=6), max_size=8))
def test_every_row_read_is_either_used_or_held(context, rows):
    import csv
    import io

    out = io.StringIO()
    csv.writer(out).writerows([["site", "plot", "date", "weight", "good fruits"], *rows])
    verdicts = judged(context, SentFile("any.csv", out.getvalue().encode())).verdicts
    assert (verdicts["rows"] == verdicts["used"] + verdicts["held"]).all()
