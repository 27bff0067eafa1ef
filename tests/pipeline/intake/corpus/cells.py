"""Cells as people type them: days, numbers, units, blanks and zeros.

Units: 1 lb = 0.45359237 kg, 1 oz = 1/16 lb (international avoirdupois pound, 1959); 1 in = 2.54 cm.
"""

from collections.abc import Iterator

from tests.pipeline.intake.corpus.case import HARVEST, ROWS, Case, text, used

LB = 0.45359237
OZ = LB / 16


def cases() -> Iterator[Case]:
    """Yield the cases."""
    yield from _days()
    yield from _weights()
    yield from _weights_held()
    yield from _counts()
    yield from _states()
    yield from _units()


def _days() -> Iterator[Case]:
    july = {2: {"date": "2024-07-01"}}
    for written in (
        "7/1/2024",
        "07/01/2024",
        "2024/07/01",
        "July 1, 2024",
        "1 Jul 2024",
        "1 de julio de 2024",
        "1-jul-2024",
        "Mon, July 1 2024",
        "20240701",
        "7.1.2024",
        "Jul 1st 2024",
    ):
        yield _day(written, used(2), values=july)
    for written, note in (
        ("7/1/24", "date-two-digit-year"),
        ("1-Jul-24", "date-two-digit-year"),
        ("45474", "date-from-number"),
    ):
        yield _day(written, used(2), values=july, notes=[(2, note)])
    # Read by the network's order it would be January 7, outside the season.
    yield _day("1/7/2024", used(2), values=july, notes=[(2, "date-other-way")])
    for written in ("July", "Feb 30, 2024", "32/7/2024", "yesterday", "60"):
        yield _day(written, {2: "held: date-unreadable"})
    yield _day("7/1/2023", {2: "held: date-year-slip"}, values={2: {"date": "2023-07-01"}})
    yield _day("2024-01-15", {2: "held: date-out-of-season"})
    yield _day("2024-10-01", {2: "held: date-in-future"})
    # 13 and more cannot be a month: days come first in this file.
    mixed = text(HARVEST, *(f"G01,{at},{day}/07/2024,4,3.{at}" for at, day in enumerate((15, 22, 8), 1)))
    yield Case(
        "days",
        "days first, by the file's own days",
        mixed.encode(),
        {2: "used: dates-other-order", 3: "used", 4: "used"},
        values={4: {"date": "2024-07-08"}},
    )


def _day(written: str, lines: dict[int, str], **more: object) -> Case:
    row = f'G01,1,"{written}",4,3.2'
    return Case("days", written, text(HARVEST, row).encode(), lines, **more)


def _weight(
    written: str, lines: dict[int, str], kg: float | None = None, count: str = "4", **more: object
) -> Case:
    quoted = written.replace('"', '""')
    row = f'G01,1,2024-07-01,{count},"{quoted}"'
    values = {} if kg is None else {2: {"marketable_weight": kg}}
    return Case("weights", written or "blank", text(HARVEST, row).encode(), lines, values=values, **more)


def _weights() -> Iterator[Case]:
    for written, kg in (
        ("3.2", 3.2 * LB),
        ("3.20", 3.2 * LB),
        ("+3.2", 3.2 * LB),
    ):
        yield _weight(written, used(2), kg)
    read_as = [(2, "number-read-as")]
    for written, kg in (
        ("3.2 lb", 3.2 * LB),
        ("3.2lbs", 3.2 * LB),
        ("3.2 pounds", 3.2 * LB),
        ("3.2 libras", 3.2 * LB),
        ("3 1/2", 3.5 * LB),
        ("3½", 3.5 * LB),
        ("3,2", 3.2 * LB),
        ("~3.2", 3.2 * LB),
        ("about 3", 3 * LB),
        ("2 lb 3 oz", 2 * LB + 3 * OZ),
        ("2lb3oz", 2 * LB + 3 * OZ),
        ("2 lbs. 3 ozs.", 2 * LB + 3 * OZ),
        ("2 libras 3 onzas", 2 * LB + 3 * OZ),
    ):
        yield _weight(written, used(2), kg, notes=read_as)
    elsewhere = [*read_as, (2, "unit-two-places")]
    for written, kg in (("51 oz", 51 * OZ), ("1450 g", 1.45), ("1.45 kg", 1.45), ("1.45 kilos", 1.45)):
        yield _weight(written, used(2), kg, notes=elsewhere)
    yield _weight("1,234", used(2), 1.234 * LB, notes=read_as)


def _weights_held() -> Iterator[Case]:
    for written in ("lots", "3-ish", "??", "3.2.1", "3.2."):
        yield _weight(written, {2: "held: number-unreadable"})
    yield _weight("-3.2", {2: "held: number-negative"})
    yield _weight("3 baskets", {2: "held: unit-unknown"})
    yield _weight("1,234", {2: "held: number-two-ways"}, count="")
    yield _weight("51", {2: "held: weight-unit-slip"})
    yield _weight("1450", {2: "held: weight-unit-slip"})
    yield _weight("0", {2: "held: fruit-without-weight"})
    yield _weight("#VALUE!", {2: "held: formula-broken"})
    yield _weight("=1.6*2", {2: "held: formula-no-result"})


def _counts() -> Iterator[Case]:
    for written, lines in (
        ("4.0", used(2)),
        ("4 fruits", {2: "held: number-unreadable"}),
        ("3.5", {2: "held: count-not-whole"}),
        ("-4", {2: "held: number-negative"}),
        ("four", {2: "held: number-unreadable"}),
        ("", used(2)),
    ):
        yield Case(
            "counts", written or "blank", text(HARVEST, f"G01,1,2024-07-01,{written},3.2").encode(), lines
        )


def _states() -> Iterator[Case]:
    """Picked and nothing ripe is 0, visited and not weighed is blank, not visited is no row."""
    zero, blank = {2: {"marketable_weight": 0.0}}, {2: {"marketable_weight": None}}
    yield Case("states", "nothing ripe", text(HARVEST, "G01,1,2024-07-01,0,0").encode(), used(2), values=zero)
    for way in ("", "-", "n/a", "NA", "none"):
        yield Case(
            "states",
            f"not weighed: {way}",
            text(HARVEST, f"G01,1,2024-07-01,4,{way}").encode(),
            {2: "used: weight-blank"},
            values=blank,
        )
    yield Case("states", "not visited", text(HARVEST, "G01,1,,,", ROWS[1]).encode(), used(3), skipped=1)
    yield Case(
        "states",
        "weight without fruit",
        text(HARVEST, "G01,1,2024-07-01,0,2.5").encode(),
        {2: "used: weight-without-fruit"},
    )


def _units() -> Iterator[Case]:
    bare = text("site,plot,date,good fruits,weight", *ROWS)
    yield Case(
        "units",
        "no unit anywhere",
        bare.encode(),
        {2: "used: weight-no-unit", 3: "used", 4: "used"},
        values={2: {"marketable_weight": 3.2 * LB}},
    )
    for unit, number, kg in (
        ("kg", "1.45", 1.45),
        ("g", "1450", 1.45),
        ("oz", "51", 51 * OZ),
        ("onzas", "51", 51 * OZ),
    ):
        column = text("site,plot,date,good fruits,weight,unit", f"G01,1,2024-07-01,4,{number},{unit}")
        yield Case(
            "units", f"unit column: {unit}", column.encode(), used(2), values={2: {"marketable_weight": kg}}
        )
        header = text(f"site,plot,date,good fruits,weight ({unit})", f"G01,1,2024-07-01,4,{number}")
        yield Case(
            "units",
            f"unit in the header: {unit}",
            header.encode(),
            used(2),
            values={2: {"marketable_weight": kg}},
        )
    both = text("site,plot,date,good fruits,weight lb,weight oz", "G01,1,2024-07-01,4,3,3")
    yield Case(
        "units",
        "pounds and ounces in two columns",
        both.encode(),
        used(2),
        values={2: {"marketable_weight": 3 * LB + 3 * OZ}},
        notes=[(2, "number-read-as")],
    )
    odd = text("site,plot,date,good fruits,weight,unit", "G01,1,2024-07-01,4,3.2,cups")
    yield Case("units", "unit that is none", odd.encode(), {2: "held: unit-unknown"})
    height = text("site,plot,date,alive,height (in)", "G01,1,2024-07-01,2,20")
    yield Case("units", "height in inches", height.encode(), used(2), values={2: {"height_cm": 50.8}})
