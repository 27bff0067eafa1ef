"""Program reach of the invented network: two years, the second running."""

from datetime import date

import pandas as pd

from pipeline.publish import shared_frames
from pipeline.publish.reach_measures import MEASURES
from tests.dashboard.framing import framed

#: A measure that is withheld throughout.
HIDDEN = "intend_to_adopt"
COUNTIES = {"20181": "Sherman", "20169": "Saline", "20055": "Finney"}


def figures() -> pd.DataFrame:
    """Return two years: 100 times the place of the measure in 2024, 110 times in 2025."""
    rows = [
        {
            "year": year, "span": span, "until": until, "measure": measure.name,
            "value": factor * (at + 1), "unit": measure.unit, "is_withheld": measure.name == HIDDEN,
            "reported": 18, "active": 24, "of": 20 if measure.name == "came_back" else None,
            "shown": None if measure.name == HIDDEN else factor * (at + 1),
            "shown_unit": measure.unit,
        }
        for year, span, until, factor in (
            (2024, "whole year", date(2024, 12, 31), 100.0), (2024, "to date", date(2024, 8, 12), 60.0),
            (2025, "whole year", date(2025, 8, 12), 110.0), (2025, "to date", date(2025, 8, 12), 110.0),
        )
        for at, measure in enumerate(MEASURES)
    ]  # fmt: skip
    return framed(shared_frames.REACH, pd.DataFrame(rows))


def by_county() -> pd.DataFrame:
    rows = [
        {
            "year": year, "county_fips": fips, "county": name, "measure": measure.name,
            "value": value, "shown": value, "unit": measure.unit, "shown_unit": measure.unit,
            "is_withheld": False,
        }
        for year in (2024, 2025)
        for measure in MEASURES
        if measure.by_county
        for (fips, name), value in zip(COUNTIES.items(), (40.0, 90.0, None), strict=True)
    ]  # fmt: skip
    return framed(shared_frames.REACH_COUNTIES, pd.DataFrame(rows))
