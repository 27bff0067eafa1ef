"""The public frames of the invented network's closed season, and a store that holds and releases them."""

from datetime import date, datetime
from pathlib import Path

import pandas as pd

from pipeline.publish import shared_frames
from pipeline.publish.releases import Releases
from pipeline.publish.snapshot import FrameKey, publish
from pipeline.store.engine import open_store, writing
from pipeline.store.runs import start_run
from tests.dashboard.framing import framed
from tests.dashboard.invented import CLOSED, GARDENS, TREATMENTS, TRIAL

NOON = datetime(2025, 8, 12, 12)
#: Percent at the western end and change over 100 km, by treatment: the second does not change.
LINES = {"corvane": (26.0, -3.0), "tressel": (8.0, 0.0)}
EMPTY_COUNTY = ("20999", "Nowhere", 200.0, 0.0)


def counties() -> pd.DataFrame:
    """Return the gardens' counties, and one that has no garden."""
    gardens = pd.DataFrame(
        GARDENS, columns=["site", "name", "kind", "county", "position_km", "across_km", "elevation_m", "soil"]
    )
    seen = gardens.groupby("county").agg(
        middle_km=("position_km", "mean"), across_km=("across_km", "mean"), gardens=("site", "count")
    )
    seen = (seen / 5).round() * 5
    seen["gardens"] = gardens.groupby("county").size()
    rows = seen.sort_values("middle_km").reset_index()
    rows["county_fips"] = [f"20{index:03d}" for index in range(len(rows))]
    fips, name, middle, across = EMPTY_COUNTY
    rows.loc[len(rows)] = [name, middle, across, 0, fips]
    parts = []
    for treatment, (west, slope) in LINES.items():
        expected = west + slope * rows["middle_km"] / 100
        parts.append(
            rows.assign(
                treatment=treatment,
                axis_km=rows["middle_km"].where(rows["gardens"] > 0),
                colour_light="#717527",
                colour_dark="#B0C372",
                percent=(expected + 2).where(rows["gardens"] > 0),
                percent_low=expected - 20,
                percent_high=expected + 24,
                expected=expected,
                expected_low=expected - 9,
                expected_high=expected + 9,
                basis="line" if slope else "all gardens",
            )
        )
    return framed(shared_frames.PUBLIC_COUNTIES, pd.concat(parts, ignore_index=True))


def answers() -> pd.DataFrame:
    """Return the answer for each treatment."""
    rows = [
        {
            "treatment": name, "label": label, "order": order, "control": "own-root", "gardens": 24,
            "plots": 144, "percent": LINES[name][0] - 10, "percent_low": LINES[name][0] - 14,
            "percent_high": LINES[name][0] - 6, "new_low": LINES[name][0] - 25,
            "new_high": LINES[name][0] + 5, "line_gardens": 24, "slope_pct_per_100_km": LINES[name][1],
            "slope_exact_pct_per_100_km": LINES[name][1] - 0.2, "is_slope_told": LINES[name][1] != 0,
            "sentence_en": f"{label} gave about {LINES[name][0] - 10:.0f} percent more than own-root.",
            "sure_en": "The likely range is told.", "line_en": "It gets smaller toward the east.",
            "sentence_es": "", "sure_es": "", "line_es": "",
        }
        for name, _, label, order in TREATMENTS
        if order
    ]  # fmt: skip
    return framed(shared_frames.PUBLIC_ANSWER, pd.DataFrame(rows))


def public_frames() -> dict[str, pd.DataFrame]:
    """Return the four frames of the closed season."""
    about = {
        "trial": TRIAL, "season": CLOSED, "title": "Tomato graft", "crop_name": "tomato",
        "close": date(2024, 9, 30), "outcome": "marketable_kg_per_plant", "gardens": 24, "placed": 24,
        "counties": 17,
    }  # fmt: skip
    band = pd.concat(
        pd.DataFrame({"treatment": name, "at": [35.0, 645.0]}).assign(
            percent=lambda rows, west=west, slope=slope: west + slope * rows["at"] / 100,
            mean_low=lambda rows: rows["percent"] - 5,
            mean_high=lambda rows: rows["percent"] + 5,
            new_low=lambda rows: rows["percent"] - 9,
            new_high=lambda rows: rows["percent"] + 9,
        )
        for name, (west, slope) in LINES.items()
    )
    return {
        "public_trial": framed(shared_frames.PUBLIC_TRIAL, pd.DataFrame([about])),
        "public_answer": answers(),
        "public_counties": counties(),
        "public_band": framed(shared_frames.PUBLIC_BAND, band),
    }


def store_with_answer(folder: Path) -> Releases:
    """Return the releases of a store that holds the closed season's answer, which nobody released yet."""
    engine = open_store(f"sqlite:///{folder / 'longrow.db'}")
    with writing(engine) as connection:
        run = start_run(connection, NOON.date(), NOON)
    made = {FrameKey(name, TRIAL, CLOSED): frame for name, frame in public_frames().items()}
    publish(engine, run, NOON.date(), NOON, "invented", made)
    return Releases(engine, lambda: NOON)
