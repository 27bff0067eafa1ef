"""Program reach: what gardens and their volunteers gave, year by year, with how complete that is.

People are never told apart, only counted; counts of fewer than five are not told, nor what would give them
away by subtraction.
"""

from datetime import date
from typing import Any

import numpy as np
import pandas as pd
import sqlalchemy as sa

from pipeline.intake.units import KG_PER_UNIT
from pipeline.publish import shared_frames as shared
from pipeline.publish.reach_measures import MEASURES, Measure
from pipeline.store.read import counting_rows
from pipeline.store.tables import rows_of
from pipeline.surroundings import Surroundings
from pipeline.workspace import Workspace

#: Counts of people below this are not told; common practice for small cells, no source.
FEWEST_PEOPLE = 5
WHOLE, TO_DATE = "whole year", "to date"


def reach_frames(
    connection: sa.Connection, workspace: Workspace, surroundings: Surroundings, gardens: pd.DataFrame
) -> dict[str, pd.DataFrame]:
    """Return the figures of every year, those of counties, and what the network is called.

    `gardens` are the published gardens with their county. Years are calendar years; the newest counts until
    tonight, and beside it stands the same part of every year before, so that like is held against like.
    """
    tonight = workspace.today()
    seen = _days_seen(connection, tonight)
    rows = counting_rows(connection, "outreach")
    rows = rows[rows["date"] <= pd.Timestamp(tonight)].assign(year=lambda table: table["date"].dt.year)
    place = gardens.set_index("site")[["county_fips", "county"]]
    years = sorted(set(seen["year"]))
    figures, counties = [], []
    for year in years:
        for span, until in ((WHOLE, _last_day(year, tonight)), (TO_DATE, _same_day(year, tonight))):
            active = _active(seen, year, until)
            sent = rows[(rows["year"] == year) & (rows["date"] <= pd.Timestamp(until))]
            sent = sent[sent["site"].isin(active)]
            before = _active(seen, year - 1, date(year - 1, 12, 31))
            figures += _figures(sent, active, before, place, year, span, until)
            if span == WHOLE:
                counties += _by_county(sent, active, place, year)
    unit = workspace.settings.units
    return {
        "about": pd.DataFrame(
            [{"name": workspace.settings.name, "units": unit, "language": workspace.settings.language}]
        ),
        "reach": _shown(pd.DataFrame(figures, columns=_REACH), unit),
        "reach_counties": _shown(pd.DataFrame(counties, columns=_COUNTIES), unit),
    }


_REACH = [name for name in shared.REACH.column_names if name not in ("shown", "shown_unit")]
_COUNTIES = [name for name in shared.REACH_COUNTIES.column_names if name not in ("shown", "shown_unit")]


def _days_seen(connection: sa.Connection, tonight: date) -> pd.DataFrame:
    """Return for each garden and year the first day on which a row of any sheet counts."""
    parts = [
        sa.select(
            table.c.site,
            sa.cast(sa.extract("year", table.c.date), sa.Integer).label("year"),
            sa.func.min(table.c.date).label("first"),
        )
        .where(
            table.c.left.is_(None),
            table.c.state == "counts",
            table.c.site.is_not(None),
            table.c.date <= tonight,
        )
        .group_by(table.c.site, sa.extract("year", table.c.date))
        for table in rows_of.values()
    ]
    rows = [tuple(row) for part in parts for row in connection.execute(part)]
    table = pd.DataFrame(rows, columns=["site", "year", "first"])
    return table.groupby(["site", "year"], as_index=False)["first"].min()


def _last_day(year: int, tonight: date) -> date:
    return tonight if year == tonight.year else date(year, 12, 31)


def _same_day(year: int, tonight: date) -> date:
    """Return tonight's day in another year; the last of February where it has no 29th."""
    leaps = tonight.month == 2 and tonight.day == 29
    return date(year, tonight.month, 28 if leaps else tonight.day)


def _active(seen: pd.DataFrame, year: int, until: date) -> set[str]:
    return set(seen.loc[(seen["year"] == year) & (seen["first"] <= until), "site"])


def _of_kind(rows: pd.DataFrame, measure: Measure) -> pd.DataFrame:
    """Return the rows that a measure adds up, its own column filled."""
    known = rows[rows[measure.column].notna()]
    if not measure.kind_column:
        return known
    kind = known[measure.kind_column].fillna("")
    return known[kind == measure.kind]


def _figures(
    sent: pd.DataFrame,
    active: set[str],
    before: set[str],
    place: pd.DataFrame,
    year: int,
    span: str,
    until: date,
) -> list[dict[str, Any]]:
    """Return every figure of one year with how many gardens it rests on."""
    common = {"year": year, "span": span, "until": until, "active": len(active)}
    found = []
    for measure in MEASURES:
        of: int | None = None
        if measure.source == "gardens":
            value, of = _of_gardens(measure.name, active, before, place)
            reported = len(active)
        elif measure.source == "rows":
            value, reported = float(len(sent)), sent["site"].nunique()
        else:
            own = _of_kind(sent, measure)
            value, reported = float(own[measure.column].sum()), own["site"].nunique()
            if not reported:
                value = np.nan
        small = measure.is_people and 0 < value < FEWEST_PEOPLE
        found.append(
            common
            | {
                "measure": measure.name,
                "value": np.nan if small else value,
                "unit": measure.unit,
                "is_withheld": small,
                "reported": reported,
                "of": of,
            }
        )
    return found


def _of_gardens(
    name: str, active: set[str], before: set[str], place: pd.DataFrame
) -> tuple[float, int | None]:
    if name == "came_back":
        return (float(len(active & before)), len(before)) if before else (np.nan, None)
    if name == "counties":
        return float(place["county_fips"].reindex(sorted(active)).nunique()), None
    return float(len(active)), None


def _by_county(sent: pd.DataFrame, active: set[str], place: pd.DataFrame, year: int) -> list[dict[str, Any]]:
    """Return the figures of a whole year by the county of the garden."""
    known = place.reindex(sorted(active)).dropna(subset="county_fips")
    names = known.drop_duplicates("county_fips").set_index("county_fips")["county"].sort_values()
    located = sent.assign(county_fips=sent["site"].map(place["county_fips"]))
    found = []
    for measure in MEASURES:
        if not measure.by_county:
            continue
        if measure.source == "gardens":
            values = known.groupby("county_fips").size().astype("float64").reindex(names.index)
        else:
            own = _of_kind(located, measure)
            values = own.groupby("county_fips")[measure.column].sum().astype("float64").reindex(names.index)
        hidden = withheld(values) if measure.is_people else pd.Series(False, index=values.index)
        found += [
            {
                "year": year,
                "county_fips": fips,
                "county": names[fips],
                "measure": measure.name,
                "value": np.nan if hidden[fips] else value,
                "unit": measure.unit,
                "is_withheld": bool(hidden[fips]),
            }
            for fips, value in values.items()
        ]
    return found


def withheld(counts: pd.Series) -> pd.Series:
    """Return which counts of people are not told, where their sum is told.

    Those from one to four; and where that is a single one, the smallest other as well, since the sum less
    the others would give the first away.
    """
    small = (counts > 0) & (counts < FEWEST_PEOPLE)
    others = counts[(counts > 0) & ~small]
    if small.sum() == 1 and len(others):
        small[others.idxmin()] = True
    return small


def _shown(table: pd.DataFrame, units: str) -> pd.DataFrame:
    """Return the figures with the number and unit that the network's readers see beside the SI value."""
    pounds = (table["unit"] == "kg") & (units == "us")
    return table.assign(
        shown=table["value"].astype("float64") / np.where(pounds, KG_PER_UNIT["lb"], 1.0),
        shown_unit=table["unit"].where(~pounds, "lb"),
    )
