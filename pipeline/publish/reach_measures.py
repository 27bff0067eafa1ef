"""What program reach is counted by: each figure with its name and the definition that stands beside it."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

#: How a figure is made: from the list of gardens, or by adding up a column of the outreach sheets.
Source = Literal["gardens", "rows", "column"]


@dataclass(frozen=True)
class Measure:
    """One figure of program reach.

    `column` of the outreach sheets is added up, of those rows alone whose `kind_column` says `kind` (blank
    for rows that say no kind). `is_people`: counts of fewer than five people are not told. `unit` is SI.
    """

    name: str
    label: str
    definition: str
    source: Source = "column"
    column: str = ""
    kind_column: str = ""
    kind: str = ""
    is_people: bool = False
    unit: str = ""
    by_county: bool = False


MEASURES: tuple[Measure, ...] = (
    Measure(
        "gardens",
        "Gardens",
        "with at least one row on any sheet, dated in the year",
        "gardens",
        by_county=True,
    ),
    Measure("counties", "Counties", "of these gardens; by the garden, not by where people live", "gardens"),
    Measure(
        "came_back",
        "Gardens that came back",
        "gardens of the whole year before that sent again; new gardens are not counted",
        "gardens",
    ),
    Measure("work_days", "Work days and events", "rows of the outreach sheets", "rows"),
    Measure(
        "volunteer_turns",
        "Volunteers’ turns",
        "volunteers of every work day added up; who came twice counts twice",
        column="volunteers",
        is_people=True,
        by_county=True,
    ),
    Measure(
        "service_hours",
        "Hours of work",
        "of all volunteers together; learning and travel are counted apart",
        column="hours",
        kind_column="hours_kind",
        kind="service",
        unit="h",
        by_county=True,
    ),
    Measure(
        "learning_hours",
        "Hours of learning",
        "of all volunteers together, in classes and trainings",
        column="hours",
        kind_column="hours_kind",
        kind="learning",
        unit="h",
    ),
    Measure(
        "travel_hours",
        "Hours of travel",
        "of all volunteers together",
        column="hours",
        kind_column="hours_kind",
        kind="travel",
        unit="h",
    ),
    Measure(
        "other_hours",
        "Hours, kind not said",
        "of all volunteers together, where the sheet does not say what for",
        column="hours",
        kind_column="hours_kind",
        unit="h",
    ),
    Measure(
        "direct_contacts",
        "Direct contacts",
        "one talk with one person; who is met twice counts twice",
        column="contacts",
        kind_column="contact_kind",
        kind="direct",
        is_people=True,
        by_county=True,
    ),
    Measure(
        "indirect_contacts",
        "Indirect contacts",
        "reached by newsletter, sign or broadcast; never added to direct ones",
        column="contacts",
        kind_column="contact_kind",
        kind="indirect",
        is_people=True,
    ),
    Measure(
        "other_contacts",
        "Contacts, kind not said",
        "where the sheet does not say whether direct or indirect",
        column="contacts",
        kind_column="contact_kind",
        is_people=True,
    ),
    Measure(
        "intend_to_adopt",
        "People who mean to try it",
        "as they said at an event; who says it twice counts twice",
        column="intend_to_adopt",
        is_people=True,
    ),
    Measure(
        "donated",
        "Food donated",
        "weighed as sent; fruit of the trial that was culled is not counted",
        column="donated_weight",
        unit="kg",
        by_county=True,
    ),
)

BY_NAME: Mapping[str, Measure] = MappingProxyType({measure.name: measure for measure in MEASURES})
