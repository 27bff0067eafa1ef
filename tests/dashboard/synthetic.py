"""A published snapshot of an invented network: 24 gardens, a trial with one closed and one running season.

Everything but the outlines is made up, from a seed: the same seed gives the same frames. The closed
season's differences fall from west to east for the first treatment and stay level for the second, so
that what a page should show is known.
"""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

import numpy as np
import pandas as pd

from dashboard.data import Published
from pipeline.publish import frames
from tests.dashboard.answers import effects, gradient_frames, network
from tests.dashboard.framing import framed
from tests.dashboard.invented import (
    BLOCKS,
    CLOSED,
    GARDENS,
    NIGHT,
    RAMPS,
    RUNNING,
    STATES,
    TREATMENTS,
    TRIAL,
    TRUTH,
)
from tests.dashboard.public_frames import public_frames
from tests.dashboard.reach_frames import by_county, figures

OUTLINES = Path(__file__).with_name("outlines.csv")


@dataclass(frozen=True)
class SyntheticPublished:
    """A snapshot held in memory."""

    frames: dict[tuple[str, str | None, str | None], pd.DataFrame] = field(repr=False)
    id: int = 214
    published: datetime = datetime(2025, 8, 12, 7, 14)
    night: date = NIGHT
    run: int = 214

    def frame(self, name: str, trial: str | None = None, season: str | None = None) -> pd.DataFrame:
        """Return a frame by its name; without rows where the season has none."""
        declared = next(frame for frame in frames.FRAMES if frame.name == name)
        return self.frames.get((name, trial, season), declared.empty()).copy()

    def replacing(self, rows: pd.DataFrame, name: str, trial: str | None = None, season: str | None = None):
        """Return the same snapshot with another frame in one place."""
        return SyntheticPublished(
            self.frames | {(name, trial, season): rows}, self.id, self.published, self.night
        )


def ramp(share: float, stops: tuple[str, ...]) -> str:
    """Return the colour at a share of the way along the stops."""
    place = min(max(share, 0.0), 1.0) * (len(stops) - 1)
    first = min(int(place), len(stops) - 2)
    channels = [
        [int(stop[start : start + 2], 16) for start in (1, 3, 5)] for stop in (stops[first], stops[first + 1])
    ]
    mixed = (round(a + (b - a) * (place - first)) for a, b in zip(*channels, strict=True))
    return "#" + "".join(f"{value:02X}" for value in mixed)


def gardens() -> pd.DataFrame:
    """Return the registry's gardens, west to east."""
    rows = pd.DataFrame(
        GARDENS,
        columns=["site", "name", "kind", "county", "position_km", "across_km", "elevation_m", "texture"],
    ).sort_values("position_km")
    shares = rows["position_km"] / 650
    return framed(
        frames.GARDENS,
        rows.assign(
            status="active",
            county_fips=[f"20{index:03d}" for index in range(len(rows))],
            colour_light=[ramp(share, RAMPS[0]) for share in shares],
            colour_dark=[ramp(share, RAMPS[1]) for share in shares],
        ),
    )


def treatments() -> pd.DataFrame:
    """Return the treatments, control first."""
    rows = pd.DataFrame(TREATMENTS, columns=["treatment", "code", "label", "order"])
    return framed(frames.TREATMENTS, rows.assign(is_control=rows["order"] == 0))


def plots(seed: int, share: float) -> pd.DataFrame:
    """Return plots of a season of which `share` is over; two of them do not count."""
    random = np.random.default_rng(seed)
    records = []
    for site, _, _, _, km, *_ in GARDENS:
        level = (2.0 + 1.1 * km / 650) * np.exp(random.normal(0, 0.1)) * share
        lift = {name: west + east * km / 100 + random.normal(0, 0.05) for name, (west, east) in TRUTH.items()}
        for block in BLOCKS:
            for number, (treatment, *_) in enumerate(TREATMENTS):
                kilograms = level * np.exp(lift.get(treatment, 0.0) + random.normal(0, 0.1))
                mass = 150 * np.exp(random.normal(0, 0.06))
                records.append(
                    {
                        "site": site,
                        "block": block,
                        "plot": f"{block}{'abcdefgh'[number]}",
                        "treatment": treatment,
                        "plants": 4.0,
                        "pickings_expected": 16,
                        "pickings_received": int(random.integers(12, 17)),
                        "used": True,
                        "why_not": "",
                        "marketable_kg_per_plant": kilograms,
                        "marketable_fruits_per_plant": kilograms * 1000 / mass,
                        "mean_fruit_mass_g": mass,
                        "marketable_share": min(0.98, 0.86 + random.normal(0, 0.03)),
                        "early_kg_per_plant": kilograms * 0.3 * np.exp(random.normal(0, 0.1)),
                        "days_to_first_harvest": 58 + random.normal(0, 3),
                    }
                )
    rows = pd.DataFrame(records)
    unused = [
        (site, plot) in {("G08", "2b"), ("G17", "1c")}
        for site, plot in zip(rows["site"], rows["plot"], strict=True)
    ]
    rows.loc[unused, "used"] = False
    rows.loc[unused, "why_not"] = "two plants were lost before planting day"
    return framed(frames.PLOT_SEASONS, rows)


def attributes(seed: int) -> pd.DataFrame:
    """Return weather and soil of each garden: wetter and hotter in the east."""
    random = np.random.default_rng(seed)
    rows = gardens().merge(
        pd.DataFrame([(row[0], row[7]) for row in GARDENS], columns=["site", "texture"]), on="site"
    )
    share, count = rows["position_km"] / 650, len(rows)
    heat = 1350 + 420 * share + random.normal(0, 30, count)
    rain = 230 + 330 * share**1.15 + random.normal(0, 26, count)
    return framed(
        frames.ATTRIBUTES,
        rows.assign(
            degree_days_c=heat,
            degree_days_c_per_day=heat / 120,
            hot_days=np.round(24 - 9 * share + random.normal(0, 2.5, count)),
            warm_nights=np.round(np.maximum(4, 9 + 33 * share + random.normal(0, 3, count))),
            rain_mm=rain,
            rain_mm_per_day=rain / 120,
            days_estimated_share=random.uniform(0, 0.06, count),
            nearest_station_km=random.uniform(2, 40, count),
            weather_note="",
            ph=8.0 - 1.6 * share + random.normal(0, 0.1, count),
            organic_matter_pct=1.2 + 2 * share + random.normal(0, 0.1, count),
            soil_source="map unit",
        ),
    )


def garden_states(*, closed: bool) -> pd.DataFrame:
    """Return the state of each garden on the night."""
    records = []
    for site, *_ in GARDENS:
        state, reason, silent = (
            ("closed", "", 0) if closed else STATES.get(site, ("in step", "sent this week", 2))
        )
        records.append(
            {
                "site": site, "state": state, "reason": reason, "days_silent": silent,
                "last_sheet": NIGHT - timedelta(days=silent), "last_picking": NIGHT - timedelta(days=silent),
                "open_questions": int(state == "question"), "rows_held": {"G09": 2, "G10": 1}.get(site, 0),
                "pickings_expected": 144, "pickings_received": 144 - 9 * (silent // 3),
            }
        )  # fmt: skip
    return framed(frames.GARDEN_STATES, pd.DataFrame(records))


def weeks(seed: int) -> pd.DataFrame:
    """Return the running season week by week, from 2 June."""
    random = np.random.default_rng(seed)
    records = []
    for site, _, _, _, km, *_ in GARDENS:
        gap = {"G24": 3, "G05": 2, "G20": 1}.get(site, 0)
        for number in range(11):
            state = "missing" if gap == 0 and random.random() < 0.05 else "sent"
            if number < 3 + (km < 110):
                state = "early"
            elif number >= 11 - gap:
                state = "missing"
            elif site in {"G09", "G10"} and number == 10:
                state = "part"
            elif site == "G14" and number == 6:
                state = "absent"
            elif site == "G02":
                state = "early"
            records.append({"site": site, "week": date(2025, 6, 2) + timedelta(weeks=number), "state": state})
    return framed(frames.WEEKS, pd.DataFrame(records))


def harvest_curves(rows: pd.DataFrame, first: date, days: int) -> pd.DataFrame:
    """Return weight adding up on two picking days a week; late gardens stop early."""
    records = []
    totals = rows.groupby(["site", "treatment"])["marketable_kg_per_plant"].mean()
    for (site, treatment), total in totals.items():
        for day in range(0, days - STATES.get(str(site), ("", "", 0))[2], 4):
            grown = 1 / (1 + np.exp(-(day - days * 0.55) / (days * 0.14)))
            whole = 1 / (1 + np.exp(-(days - days * 0.55) / (days * 0.14)))
            records.append(
                {
                    "site": site, "treatment": treatment, "date": first + timedelta(days=day),
                    "marketable_kg_per_plant": total * grown / whole,
                }
            )  # fmt: skip
    return framed(frames.HARVEST_CURVES, pd.DataFrame(records))


def sentences(answer: pd.DataFrame) -> pd.DataFrame:
    """Return sentences for the closed season, by the numbers of its answer."""
    labels = {name: label for name, _, label, _ in TREATMENTS}
    records = []
    for row in answer.dropna(subset=["percent"]).to_dict("records"):
        about = {"outcome": row["outcome"], "treatment": row["treatment"], "language": "en"}
        label = labels[row["treatment"]]
        records += [
            about
            | {
                "place": "network",
                "sentence": f"{label} gave about {row['percent']:.0f} percent more than own-root.",
                "sure": f"The likely range is {row['percent_low']:.0f} to {row['percent_high']:.0f} percent "
                f"more ({row['gardens']} gardens, {row['plots']} plots).",
            },
            about
            | {
                "place": "gradient",
                "sentence": "The gain over own-root gets smaller toward the east."
                if row["treatment"] == "corvane"
                else "We cannot tell yet if the gain changes from west to east.",
                "sure": "It is about 26 percent at the western end and 7 percent at the eastern end."
                if row["treatment"] == "corvane"
                else "24 gardens.",
            },
            about
            | {
                "place": "compare",
                "sentence": f"{label} plants gave more than own-root plants in {row['gardens'] - 2} of "
                f"{row['gardens']} gardens.",
                "sure": "Three plots of each kind in every garden, four plants in each plot.",
            },
        ]
    return framed(frames.SENTENCES, pd.DataFrame(records))


def running_sentences() -> pd.DataFrame:
    """Return the running season's sentence: counts of states, no inference."""
    return framed(frames.SENTENCES,
        pd.DataFrame(
            [
                {
                    "outcome": "", "treatment": "", "place": "watch", "language": "en",
                    "sentence": "Sixteen gardens are in step tonight. Three are late and four need an "
                    "answer.",
                    "sure": "",
                }
            ]
        )
    )  # fmt: skip


def uploads() -> pd.DataFrame:
    """Return the data sheets of the last nights; 31 are new."""
    random = np.random.default_rng(5)
    sites = [row[0] for row in GARDENS]
    records = []
    for number in range(60):
        site = sites[number % len(sites)]
        held = {57: 2, 44: 1}.get(number, 0)
        refused = number == 51
        rows = 0 if refused else int(random.integers(20, 60))
        records.append(
            {
                "upload": 900 + number, "received": datetime(2025, 8, 11, 8) + timedelta(minutes=17 * number),
                "file": f"{site.lower()}-harvest.csv", "tab": "", "sheet": "harvest", "sites": site,
                "verdict": "refused" if refused else "taken in part" if held else "taken",
                "rows": rows, "used": rows - held, "held": held, "is_new": number >= 29,
            }
        )  # fmt: skip
    return framed(frames.UPLOADS, pd.DataFrame(records))


def trials() -> pd.DataFrame:
    """Return the closed and the running season."""
    common = {
        "trial": TRIAL, "title": "Tomato graft trial", "crop": "tomato", "crop_name": "tomato",
        "control": "own-root",
        "primary_outcome": "marketable_kg_per_plant", "gardens": 24, "plots": 216,
    }  # fmt: skip
    closed = {
        "season": CLOSED, "start": date(2024, 5, 10), "close": date(2024, 9, 30), "state": "closed",
        "pickings_expected": 3456, "pickings_received": 3290,
    }  # fmt: skip
    running = {
        "season": RUNNING, "start": date(2025, 5, 12), "close": date(2025, 9, 30), "state": "running",
        "pickings_expected": 1920, "pickings_received": 1651,
    }  # fmt: skip
    return framed(frames.TRIALS, pd.DataFrame([common | closed, common | running]))


def snapshot(seed: int = 7) -> SyntheticPublished:
    """Return the whole snapshot."""
    outlines = framed(frames.OUTLINES, pd.read_csv(OUTLINES, dtype={"outline": "str"}))
    last, now = plots(seed, 1.0), plots(seed + 1, 0.55)
    answer, so_far = effects(last, closed=True), effects(now, closed=False)
    place = attributes(seed)
    lines, bands = gradient_frames(answer, place)
    pooled = network(answer)
    by_season = {
        CLOSED: {
            "treatments": treatments(), "garden_states": garden_states(closed=True), "plot_seasons": last,
            "harvest_curves": harvest_curves(last, date(2024, 7, 1), 84), "attributes": place,
            "effects": answer,
            "network": pooled, "gradient": lines, "gradient_band": bands, "sentences": sentences(pooled),
            **public_frames(),
        },
        RUNNING: {
            "treatments": treatments(), "garden_states": garden_states(closed=False), "weeks": weeks(seed),
            "plot_seasons": now, "harvest_curves": harvest_curves(now, date(2025, 6, 23), 50),
            "effects": so_far,
            "attributes": attributes(seed + 1), "sentences": running_sentences(),
        },
    }  # fmt: skip
    held = {("gardens", None, None): gardens(), ("outlines", None, None): outlines}
    held |= {("reach", None, None): figures(), ("reach_counties", None, None): by_county()}
    held |= {("trials", None, None): trials(), ("uploads", None, None): uploads()}
    held |= {
        (name, TRIAL, season): rows for season, by_name in by_season.items() for name, rows in by_name.items()
    }
    published: Published = SyntheticPublished(held)
    return published
