"""Sheets besides planting and harvest: deliveries, looks at the plants, work days, soil tests."""

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pandas as pd

from pipeline.simulate.sheets import Style, written_date

DELIVERY_COLUMNS = ("site", "date", "treatment", "received", "usable", "note")
CONDITION_COLUMNS = (
    *("site", "plot", "date", "alive", "height_cm", "severity_pct", "problem"),
    *("recorded_by", "note"),
)
OUTREACH_COLUMNS = (
    *("site", "date", "activity", "volunteers", "hours", "hours_kind", "contacts", "contact_kind"),
    *("intend_to_adopt", "donated_weight", "unit", "note"),
)
SOIL_COLUMNS = (
    *("site", "date", "bed", "bed_type", "depth_cm", "ph", "ph_in", "organic_matter_pct"),
    *("sand_pct", "silt_pct", "clay_pct", "lead_ppm", "lab", "note"),
)

#: Days from one look at the plants to the next, and how high they grow in the end, in centimetres.
_LOOK_DAYS, _FULL_HEIGHT_CM = 21, 95.0

_ACTIVITIES = ("work day", "tasting", "open garden")


def delivery_rows(
    site: str, codes: Sequence[str], plants: int, day: date, style: Style, rng: np.random.Generator
) -> list[list[str]]:
    """Return what arrived of each treatment, with a plant or two to spare and now and then one broken."""
    rows = []
    for code in codes:
        received = plants + 2
        usable = received - int(rng.random() < 0.2)
        rows.append([site, written_date(day, style), code, str(received), str(usable), ""])
    return rows


def condition_rows(
    site: str,
    plots: pd.DataFrame,
    planted: date,
    until: date,
    plants: int,
    style: Style,
    person: str,
    rng: np.random.Generator,
) -> list[list[str]]:
    """Return looks at every plot, three weeks apart: plants alive, height, share of the leaves sick."""
    vigour = np.exp(0.08 * rng.standard_normal(len(plots)))
    sickness = np.abs(rng.normal(2.0, 2.0, len(plots)))
    dies_at = np.where(rng.random(len(plots)) < 0.04, rng.integers(1, 5, len(plots)), 99)
    rows = []
    day, look = planted + timedelta(days=_LOOK_DAYS), 1
    while day <= until:
        grown = _FULL_HEIGHT_CM / (1 + np.exp(-0.06 * ((day - planted).days - 45)))
        for at, plot in enumerate(plots["plot"]):
            alive = plants - int(dies_at[at] <= look)
            severity = round(min(60.0, sickness[at] * (look - 1) ** 1.5))
            rows.append(
                [
                    site,
                    str(plot),
                    written_date(day, style),
                    str(alive),
                    f"{grown * vigour[at] * np.exp(0.04 * rng.standard_normal()):.0f}",
                    str(severity),
                    "leaf spots" if severity else "",
                    person,
                    "",
                ]
            )
        day, look = day + timedelta(days=_LOOK_DAYS), look + 1
    return rows


def outreach_rows(
    site: str, first: date, until: date, style: Style, rng: np.random.Generator
) -> list[list[str]]:
    """Return the work days and open days of a garden, about one a month."""
    rows = []
    day = first + timedelta(days=int(rng.integers(5, 25)))
    while day <= until:
        activity = str(rng.choice(_ACTIVITIES, p=[0.6, 0.2, 0.2]))
        volunteers = int(rng.integers(3, 12))
        contacts = int(rng.integers(6, 45)) if activity != "work day" else 0
        donated = f"{rng.uniform(3, 30):.1f}" if rng.random() < 0.4 else ""
        rows.append(
            [
                site,
                written_date(day, style),
                activity,
                str(volunteers),
                f"{volunteers * rng.uniform(1.5, 3.5):.1f}",
                "service",
                str(contacts) if contacts else "",
                "direct" if contacts else "",
                str(int(rng.binomial(contacts, 0.35))) if contacts else "",
                donated,
                "lb" if donated else "",
                "",
            ]
        )
        day += timedelta(days=int(rng.integers(21, 40)))
    return rows


def soil_rows(site: str, day: date, style: Style, rng: np.random.Generator) -> list[list[str]]:
    """Return one soil test of a garden."""
    sand = rng.uniform(15, 60)
    clay = rng.uniform(12, 30)
    return [
        [
            site,
            written_date(day, style),
            "1",
            "in ground",
            "15",
            f"{rng.uniform(6.3, 7.7):.1f}",
            "water",
            f"{rng.uniform(1.5, 4.5):.1f}",
            f"{sand:.0f}",
            f"{100 - round(sand) - round(clay)}",
            f"{clay:.0f}",
            f"{rng.uniform(12, 60):.0f}",
            "Laboratory 2",
            "",
        ]
    ]
