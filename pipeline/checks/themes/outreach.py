"""Work days and events: hours of all volunteers, contacts, donated food."""

import polars as pl

from pipeline.checks.check import Check, Say, always, column
from pipeline.checks.themes.looks_at import only

#: Hours in a day; and hours for one person in one day from which we ask, with what is usual. Common practice,
#: no source.
HOURS_IN_DAY, LONG_DAY_HOURS = 24.0, 14.0
USUAL_HOURS = (1.0, 8.0)

#: Contacts in one row from which we ask; years, which slip into any column; and volunteers that could make
#: that many contacts. Common practice, no source.
MANY_CONTACTS, YEARS, MANY_VOLUNTEERS = 500, (1900, 2100), 50

#: Kilograms of food donated on one day from which we ask. Common practice, no source.
MUCH_FOOD_KG = 500.0

#: Rows of a garden and year with several volunteers whose hours must all look like those of one person.
#: Common practice, no source.
LONELY_ROWS, SEVERAL_VOLUNTEERS, LONELY_SHARE, LONELY_VALUES = 5, 3, 0.5, 4

_HOURS = only("hours", "outreach")
_DATE = {"date": Say(column("date"), "date")}
_PEOPLE = {"hours": Say(column("hours"), "hours"), "volunteers": Say(column("volunteers"), "volunteers")}
_EACH = _DATE | _PEOPLE | {"each": Say(always(pl.col("hours") / pl.col("volunteers")), "hours")}


def _look_like_one(_: str) -> pl.Expr:
    """Return whether a garden's hours look like those of one person, whatever the number of volunteers."""
    year = ("site", pl.col("date").dt.year())
    several = pl.when(pl.col("volunteers") >= SEVERAL_VOLUNTEERS).then("hours")
    few_hours = pl.when(several.is_not_null()).then(pl.col("hours") < LONELY_SHARE * pl.col("volunteers"))
    return (
        several.is_not_null()
        & (several.count().over(*year) >= LONELY_ROWS)
        & few_hours.all().over(*year)
        & (several.n_unique().over(*year) <= LONELY_VALUES + 1)
        & (pl.when(several.is_not_null()).then("volunteers").n_unique().over(*year) > 2)
        & pl.col("site").is_not_null()
    )


def _hours_alone(_: str) -> pl.Expr:
    hours, people = pl.col("hours"), pl.col("volunteers")
    return ((hours > 0) & (people.fill_null(0) == 0)) | ((people > 0) & (hours == 0))


CHECKS = (
    Check(
        "hours-per-volunteer-impossible",
        "held",
        _HOURS,
        lambda _: (pl.col("volunteers") > 0) & (pl.col("hours") > HOURS_IN_DAY * pl.col("volunteers")),
        _EACH,
    ),
    Check(
        "hours-per-volunteer-high",
        "question",
        _HOURS,
        lambda _: (pl.col("hours") / pl.col("volunteers")).is_between(
            LONG_DAY_HOURS, HOURS_IN_DAY, closed="right"
        ),
        _EACH
        | {
            "low": Say(lambda _: pl.lit(USUAL_HOURS[0]), "number"),
            "high": Say(lambda _: pl.lit(USUAL_HOURS[1]), "hours"),
        },
    ),
    Check("hours-look-per-person", "question", _HOURS, _look_like_one, _PEOPLE, once_per=("site", "year")),
    Check(
        "hours-without-volunteers",
        "question",
        only("volunteers", "outreach"),
        _hours_alone,
        _DATE | {"hours": Say(column("hours"), "hours"), "sent": Say(always(pl.col("sent_volunteers")))},
    ),
    Check(
        "contacts-large",
        "question",
        only("contacts", "outreach"),
        lambda name: (
            (pl.col(name) > MANY_CONTACTS)
            | (pl.col(name).is_between(*YEARS) & (pl.col("volunteers").fill_null(0) < MANY_VOLUNTEERS))
        ),
        _DATE,
    ),
    Check(
        "donated-over-picked",
        "question",
        only("donated_weight", "outreach"),
        lambda name: pl.col(name) > MUCH_FOOD_KG,
        _DATE
        | {"read": Say(column("donated_weight"), "weight"), "other": Say(column("picked_kg"), "weight")},
    ),
)
