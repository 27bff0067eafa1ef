"""The answers of the invented network, worked out from its plots in the plainest way."""

import numpy as np
import pandas as pd

from pipeline.publish import frames
from pipeline.response.outcomes import BY_NAME
from tests.dashboard.framing import framed
from tests.dashboard.invented import BLOCKS, GARDENS, OUTCOMES, TRUTH


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
                scale = BY_NAME[outcome].scale
                gap = float(means.loc[treatment, "mean"] - means.loc["own-root", "mean"])
                squares = (means["std"] ** 2 / means["count"]).loc[[treatment, "own-root"]]
                reach = 2.78 * np.sqrt(float(squares.sum())) if closed else np.nan
                is_ratio = scale == "ratio"
                records.append(
                    {
                        "scale": scale,
                        "difference": gap,
                        "difference_low": gap - reach,
                        "difference_high": gap + reach,
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
                        "percent": percent(ratio) if is_ratio else np.nan,
                        "percent_low": percent(ratio - half) if is_ratio else np.nan,
                        "percent_high": percent(ratio + half) if is_ratio else np.nan,
                        "variance_from": "garden" if closed else "none",
                    }
                )
    return framed(frames.EFFECTS, pd.DataFrame(records))


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
            is_ratio = BY_NAME[str(outcome)].scale == "ratio"
            x, y = joined[axis].to_numpy(), joined["log_ratio" if is_ratio else "difference"].to_numpy()
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
            about = {"outcome": outcome, "treatment": treatment, "axis": axis}
            bands.append(_band(x, coefficients, unscaled, variance, is_ratio=is_ratio).assign(**about))
    return framed(frames.GRADIENT, pd.DataFrame(terms)), framed(frames.GRADIENT_BAND, pd.concat(bands))


def _band(
    x: np.ndarray, coefficients: np.ndarray, unscaled: np.ndarray, variance: float, *, is_ratio: bool
) -> pd.DataFrame:
    """Return the line with the edges of both bands at 50 places over the range of the gardens."""
    at = np.linspace(x.min(), x.max(), 50)
    design = np.column_stack([np.ones(50), at])
    mean = design @ coefficients
    spread = np.einsum("ij,jk,ik->i", design, unscaled, design) * variance
    edges = {"mean": 2.07 * np.sqrt(spread), "new": 2.07 * np.sqrt(spread + variance)}
    lines = {"percent": mean} | {
        f"{name}_{end}": mean + sign * half
        for name, half in edges.items()
        for end, sign in (("low", -1), ("high", 1))
    }
    shown = {name: np.expm1(line) * 100 if is_ratio else line for name, line in lines.items()}
    return pd.DataFrame({"at": at, "scale": "ratio" if is_ratio else "difference"} | shown)


def network(garden_effects: pd.DataFrame) -> pd.DataFrame:
    """Return the mean of the gardens' differences with its interval, unweighted."""
    records = []
    for (outcome, treatment), rows in garden_effects.groupby(["outcome", "treatment"]):
        is_ratio = BY_NAME[str(outcome)].scale == "ratio"
        own = rows["log_ratio" if is_ratio else "difference"]
        ratio, spread, count = own.mean(), own.std(), len(rows)
        error = spread / np.sqrt(count)
        wide = 2.07 * np.hypot(error, spread)
        records.append(
            {
                "outcome": outcome, "treatment": treatment, "gardens": count,
                "plots": int(rows["plots"].sum()),
                "estimate": ratio, "se": error, "df": count - 1.0, "ci_low": ratio - 2.07 * error,
                "ci_high": ratio + 2.07 * error, "pi_low": ratio - wide, "pi_high": ratio + wide,
                "tau2": spread**2,
                "i2": 0.5, "q": 40.0, "q_p": 0.01, "scale": "ratio" if is_ratio else "difference",
                **_ends(ratio, 2.07 * error, wide, is_ratio=is_ratio),
                "method": "mean", "interval": "t", "prediction": "t",
            }
        )  # fmt: skip
    return framed(frames.NETWORK, pd.DataFrame(records))


def _ends(middle: float, half: float, wide: float, *, is_ratio: bool) -> dict[str, float]:
    """Return an answer and its ends as the frame of the network names them."""
    unit = "percent" if is_ratio else "difference"
    ends = {
        unit: middle,
        f"{unit}_low": middle - half,
        f"{unit}_high": middle + half,
        f"new_low_{unit}": middle - wide,
        f"new_high_{unit}": middle + wide,
    }
    return {name: percent(value) if is_ratio else value for name, value in ends.items()}
