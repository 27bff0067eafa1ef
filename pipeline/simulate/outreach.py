"""Work days and events of an invented garden, as its outreach sheet tells them."""

from datetime import date, timedelta

import numpy as np

from pipeline.simulate.sheets import Style, written_date, written_weight

COLUMNS = (
    "site",
    "date",
    "activity",
    "volunteers",
    "hours",
    "hours_kind",
    "contacts",
    "contact_kind",
    "intend_to_adopt",
    "donated_weight",
    "note",
)
#: Share of gardens that never send this sheet, as in most networks a few do not.
SILENT = 0.15
#: Days from one work day to the next, lowest and highest.
APART = (9, 24)


def outreach_header(style: Style) -> list[str]:
    """Return the column names as the garden writes them; its unit stands in the header."""
    named = {
        "site": "Site",
        "date": "Date",
        "activity": "Activity",
        "volunteers": "Volunteers",
        "hours": "Hours",
        "hours_kind": "Hours kind",
        "contacts": "Contacts",
        "contact_kind": "Contact kind",
        "intend_to_adopt": "Intend to adopt",
        "donated_weight": f"Donated ({style.unit})",
        "note": "Note",
    }
    return [named[name] for name in COLUMNS]


def outreach_rows(
    site: str, year: int, until: date | None, style: Style, rng: np.random.Generator
) -> list[list[str]]:
    """Return the rows of a garden's year until a day; none for a garden that never sends this sheet."""
    if rng.random() < SILENT:
        return []
    size = rng.uniform(2.5, 9.0)
    rows = []
    day = date(year, 3, 20) + timedelta(days=int(rng.integers(0, 20)))
    while day < date(year, 10, 25):
        cells = (
            _event(site, day, size, style, rng)
            if rng.random() < 0.18
            else _work_day(site, day, size, style, rng)
        )
        if until is None or day <= until:
            rows.append([cells[name] for name in COLUMNS])
        day += timedelta(days=int(rng.integers(*APART)))
    return rows


def _work_day(site: str, day: date, size: float, style: Style, rng: np.random.Generator) -> dict[str, str]:
    people = int(rng.poisson(size)) + 1
    hours = round(people * rng.uniform(1.5, 3.5) * 2) / 2
    learning = rng.random() < 0.12
    picked = date(day.year, 7, 5) <= day <= date(day.year, 10, 10)
    kilograms = float(rng.gamma(4.0, 3.0)) if picked and rng.random() < 0.7 else 0.0
    return dict.fromkeys(COLUMNS, "") | {
        "site": site,
        "date": written_date(day, style),
        "activity": "class" if learning else "work day",
        "volunteers": str(people),
        "hours": f"{hours:g}",
        "hours_kind": "learning" if learning else "service",
        "contacts": str(int(rng.poisson(4))),
        "contact_kind": "direct",
        "donated_weight": written_weight(kilograms, style) if kilograms else "",
    }


def _event(site: str, day: date, size: float, style: Style, rng: np.random.Generator) -> dict[str, str]:
    people = int(rng.poisson(size / 2)) + 1
    contacts = int(rng.poisson(22))
    return dict.fromkeys(COLUMNS, "") | {
        "site": site,
        "date": written_date(day, style),
        "activity": "open garden",
        "volunteers": str(people),
        "hours": f"{people * 2}",
        "hours_kind": "service",
        "contacts": str(contacts),
        "contact_kind": "direct",
        "intend_to_adopt": str(int(rng.binomial(contacts, 0.15))),
    }
