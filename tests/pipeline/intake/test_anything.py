"""Whatever bytes, cells or tables arrive: reading and checking never break, and no line is lost."""

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pipeline.checks.catalogue import CATALOGUE
from pipeline.checks.judge import judge, limits_of
from pipeline.intake.batch import read_batch
from pipeline.intake.tables import SentFile
from pipeline.settings import Settings
from tests.pipeline.intake.corpus import cells, headers, refusals, rows, text_files, workbooks
from tests.pipeline.intake.corpus.network import small_network
from tests.pipeline.intake.corpus.writing import ods, xls, xlsx

LIMITS = limits_of(Settings().intake)
FILES = [
    case.content
    for module in (text_files, workbooks, cells, headers, refusals, rows)
    for case in module.cases()
    if len(case.content) < 20_000
]
HEADERS = {
    "harvest": ["site", "plot", "date", "stage", "good fruits", "weight (lb)", "culls", "unit", "note"],
    "planting": ["site", "plot", "date", "event", "treatment", "plants", "union_cm", "hardened_days"],
    "condition": ["site", "plot", "date", "alive", "height (in)", "severity_pct", "problem"],
    "care": ["site", "date", "what", "product", "amount", "unit"],
    "delivery": ["site", "date", "treatment", "received", "usable"],
    "outreach": ["site", "date", "activity", "volunteers", "hours", "contacts", "donated (kg)"],
    "soil": ["site", "date", "bed", "ph", "sand_pct", "silt_pct", "clay_pct", "depth (in)"],
}

#: What may stand in a cell: what people write, what programs leave, and anything at all.
CELL = st.one_of(
    st.sampled_from(
        [
            "G01",
            "g02",
            "1",
            "2",
            "04",
            "9",
            "2024-07-01",
            "7/8/2024",
            "45474",
            "3 lb 2 oz",
            "1,234",
            "½",
            "-",
            "n/a",
        ]
    ),
    st.sampled_from(
        ["0", "-0", "1e308", "nan", "inf", "-inf", "1e-400", "0x10", "١٢", "²", "9" * 400, "1__0", "."]
    ),
    st.sampled_from(
        ["#REF!", "=1/0", '="001"', "TRUE", "\u202e1", "\x00", "\ud7ff", "{0}", "{line}", "%s", "'"]
    ),
    st.floats().map(str),
    st.dates().map(str),
    st.text(max_size=12),
)
few = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@pytest.fixture(scope="module")
def anything(tmp_path_factory):
    """Judge files and hold what must hold of all of them."""
    context = small_network(tmp_path_factory.mktemp("anything"))

    def judged(*contents):
        files = [SentFile(f"sheet{at}", content) for at, content in enumerate(contents)]
        reading = read_batch(files, LIMITS)
        found = judge(files, context, Settings(), CATALOGUE)
        for table in reading.tables.to_dicts():
            skipped = sum(table[why] for why in ("blank", "printed", "header", "totals"))
            assert table["lines"] == table["rows"] + skipped
        read = {name: frame.height for name, frame in reading.rows.items()}
        assert read == {name: frame.height for name, frame in found.rows.items()}
        verdicts = found.verdicts
        assert (verdicts["rows"] == verdicts["used"] + verdicts["held"]).all()
        assert verdicts["rows"].sum() == sum(read.values()) == reading.tables["rows"].sum()
        assert set(verdicts["file"]) == set(range(len(files)))
        return found

    return judged


@few
@given(content=st.binary(max_size=600))
def test_no_bytes_break_reading_or_checking(anything, content):
    anything(content)


@few
@given(content=st.sampled_from(FILES), data=st.data())
def test_no_damage_to_a_file_breaks_reading_or_checking(anything, content, data):
    spoilt = bytearray(content)
    for _ in range(data.draw(st.integers(1, 6))):
        if spoilt:
            at = data.draw(st.integers(0, len(spoilt) - 1))
            spoilt[at : at + data.draw(st.integers(0, 4))] = data.draw(st.binary(max_size=4))
    anything(bytes(spoilt[: data.draw(st.integers(0, len(spoilt)))] if data.draw(st.booleans()) else spoilt))


@st.composite
def grids(draw):
    """Draw a table of any kind of sheet: its header, and rows of any cells."""
    header = HEADERS[draw(st.sampled_from(sorted(HEADERS)))]
    rows = draw(st.lists(st.lists(CELL, min_size=1, max_size=len(header) + 2), min_size=1, max_size=6))
    return [header, *rows]


def as_text(grid, mark):
    return "\n".join(mark.join('"' + cell.replace('"', '""') + '"' for cell in row) for row in grid)


@few
@given(grid=grids(), mark=st.sampled_from([",", ";", "\t", "|"]))
def test_no_cell_of_a_text_file_breaks_reading_or_checking(anything, grid, mark):
    anything(as_text(grid, mark).encode("utf-8", "surrogatepass"))


@few
@given(one=grids(), two=grids())
def test_no_table_beside_another_breaks_reading_or_checking(anything, one, two):
    anything(as_text(one, ",").encode("utf-8"), as_text(two, ";").encode("utf-16"))


#: Marks that XML cannot hold; no spreadsheet has them in a cell.
WRITABLE = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=12)
SHEET_CELL = st.one_of(
    st.none(),
    st.integers(-(10**9), 10**9),
    st.floats(allow_nan=False, allow_infinity=False),
    st.dates(min_value=date(1905, 1, 1)),
    WRITABLE.map(lambda text: text.replace("&", "").replace("<", "").replace(">", "")),
)


@few
@given(
    kind=st.sampled_from(sorted(HEADERS)),
    rows=st.lists(st.lists(SHEET_CELL, min_size=1, max_size=9), min_size=1, max_size=5),
    write=st.sampled_from([lambda grid: xlsx({"a": grid}), lambda grid: ods({"a": grid}), xls]),
)
def test_no_cell_of_a_spreadsheet_breaks_reading_or_checking(anything, kind, rows, write):
    anything(write([HEADERS[kind], *rows]))
