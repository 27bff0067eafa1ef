"""Spreadsheets: tabs, dates, numbers as text, formulas, hidden and merged cells, in all three formats."""

from collections.abc import Iterator
from datetime import date, datetime

from tests.pipeline.intake.corpus.case import Case, used
from tests.pipeline.intake.corpus.writing import changed, ods, xls, xlsx

HEAD = ["site", "plot", "date", "good fruits", "weight (lb)"]
DAY = date(2024, 7, 1)
WHEN = datetime(2024, 7, 1)
ROWS = [["G01", 1, "2024-07-01", 4, 3.2], ["G01", 2, "2024-07-01", 5, 4.1]]
PLANTING = [["site", "plot", "date", "plants"], ["G01", 1, "2024-05-20", 2], ["G01", 4, "2024-05-20", 2]]
READ = {2: {"date": "2024-07-01", "marketable_weight": 3.2 * 0.45359237, "marketable_count": 4.0}}


#: A cell of an .ods file, and what stands there where a formula failed or was never worked out.
_ODS_HERE = b'<table:table-cell office:value-type="string"><text:p>=here</text:p></table:table-cell>'
_ODS_BROKEN = (
    b'<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="">'
    b"<text:p>#DIV/0!</text:p></table:table-cell>"
)
_ODS_NO_RESULT = b'<table:table-cell table:formula="of:=1.6*2"/>'


def cases() -> Iterator[Case]:
    """Yield the cases."""
    yield from _formats()
    yield from _tabs()
    yield from _days()
    yield from _cells()
    yield from _formulas()


def _book(name: str, content: bytes, lines: dict[int, str], **more: object) -> Case:
    file = more.pop("file", "book.xlsx")
    tab = more.pop("tab", "Sheet1")
    return Case("spreadsheet", name, content, tabs={tab: lines}, file=file, **more)


def _formats() -> Iterator[Case]:
    yield _book("xlsx", xlsx({"Sheet1": [HEAD, *ROWS]}), used(2, 3), values=READ)
    yield _book("ods", ods({"Sheet1": [HEAD, *ROWS]}), used(2, 3), values=READ, file="book.ods")
    yield _book("xls", xls([HEAD, *ROWS]), used(2, 3), values=READ, file="book.xls", tab="Sheet")
    yield _book("xlsx that is called csv", xlsx({"Sheet1": [HEAD, *ROWS]}), used(2, 3), file="book.csv")
    yield _book(
        "title and blank rows",
        xlsx({"Sheet1": [["Harvest"], [], HEAD, ROWS[0], [], ROWS[1]]}),
        used(4, 6),
        skipped=1,
    )
    cell = [[*HEAD, "note"], [*ROWS[0], "hot\nand dry"], [*ROWS[1], "x"]]
    yield _book(
        "line break inside a cell", xlsx({"Sheet1": cell}), used(2, 3), values={2: {"note": "hot\nand dry"}}
    )


def _tabs() -> Iterator[Case]:
    two = xlsx({"harvest": [HEAD, *ROWS], "planting": PLANTING})
    yield Case(
        "tabs", "two known tabs", two, tabs={"harvest": used(2, 3), "planting": used(2, 3)}, file="book.xlsx"
    )
    other = xlsx({"read me": [["Thank you"]], "harvest": [HEAD, *ROWS]})
    yield Case(
        "tabs",
        "a tab that nobody knows",
        other,
        tabs={"harvest": used(2, 3)},
        notes=[(0, "tab-not-read")],
        file="book.xlsx",
    )
    empty = xlsx({"harvest": [HEAD, *ROWS], "Sheet2": [], "Sheet3": []})
    yield Case("tabs", "empty tabs", empty, tabs={"harvest": used(2, 3)}, file="book.xlsx")
    hidden = xlsx(
        {"harvest": [HEAD, *ROWS], "old": [HEAD, [*ROWS[0][:2], "2024-07-08", 4, 3.0]]},
        lambda book, _: book.worksheets()[1].hide(),
    )
    yield Case("tabs", "hidden tab", hidden, tabs={"harvest": used(2, 3), "old": used(2)}, file="book.xlsx")
    same = xlsx({"July": [HEAD, *ROWS], "August": [HEAD, ["G01", 1, "2024-08-01", 4, 3.2]]})
    yield Case(
        "tabs",
        "one kind of sheet on two tabs",
        same,
        tabs={"July": used(2, 3), "August": used(2)},
        file="book.xlsx",
    )
    tabs = ods({"harvest": [HEAD, *ROWS], "planting": PLANTING})
    yield Case(
        "tabs",
        "two known tabs of an ods",
        tabs,
        tabs={"harvest": used(2, 3), "planting": used(2, 3)},
        file="book.ods",
    )


def _days() -> Iterator[Case]:
    rows = [HEAD, ["G01", 1, WHEN, 4, 3.2], ["G01", 2, datetime(2024, 7, 8), 5, 4.1]]
    days = {2: {"date": "2024-07-01"}, 3: {"date": "2024-07-08"}}
    yield _book("date cells", xlsx({"Sheet1": rows}), used(2, 3), values=days)
    yield _book(
        "date cells counted from 1904", xlsx({"Sheet1": rows}, date_1904=True), used(2, 3), values=days
    )
    plain = [HEAD, ["G01", 1, DAY, 4, 3.2], ["G01", 2, date(2024, 7, 8), 5, 4.1]]
    yield _book("date cells of an ods", ods({"Sheet1": plain}), used(2, 3), values=days, file="book.ods")
    yield _book("date cells of an xls", xls(plain), used(2, 3), values=days, file="book.xls", tab="Sheet")
    yield _book(
        "date cells of an xls counted from 1904",
        xls(plain, is_1904=True),
        used(2, 3),
        values=days,
        file="book.xls",
        tab="Sheet",
    )
    # Day 45,474 of the system that counts from 1900 is July 1, 2024; it is 1,462 days less in the other.
    serial = [HEAD, ["G01", 1, 45474, 4, 3.2]]
    yield _book(
        "day number without a date format",
        xlsx({"Sheet1": serial}),
        used(2),
        values={2: {"date": "2024-07-01"}},
        notes=[(2, "date-from-number")],
    )
    early = [HEAD, ["G01", 1, 45474 - 1462, 4, 3.2]]
    yield _book(
        "day number counted from 1904",
        xlsx({"Sheet1": early}, date_1904=True),
        used(2),
        values={2: {"date": "2024-07-01"}},
        notes=[(2, "date-from-number")],
    )
    moment = [HEAD, ["G01", 1, datetime(2024, 7, 1, 18, 30), 4, 3.2]]
    yield _book("day with a time", xlsx({"Sheet1": moment}), used(2), values={2: {"date": "2024-07-01"}})
    turned = [HEAD, ["G01", datetime(2024, 1, 2), "2024-07-01", 4, 3.2], ROWS[1]]
    yield _book("plot cell that became a day", xlsx({"Sheet1": turned}), {2: "held: plot-unknown", 3: "used"})


def _cells() -> Iterator[Case]:
    texts = [HEAD, ["G01", "1", "2024-07-01", "4", "3.2"], ["G01", "2", "2024-07-01", " 5 ", "4.1"]]
    yield _book("numbers as text", xlsx({"Sheet1": texts}, strings_to_numbers=False), used(2, 3), values=READ)
    sums = [HEAD, ["G01", 1, "2024-07-01", 4, 0.1 + 0.2 + 2.9]]
    yield _book("sum of tenths", xlsx({"Sheet1": sums}), used(2), values=READ)

    def hide(_: object, sheet: object) -> None:
        sheet.set_row(1, None, None, {"hidden": True})
        sheet.set_column(3, 3, None, None, {"hidden": True})

    yield _book("hidden row and column", xlsx({"Sheet1": [HEAD, *ROWS]}, hide), used(2, 3), values=READ)

    def filtered(_: object, sheet: object) -> None:
        sheet.autofilter(0, 0, 2, 4)
        sheet.filter_column(1, "x == 2")
        sheet.set_row(1, None, None, {"hidden": True})

    yield _book("filtered rows", xlsx({"Sheet1": [HEAD, *ROWS]}, filtered), used(2, 3))

    def merged(book: object, sheet: object) -> None:
        sheet.merge_range(1, 0, 2, 0, "G01", book.add_format())

    blank = [HEAD, [None, *ROWS[0][1:]], [None, *ROWS[1][1:]]]
    yield _book("merged garden", xlsx({"Sheet1": blank}, merged), {2: "used", 3: "held: needed-cell-blank"})

    def share(book: object, sheet: object) -> None:
        sheet.write(1, 3, 0.25, book.add_format({"num_format": "0%"}))

    sick = [["site", "plot", "date", "severity"], ["G01", 1, "2024-07-01", None]]
    yield _book("percentage cell", xlsx({"Sheet1": sick}, share), used(2), values={2: {"severity_pct": 25.0}})
    locked = xlsx({"Sheet1": [HEAD, *ROWS]}, lambda _, sheet: sheet.protect("tomato"))
    yield _book("sheet protected against editing", locked, used(2, 3))
    comment = xlsx({"Sheet1": [HEAD, *ROWS]}, lambda _, sheet: sheet.write_comment("E2", "wet"))
    yield _book("comment on a cell", comment, used(2, 3))
    yes = [["site", "plot", "date", "plants", "clip removed"], ["G01", 1, "2024-05-20", 2, True]]
    yield _book("truth cell", xlsx({"Sheet1": yes}), used(2), values={2: {"clip_removed": "yes"}})


def _formulas() -> Iterator[Case]:
    def write(formula: str, value: object) -> bytes:
        blank = [HEAD, [*ROWS[0][:4], None], ROWS[1]]
        return xlsx({"Sheet1": blank}, lambda _, sheet: sheet.write_formula(1, 4, formula, None, value))

    yield _book("formula with its result", write("=1.6*2", 3.2), used(2, 3), values=READ)
    for complaint in ("#DIV/0!", "#REF!", "#VALUE!", "#NAME?"):
        yield _book(
            f"formula that shows {complaint}",
            write("=1/0", complaint),
            {2: "held: formula-broken", 3: "used"},
        )
    text = write("=A1", "3.2")
    yield _book("formula with a text result", text, used(2, 3), values=READ)
    never = changed(
        write("=1.6*2", 3.2), "xl/worksheets/sheet1.xml", lambda part: part.replace(b"<v>3.2</v>", b"")
    )
    yield _book("formula never worked out", never, {2: "held: formula-no-result", 3: "used"})
    not_there = write("=NA()", "#N/A")
    yield _book("formula whose result is not available", not_there, {2: "held: formula-broken", 3: "used"})
    middle = xlsx(
        {"Sheet1": [HEAD, [*ROWS[0][:3], None, 3.2], ROWS[1]]},
        lambda _, sheet: sheet.write_formula(1, 3, "=1/0", None, "#DIV/0!"),
    )
    yield _book("broken formula inside a row", middle, {2: "held: formula-broken", 3: "used"})
    last = xlsx(
        {"Sheet1": [HEAD, ROWS[0], [*ROWS[1][:4], None]]},
        lambda _, sheet: sheet.write_formula(2, 4, "=1/0", None, "#DIV/0!"),
    )
    yield _book("broken formula in the last cell of all", last, {2: "used", 3: "held: formula-broken"})
    for name, cell in (("broken", _ODS_BROKEN), ("never worked out", _ODS_NO_RESULT)):
        content = changed(
            ods({"Sheet1": [HEAD, [*ROWS[0][:4], "=here"], ROWS[1]]}),
            "content.xml",
            lambda part, cell=cell: part.replace(_ODS_HERE, cell),
        )
        check = "formula-broken" if name == "broken" else "formula-no-result"
        yield _book(f"ods formula {name}", content, {2: f"held: {check}", 3: "used"}, file="book.ods")
    total = xlsx(
        {"Sheet1": [HEAD, *ROWS, ["Total"]]},
        lambda _, sheet: sheet.write_formula(3, 4, "=SUM(E2:E3)", None, 7.3),
    )
    yield _book("totals by formula", total, used(2, 3), notes=[(4, "totals-row-skipped")], skipped=1)
