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

OUTLINES = Path(__file__).with_name("outlines.csv")
TRIAL = "tomato-graft"
CLOSED, RUNNING = "2024", "2025"
NIGHT = date(2025, 8, 12)
#: site, name, kind, county, km along, km across, metres above the sea, topsoil
GARDENS = (
    ("G01", "Windbreak Yard", "community", "Sherman", 33.7, 92.6, 1118, "silt loam"),
    ("G02", "Plum Thicket Beds", "school", "Thomas", 90.5, 95.8, 966, "silt loam"),
    ("G03", "Switchgrass Corner", "community", "Finney", 102.1, -61.3, 868, "loam"),
    ("G04", "Second Ditch Garden", "park", "Finney", 103.6, -62.9, 865, "loam"),
    ("G05", "Tin Cup Patch", "library", "Seward", 93.8, -164.5, 871, "sandy loam"),
    ("G06", "Long Shadow Beds", "community", "Ford", 175.4, -87.4, 760, "loam"),
    ("G07", "Post Rock Garden", "school", "Ellis", 238.9, 35.9, 603, "silt loam"),
    ("G08", "Kettle Bottom Yard", "shared_yard", "Barton", 286.2, -20.6, 560, "loam"),
    ("G09", "Mill Pond Patch", "community", "Saline", 386.7, 30.6, 377, "clay loam"),
    ("G10", "Lantern Street Beds", "library", "Saline", 387.8, 32.2, 374, "silty clay loam"),
    ("G11", "Quiet Depot Garden", "school", "Cloud", 382.6, 112.4, 413, "silt loam"),
    ("G12", "Heron Lane Plots", "community", "Reno", 360.4, -55.5, 462, "loam"),
    ("G13", "Copper Bell Garden", "community", "Sedgwick", 412.1, -94.3, 402, "clay loam"),
    ("G14", "Kite String Beds", "school", "Sedgwick", 417.2, -92.4, 397, "clay loam"),
    ("G15", "Leaning Gate Patch", "shared_yard", "Sedgwick", 409.9, -98.9, 398, "clay loam"),
    ("G16", "Ember Row", "park", "Sedgwick", 420.1, -100.1, 384, "silty clay loam"),
    ("G17", "Stone Step Garden", "community", "Riley", 475.8, 72.0, 329, "silty clay loam"),
    ("G18", "Button Creek Plots", "school", "Lyon", 512.2, -14.0, 344, "silty clay"),
    ("G19", "Two Chairs Beds", "community", "Shawnee", 553.4, 57.1, 289, "silty clay loam"),
    ("G20", "Thimble Yard", "shared_yard", "Shawnee", 549.8, 54.4, 298, "silty clay loam"),
    ("G21", "Night Owl Garden", "library", "Douglas", 592.9, 49.8, 270, "silty clay loam"),
    ("G22", "Fiddle Row", "community", "Johnson", 641.0, 50.4, 262, "silty clay loam"),
    ("G23", "Ferry Landing Patch", "community", "Wyandotte", 642.1, 68.2, 256, "silty clay loam"),
    ("G24", "Slate Hollow Beds", "park", "Crawford", 645.5, -120.7, 283, "silt loam"),
)
#: name, code, label, order
TREATMENTS = (
    ("own-root", "C", "own-root", 0),
    ("corvane", "A", "Corvane stock", 1),
    ("tressel", "B", "Tressel stock", 2),
)
#: Log ratio at the western end, change per 100 km: the truth that the closed season is drawn from.
TRUTH = {"corvane": (0.24, -0.026), "tressel": (0.075, 0.0)}
OUTCOMES = {
    "marketable_kg_per_plant": 1.0,
    "marketable_fruits_per_plant": 0.8,
    "mean_fruit_mass_g": 0.2,
    "marketable_share": 0.05,
    "early_kg_per_plant": -0.4,
    "days_to_first_harvest": 0.1,
}
BLOCKS = ("1", "2", "3")
#: Garden to state tonight, and the line that says why.
STATES = {
    "G24": ("late", "19 days without a picking", 19),
    "G05": ("late", "12 days without a picking", 12),
    "G20": ("late", "9 days without a picking", 9),
    "G13": ("question", "a weight that does not fit", 1),
    "G18": ("question", "tags may be swapped", 3),
    "G09": ("held", "2 rows wait for the garden", 1),
    "G10": ("held", "1 row waits for the garden", 2),
    "G02": ("not yet picked", "planted late", 0),
}
#: Stops of a ramp from ochre in the west to blue-green in the east, on light and on dark paper.
RAMPS = (
    ("#B97C28", "#717527", "#066254", "#003F51"),
    ("#FFCD76", "#B0C372", "#54AE9D", "#3887A0"),
)


@dataclass(frozen=True)
class SyntheticPublished:
    """A snapshot held in memory."""

    frames: dict[tuple[str, str | None, str | None], pd.DataFrame] = field(repr=False)
    id: int = 214
    published: datetime = datetime(2025, 8, 12, 7, 14)
    night: date = NIGHT

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
    return frames.GARDENS.conform(
        rows.assign(
            status="active",
            county_fips=[f"20{index:03d}" for index in range(len(rows))],
            colour_light=[ramp(share, RAMPS[0]) for share in shares],
            colour_dark=[ramp(share, RAMPS[1]) for share in shares],
        )
    )


def treatments() -> pd.DataFrame:
    """Return the treatments, control first."""
    rows = pd.DataFrame(TREATMENTS, columns=["treatment", "code", "label", "order"])
    return frames.TREATMENTS.conform(rows.assign(is_control=rows["order"] == 0))


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
    return frames.PLOT_SEASONS.conform(rows)


def effects(rows: pd.DataFrame, *, closed: bool) -> pd.DataFrame:
    """Return each garden's difference from its plots; with intervals only where the season is closed."""
    places = {site: km for site, _, _, _, km, *_ in GARDENS}
    records = []
    for outcome in OUTCOMES:
        for (site,), garden in rows[rows["used"]].groupby(["site"]):
            means = garden.groupby("treatment")[outcome].agg(["mean", "std", "count"])
            for treatment in TRUTH:
                ratio = float(np.log(means.loc[treatment, "mean"] / means.loc["own-root", "mean"]))
                parts = (means["std"] ** 2 / (means["count"] * means["mean"] ** 2)).loc[
                    [treatment, "own-root"]
                ]
                variance = float(parts.sum()) if closed else np.nan
                half = 2.78 * np.sqrt(variance)
                records.append(
                    {
                        "outcome": outcome,
                        "treatment": treatment,
                        "site": site,
                        "position_km": places[site],
                        "mean_control": means.loc["own-root", "mean"],
                        "mean_treatment": means.loc[treatment, "mean"],
                        "blocks": len(BLOCKS),
                        "plots": int(means["count"].loc[[treatment, "own-root"]].sum()),
                        "log_ratio": ratio,
                        "log_ratio_variance": variance,
                        "percent": percent(ratio),
                        "percent_low": percent(ratio - half),
                        "percent_high": percent(ratio + half),
                        "variance_from": "garden" if closed else "none",
                    }
                )
    return frames.EFFECTS.conform(pd.DataFrame(records))


def percent(log_ratio: float) -> float:
    """Return a log ratio as percent more."""
    return float(np.expm1(log_ratio) * 100)


def line_through(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray, float]:
    """Return coefficients, their unscaled covariance and the residual variance of a straight line."""
    design = np.column_stack([np.ones(len(x)), x])
    coefficients, *_ = np.linalg.lstsq(design, y, rcond=None)
    residual = y - design @ coefficients
    return coefficients, np.linalg.inv(design.T @ design), float(residual @ residual / (len(x) - 2))


def gradient_frames(
    garden_effects: pd.DataFrame, attributes: pd.DataFrame
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return the lines through the differences along three axes, and their bands."""
    terms, bands = [], []
    for (outcome, treatment), rows in garden_effects.groupby(["outcome", "treatment"]):
        joined = rows.merge(attributes.drop(columns="position_km"), on="site")
        for axis in ("position_km", "degree_days_c", "rain_mm"):
            x, y = joined[axis].to_numpy(), joined["log_ratio"].to_numpy()
            coefficients, unscaled, variance = line_through(x, y)
            errors = np.sqrt(np.diag(unscaled) * variance)
            for term, value, error in zip(("intercept", axis), coefficients, errors, strict=True):
                terms.append(
                    {
                        "outcome": outcome, "treatment": treatment, "axis": axis, "term": term,
                        "coefficient": value,
                        "se": error, "df": 22.0, "ci_low": value - 2.07 * error,
                        "ci_high": value + 2.07 * error,
                        "p": 0.01, "tau2": variance, "r2": 0.4,
                    }
                )  # fmt: skip
            at = np.linspace(x.min(), x.max(), 50)
            design = np.column_stack([np.ones(50), at])
            mean = design @ coefficients
            spread = np.einsum("ij,jk,ik->i", design, unscaled, design) * variance
            edges = {"mean": 2.07 * np.sqrt(spread), "new": 2.07 * np.sqrt(spread + variance)}
            bands.append(
                pd.DataFrame(
                    {
                        "outcome": outcome,
                        "treatment": treatment,
                        "axis": axis,
                        "at": at,
                        "percent": np.expm1(mean) * 100,
                    }
                    | {
                        f"{name}_{end}": np.expm1(mean + sign * half) * 100
                        for name, half in edges.items()
                        for end, sign in (("low", -1), ("high", 1))
                    }
                )
            )
    return frames.GRADIENT.conform(pd.DataFrame(terms)), frames.GRADIENT_BAND.conform(pd.concat(bands))


def network(garden_effects: pd.DataFrame) -> pd.DataFrame:
    """Return the mean of the gardens' differences with its interval, unweighted."""
    records = []
    for (outcome, treatment), rows in garden_effects.groupby(["outcome", "treatment"]):
        ratio, spread, count = rows["log_ratio"].mean(), rows["log_ratio"].std(), len(rows)
        error = spread / np.sqrt(count)
        wide = 2.07 * np.hypot(error, spread)
        records.append(
            {
                "outcome": outcome, "treatment": treatment, "gardens": count,
                "plots": int(rows["plots"].sum()),
                "estimate": ratio, "se": error, "df": count - 1.0, "ci_low": ratio - 2.07 * error,
                "ci_high": ratio + 2.07 * error, "pi_low": ratio - wide, "pi_high": ratio + wide,
                "tau2": spread**2,
                "i2": 0.5, "q": 40.0, "q_p": 0.01, "percent": percent(ratio),
                "percent_low": percent(ratio - 2.07 * error), "percent_high": percent(ratio + 2.07 * error),
                "new_low_percent": percent(ratio - wide), "new_high_percent": percent(ratio + wide),
                "method": "mean", "interval": "t", "prediction": "t",
            }
        )  # fmt: skip
    return frames.NETWORK.conform(pd.DataFrame(records))


def attributes(seed: int) -> pd.DataFrame:
    """Return weather and soil of each garden: wetter and hotter in the east."""
    random = np.random.default_rng(seed)
    rows = gardens().merge(
        pd.DataFrame([(row[0], row[7]) for row in GARDENS], columns=["site", "texture"]), on="site"
    )
    share, count = rows["position_km"] / 650, len(rows)
    heat = 1350 + 420 * share + random.normal(0, 30, count)
    rain = 230 + 330 * share**1.15 + random.normal(0, 26, count)
    return frames.ATTRIBUTES.conform(
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
        )
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
    return frames.GARDEN_STATES.conform(pd.DataFrame(records))


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
    return frames.WEEKS.conform(pd.DataFrame(records))


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
    return frames.HARVEST_CURVES.conform(pd.DataFrame(records))


def sentences(answer: pd.DataFrame) -> pd.DataFrame:
    """Return sentences for the closed season, by the numbers of its answer."""
    labels = {name: label for name, _, label, _ in TREATMENTS}
    records = []
    for row in answer.to_dict("records"):
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
    return frames.SENTENCES.conform(pd.DataFrame(records))


def running_sentences() -> pd.DataFrame:
    """Return the running season's sentence: counts of states, no inference."""
    return frames.SENTENCES.conform(
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
    return frames.UPLOADS.conform(pd.DataFrame(records))


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
    return frames.TRIALS.conform(pd.DataFrame([common | closed, common | running]))


def snapshot(seed: int = 7) -> SyntheticPublished:
    """Return the whole snapshot."""
    outlines = frames.OUTLINES.conform(pd.read_csv(OUTLINES, dtype={"outline": "str"}))
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
        },
        RUNNING: {
            "treatments": treatments(), "garden_states": garden_states(closed=False), "weeks": weeks(seed),
            "plot_seasons": now, "harvest_curves": harvest_curves(now, date(2025, 6, 23), 50),
            "effects": so_far,
            "attributes": attributes(seed + 1), "sentences": running_sentences(),
        },
    }  # fmt: skip
    held = {("gardens", None, None): gardens(), ("outlines", None, None): outlines}
    held |= {("trials", None, None): trials(), ("uploads", None, None): uploads()}
    held |= {
        (name, TRIAL, season): rows for season, by_name in by_season.items() for name, rows in by_name.items()
    }
    published: Published = SyntheticPublished(held)
    return published
