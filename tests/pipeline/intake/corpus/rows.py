"""Rows that are used or wait, one by one: gardens and plots that nobody knows, repeats, slips."""

from collections.abc import Iterator

from tests.pipeline.intake.corpus.case import HARVEST, ROWS, Case, text, used


def cases() -> Iterator[Case]:
    """Yield the cases."""
    for name, row, line, notes in (
        ("garden by its name", "First Row,1,2024-07-01,4,3.2", "used", ["site-read-as"]),
        ("garden with a slip of the pen", "Frist Row,1,2024-07-01,4,3.2", "used", ["site-read-as"]),
        ("garden in small letters", "g01,1,2024-07-01,4,3.2", "used", ["site-read-as"]),
        ("garden that nobody knows", "Q9,1,2024-07-01,4,3.2", "held: site-unknown", []),
        ("no garden", ",1,2024-07-01,4,3.2", "held: needed-cell-blank", []),
        ("no plot", "G01,,2024-07-01,4,3.2", "held: needed-cell-blank", []),
        ("plot with a leading zero", "G01,01,2024-07-01,4,3.2", "used", []),
        ("plot that the garden does not have", "G01,9,2024-07-01,4,3.2", "held: plot-unknown", []),
        (
            "telephone number in the note",
            "G01,1,2024-07-01,4,3.2,call 785-555-0142",
            "used",
            ["note-kept-private"],
        ),
        ("culls without a weight", "G01,1,2024-07-01,4,3.2,,2", "used", []),
    ):
        header = HARVEST + ",note,culls"
        full = row + "," * (header.count(",") - row.count(","))
        yield Case(
            "rows", name, text(header, full).encode(), {2: line}, notes=[(2, check) for check in notes]
        )
    double = text(HARVEST, ROWS[0], ROWS[0], ROWS[1])
    yield Case("rows", "one row twice", double.encode(), used(2, 3, 4), notes=[(3, "row-repeated")])
    apart = text(HARVEST, ROWS[0], "G01,1,2024-07-01,4,3.9", ROWS[1])
    yield Case(
        "rows",
        "two weights of one picking",
        apart.encode(),
        {2: "held: picking-twice-in-file", 3: "held: picking-twice-in-file", 4: "used"},
    )
    injected = text(HARVEST + ",note", ROWS[0] + ',"=HYPERLINK(""x"")"')
    yield Case("rows", "a note that begins like a formula", injected.encode(), used(2))
    half = text(HARVEST, ROWS[0], "G01,9,2024-07-01,4,3.2", "Q9,1,2024-07-01,4,3.2", ROWS[1])
    yield Case(
        "rows",
        "two bad rows among good ones",
        half.encode(),
        {2: "used", 3: "held: plot-unknown", 4: "held: site-unknown", 5: "used"},
    )
