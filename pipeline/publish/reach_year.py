"""One year of program reach beside the years before it: the same for the page, the document and the table."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

import pandas as pd

from pipeline.publish.reach import TO_DATE, WHOLE
from pipeline.publish.reach_measures import BY_NAME, MEASURES
from sites.errors import InputError

#: Years that stand side by side.
MOST_YEARS = 4
#: What stands for a count that is withheld, and for a figure that nobody sent.
WITHHELD, NOT_SENT = "not told", "not sent"
#: What stands for gardens that came back where no year lies before.
NO_YEAR_BEFORE = "first year"
#: The measures of the sheets of work days that say whether a garden sent one at all.
SHEET = "work_days"


@dataclass(frozen=True)
class ReachYear:
    """A year and those before it.

    A year that still runs is told until tonight, and the years before it until the same day; a year that is
    over is told whole. `rows` are the figures of `years`, oldest first, in the order of the measures;
    `counties` those of the year alone.
    """

    year: int
    until: date
    is_running: bool
    years: Sequence[int]
    rows: pd.DataFrame
    counties: pd.DataFrame

    def figure(self, measure: str, year: int | None = None) -> dict[str, Any]:
        """Return the figure of a measure in a year, the chosen one where none is named."""
        own = self.rows[(self.rows["measure"] == measure) & (self.rows["year"] == (year or self.year))]
        row: dict[str, Any] = own.iloc[0].to_dict()
        return row


def years_of(reach: pd.DataFrame) -> list[int]:
    """Return the years that have figures, newest first."""
    return sorted({int(year) for year in reach["year"]}, reverse=True)


def reach_year(reach: pd.DataFrame, counties: pd.DataFrame, year: int | None = None) -> ReachYear:
    """Return one year of the published frames, the newest where none is named.

    Raises InputError for a year without figures.
    """
    known = years_of(reach)
    if not known:
        raise InputError("No sheet has come in yet, so there is nothing to add up.")
    chosen = known[0] if year is None else year
    if chosen not in known:
        raise InputError(
            f"There are no figures for {chosen}. There are some for {', '.join(map(str, known))}."
        )
    own = reach[(reach["year"] == chosen) & (reach["span"] == WHOLE)]
    until = own["until"].iloc[0].date()
    is_running = until < date(chosen, 12, 31)
    years = sorted(one for one in known if one <= chosen)[-MOST_YEARS:]
    order = {measure.name: at for at, measure in enumerate(MEASURES)}
    rows = reach[(reach["span"] == (TO_DATE if is_running else WHOLE)) & reach["year"].isin(years)]
    rows = rows.assign(at=rows["measure"].map(order)).sort_values(["at", "year"]).drop(columns="at")
    return ReachYear(
        chosen,
        until,
        is_running,
        years,
        rows.reset_index(drop=True),
        counties[counties["year"] == chosen].reset_index(drop=True),
    )


def sent_measures(found: ReachYear) -> list[str]:
    """Return the measures that some garden sent in one of the years, or that need no sheet."""
    sent = found.rows[found.rows["shown"].notna() | found.rows["is_withheld"].astype(bool)]
    known = set(sent["measure"])
    return [measure.name for measure in MEASURES if measure.name in known]


def told(row: dict[str, Any]) -> str:
    """Return a figure as people read it, with its unit."""
    if row["is_withheld"]:
        return WITHHELD
    if pd.isna(row["shown"]):
        return NO_YEAR_BEFORE if row["measure"] == "came_back" else NOT_SENT
    unit = row["shown_unit"]
    return f"{row['shown']:,.0f}" + (f"\u00a0{unit}" if unit else "")


def complete(row: dict[str, Any]) -> str:
    """Return how many gardens a figure rests on."""
    if row["measure"] == "came_back":
        return "" if pd.isna(row["of"]) else f"of {int(row['of']):,}"
    if BY_NAME[row["measure"]].source == "gardens":
        return ""
    return f"{int(row['reported']):,} of {int(row['active']):,} gardens sent it"


def sentence(found: ReachYear) -> str:
    """Return what the year's gardens gave, in one sentence."""
    gardens, counties = (found.figure(name) for name in ("gardens", "counties"))
    begun = f"So far in {found.year}," if found.is_running else f"In {found.year},"
    who = f"{told(gardens)} gardens in {told(counties)} counties"
    gave = []
    hours, food = (found.figure(name) for name in ("service_hours", "donated"))
    if not pd.isna(hours["shown"]):
        gave.append(f"{hours['shown']:,.0f} hours of work")
    if not pd.isna(food["shown"]):
        gave.append(f"{told(food)} of food")
    verb = "have given" if found.is_running else "gave"
    return f"{begun} {who} {verb} {' and '.join(gave)}." if gave else f"{begun} {who} took part."


def how_sure(found: ReachYear) -> str:
    """Return who came back, and what is missing."""
    parts = []
    back = found.figure("came_back")
    if not pd.isna(back["of"]):
        parts.append(f"Of the {int(back['of']):,} gardens of {found.year - 1}, {told(back)} came back.")
    sheet = found.figure(SHEET)
    missing = int(sheet["active"]) - int(sheet["reported"])
    if missing:
        gardens = "garden has" if missing == 1 else "gardens have"
        parts.append(f"{missing:,} {gardens} sent no sheet of work days: the true figures are likely higher.")
    return " ".join(parts)


def figures_table(found: ReachYear) -> pd.DataFrame:
    """Return the figures to take away: a row per measure and year, with definition and completeness."""
    named = found.rows["measure"].map(lambda name: BY_NAME[name])
    return pd.DataFrame(
        {
            "measure": found.rows["measure"],
            "figure": [measure.label for measure in named],
            "year": found.rows["year"],
            "until": found.rows["until"],
            "value": found.rows["shown"],
            "unit": found.rows["shown_unit"],
            "withheld": found.rows["is_withheld"],
            "gardens_reporting": found.rows["reported"],
            "gardens_active": found.rows["active"],
            "of": found.rows["of"],
            "how_it_is_counted": [measure.definition for measure in named],
        }
    )


def counties_table(found: ReachYear) -> pd.DataFrame:
    """Return the figures of the counties in a row each, a column per measure; what is withheld is blank."""
    measures = [measure for measure in MEASURES if measure.by_county]
    heads = found.counties[["county_fips", "county"]].drop_duplicates().sort_values("county")
    for measure in measures:
        own = found.counties[found.counties["measure"] == measure.name].set_index("county_fips")
        heads[measure.name] = heads["county_fips"].map(own["shown"]).to_numpy(dtype=float)
    return heads.reset_index(drop=True)
