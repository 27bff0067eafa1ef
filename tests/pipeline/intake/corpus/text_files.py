"""Text files: what they are written in, what parts their cells, what stands round the rows."""

from collections.abc import Iterator

from tests.pipeline.intake.corpus.case import HARVEST, ROWS, Case, text, used

SHEET = text(HARVEST, *ROWS)
USED = used(2, 3, 4)
SPANISH = text(HARVEST + ",nota", *(f"{row},mañana" for row in ROWS))


def cases() -> Iterator[Case]:
    """Yield the cases."""
    yield from _encodings()
    yield from _delimiters()
    yield from _line_ends()
    yield from _round_the_rows()
    yield from _ragged()


def _encodings() -> Iterator[Case]:
    for name in ("utf-8", "utf-8-sig", "utf-16", "cp1252", "utf-16-le", "utf-16-be"):
        yield Case("encoding", name, SPANISH.encode(name), USED, values={2: {"note": "mañana"}})
    mixed = SHEET.encode() + "G01,4,2024-07-01,4,3.1,caf\xe9\n".encode("cp1252")
    yield Case(
        "encoding",
        "a byte of Windows-1252 in a plain file",
        text(HARVEST + ",note", *(row + "," for row in ROWS)).encode() + mixed.splitlines()[-1],
        used(2, 3, 4, 5),
        values={5: {"note": "café"}},
    )
    twice = SPANISH.replace("ñ", "Ã±").encode()
    yield Case("encoding", "letters decoded twice", twice, USED, notes=[(2, "letters-garbled")])
    yield Case("encoding", "zero bytes at the end", SHEET.encode() + b"\0" * 64, USED)


def _delimiters() -> Iterator[Case]:
    for name, mark in (("semicolon", ";"), ("tab", "\t"), ("pipe", "|")):
        yield Case("delimiter", name, SHEET.replace(",", mark).encode(), USED)
    yield Case("delimiter", "sep line", b"sep=;\n" + SHEET.replace(",", ";").encode(), used(3, 4, 5))
    yield Case("delimiter", "sep line in quotes", b'"sep=,"\n' + SHEET.encode(), used(3, 4, 5))
    comma = SHEET.replace(",", ";").replace(".", ",")
    yield Case(
        "delimiter",
        "semicolon and decimal commas",
        comma.encode(),
        USED,
        values={2: {"marketable_weight": 3.2 * 0.45359237}},
        notes=[(2, "number-read-as"), (3, "number-read-as"), (4, "number-read-as")],
    )
    quoted = text('"site","plot","date","good fruits","weight (lb)"', '"G01","1","2024-07-01","4","3.2"')
    yield Case("delimiter", "every cell in quotes", quoted.encode(), used(2))
    note = text(
        HARVEST + ",note", 'G01,1,2024-07-01,4,3.2,"hot, and dry"', 'G01,2,2024-07-01,5,4.1,"a ""big"" one"'
    )
    yield Case(
        "delimiter",
        "comma and quotes inside a cell",
        note.encode(),
        used(2, 3),
        values={2: {"note": "hot, and dry"}, 3: {"note": 'a "big" one'}},
    )
    broken = text(HARVEST + ",note", 'G01,1,2024-07-01,4,3.2,"hot', 'and dry"', "G01,2,2024-07-01,5,4.1,")
    yield Case(
        "delimiter",
        "line break inside a cell",
        broken.encode(),
        used(2, 4),
        values={2: {"note": "hot\nand dry"}},
    )
    guarded = text(HARVEST, '="G01",="1",2024-07-01,4,3.2')
    yield Case(
        "delimiter", "guarded cells", guarded.encode(), used(2), values={2: {"site": "G01", "plot": "1"}}
    )
    spaces = text(HARVEST.replace(",", " , "), *(row.replace(",", " ,  ") for row in ROWS))
    yield Case("delimiter", "spaces round cells", spaces.encode(), USED)
    hard = SHEET.replace(",", "\u00a0,")
    yield Case("delimiter", "hard spaces", hard.encode(), USED)


def _line_ends() -> Iterator[Case]:
    for name, end in (("CRLF", "\r\n"), ("CR", "\r"), ("LF", "\n")):
        yield Case("line end", name, text(HARVEST, *ROWS, end=end).encode(), USED)
    yield Case("line end", "mixed", f"{HARVEST}\r\n{ROWS[0]}\n{ROWS[1]}\r\n{ROWS[2]}\n".encode(), USED)
    yield Case("line end", "none after the last row", SHEET.rstrip().encode(), USED)


def _round_the_rows() -> Iterator[Case]:
    title = text("Our garden 2024", "Please fill in,,,,", "", HARVEST, *ROWS)
    yield Case("round the rows", "title lines", title.encode(), used(5, 6, 7))
    blank = text(HARVEST, "", ROWS[0], ",,,,", "", ROWS[1], "  ,,,,")
    yield Case("round the rows", "blank lines", blank.encode(), used(3, 6), skipped=4)
    printed = text(HARVEST, ROWS[0], "G01,2,,,", "G01,3,2024-07-01,,", "G01,4,,,")
    yield Case("round the rows", "printed rows with nothing entered", printed.encode(), used(2), skipped=3)
    totals = text(HARVEST, *ROWS, "Total,,,15,12.0")
    yield Case(
        "round the rows", "totals row", totals.encode(), USED, notes=[(5, "totals-row-skipped")], skipped=1
    )
    sums = text(HARVEST, *ROWS, ",,,15,12.0")
    yield Case(
        "round the rows",
        "totals row without a word",
        sums.encode(),
        USED,
        notes=[(5, "totals-row-skipped")],
        skipped=1,
    )
    spanish = text(HARVEST, *ROWS, "Suma,,,15,12.0")
    yield Case(
        "round the rows",
        "totals row in Spanish",
        spanish.encode(),
        USED,
        notes=[(5, "totals-row-skipped")],
        skipped=1,
    )
    average = text(HARVEST, *ROWS, ",Average,,5,4.0")
    yield Case(
        "round the rows",
        "row of averages",
        average.encode(),
        USED,
        notes=[(5, "totals-row-skipped")],
        skipped=1,
    )
    again = text(HARVEST, ROWS[0], HARVEST, ROWS[1])
    yield Case(
        "round the rows",
        "header repeated",
        again.encode(),
        used(2, 4),
        notes=[(3, "header-repeated")],
        skipped=1,
    )
    units = text("site,plot,date,good fruits,weight", ",,,,lb", ROWS[0])
    yield Case("round the rows", "units in a row below the header", units.encode(), used(3))
    far = text(*[f"line {at}" for at in range(20)], HARVEST, ROWS[0])
    yield Case("round the rows", "twenty title lines", far.encode(), used(22))
    counted = text("no.," + HARVEST, *(f"{at},{row}" for at, row in enumerate(ROWS, 1)), "4,,,,,")
    yield Case(
        "round the rows", "numbered lines", counted.encode(), USED, notes=[(0, "column-unknown")], skipped=1
    )


def _ragged() -> Iterator[Case]:
    short = text(HARVEST + ",note", ROWS[0], ROWS[1] + ",ok")
    yield Case("ragged", "short row", short.encode(), used(2, 3))
    tail = text(HARVEST, ROWS[0] + ",,,", ROWS[1])
    yield Case("ragged", "empty cells beyond the header", tail.encode(), used(2, 3))
    wide = text(HARVEST, ROWS[0], "G01,2,2024-07-01,5,4,1")
    yield Case(
        "ragged",
        "decimal comma in a comma-separated file",
        wide.encode(),
        {2: "used", 3: "held: row-too-wide"},
    )
    lacking = text(HARVEST, ROWS[0], "G01,2")
    yield Case("ragged", "only garden and plot", lacking.encode(), used(2), skipped=1)
