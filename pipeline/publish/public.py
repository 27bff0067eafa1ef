"""What everybody may see of a closed season: the answer over places that are rounded once and for ever.

The line along the axis and everything by county are worked out from the rounded places, so that others can
reproduce what is printed; how far the line moves by the rounding is kept beside it.
"""

from typing import Any

import numpy as np
import pandas as pd

from pipeline.publish import shared_frames as shared
from pipeline.publish.colour import ROW_DARK, ROW_LIGHT, place_colours
from pipeline.publish.place import KnownPlaces
from pipeline.publish.public_places import public_places_frame
from pipeline.publish.sentences import Interval, gradient_sentence, network_sentence, steepest_flat
from pipeline.response.gradient import Gradient, gradient
from pipeline.response.season import FEWEST_FOR_A_LINE, SeasonAnswer
from pipeline.surroundings import Surroundings
from pipeline.words import LANGUAGES
from pipeline.workspace import Workspace
from sites.geography import plane_km

#: Step of everything public along and across the axis, in kilometres; that of `sites.geography.public_place`.
STEP_KM = 5.0
#: Half the width of a 95 % interval of a normal mean, in standard errors.
REACH = 1.959964


def public_frames(
    workspace: Workspace,
    surroundings: Surroundings,
    known: KnownPlaces,
    trial: Any,
    found: SeasonAnswer,
    treatments: pd.DataFrame,
) -> dict[str, pd.DataFrame]:
    """Return the public frames of one closed trial and season; none where its primary outcome has no answer.

    A garden that agreed to be hidden counts in the mean over all gardens and in nothing that has a place.
    """
    outcome = trial.primary_outcome
    answers = [row for row in found.network if row["outcome"] == outcome]
    if not answers:
        return {}
    effects = pd.concat(found.effects, ignore_index=True)
    effects = _placed(known.public, effects[effects["outcome"] == outcome])
    labels = treatments.set_index("treatment")
    control = str(labels.loc[trial.control, "label"])
    middles, margin = _middles(workspace, surroundings), workspace.settings.answer.margin_pct
    rows, counties, bands = [], [], []
    for answer in answers:
        name = answer["treatment"]
        own = effects[(effects["treatment"] == name) & effects["log_ratio"].notna()]
        line = _line(workspace, own)
        exact = [term for term in found.gradient if (term["outcome"], term["treatment"]) == (outcome, name)]
        rows.append(
            _answer(answer, line, exact, control)
            | {"treatment": name, "label": str(labels.loc[name, "label"]), "order": labels.loc[name, "order"]}
            | _sentences(answer, line, str(labels.loc[name, "label"]), control, margin)
        )
        counties.append(_counties(middles, own, answer, line).assign(treatment=name))
        if line is not None:
            bands.append(_band(line).assign(treatment=name))
    season = {
        "trial": trial.trial,
        "season": trial.season,
        "title": trial.trial.replace("-", " ").capitalize(),
        "crop_name": surroundings.crops["name_en"].get(trial.crop, trial.crop),
        "close": trial.close,
        "outcome": outcome,
        "gardens": effects["site"].nunique(),
        "placed": effects.loc[effects["county_fips"].notna(), "site"].nunique(),
        "counties": effects["county_fips"].nunique(),
    }
    by_county = pd.concat(counties, ignore_index=True)
    share = by_county["axis_km"].fillna(by_county["middle_km"]).to_numpy() / workspace.settings.axis.length_km
    return {
        "public_trial": pd.DataFrame([season]),
        "public_answer": pd.DataFrame(rows),
        "public_counties": by_county.assign(
            colour_light=place_colours(share, ROW_LIGHT), colour_dark=place_colours(share, ROW_DARK)
        ),
        "public_band": pd.concat(bands, ignore_index=True) if bands else shared.PUBLIC_BAND.empty(),
        "public_places": public_places_frame(workspace, surroundings, known, trial, effects["site"]),
    }


def _placed(places: pd.DataFrame, effects: pd.DataFrame) -> pd.DataFrame:
    """Return the effects with the county and position that the public may know, blank where it may not."""
    return effects.drop(columns="position_km").merge(
        places[["site", "county_fips", "axis_km"]], on="site", how="left", validate="many_to_one"
    )


def _middles(workspace: Workspace, surroundings: Surroundings) -> pd.DataFrame:
    """Return the counties of the region with their middles along and across the axis, rounded."""
    import shapely

    axis, counties = workspace.settings.axis, surroundings.counties
    middle = shapely.get_coordinates(shapely.point_on_surface(np.asarray(counties["geometry"], dtype=object)))
    along, across = plane_km(middle[:, 0], middle[:, 1], axis.origin, axis.centre, axis.azimuth_deg)
    return pd.DataFrame(
        {
            "county_fips": counties["geoid"].to_numpy(),
            "county": counties["name"].to_numpy(),
            "middle_km": np.round(along / STEP_KM) * STEP_KM,
            "across_km": np.round(across / STEP_KM) * STEP_KM,
        }
    ).sort_values(["middle_km", "county"], ignore_index=True)


def _line(workspace: Workspace, effects: pd.DataFrame) -> Gradient | None:
    """Return the line through the gardens that have a public place; None where they are too few for one."""
    known = effects[effects["axis_km"].notna()]
    along = known["axis_km"].to_numpy()
    if len(known) < FEWEST_FOR_A_LINE or np.ptp(along) == 0:
        return None
    how = workspace.settings.answer
    return gradient(
        known["log_ratio"].to_numpy(),
        known["log_ratio_variance"].to_numpy(),
        {"axis_km": along},
        how.method,
        how.interval,
        prediction=how.prediction,
    )


def _band(line: Gradient) -> pd.DataFrame:
    names = {
        "mean": "percent",
        "low": "mean_low",
        "high": "mean_high",
        "new_low": "new_low",
        "new_high": "new_high",
    }
    values = np.expm1(line.band[list(names)].rename(columns=names)) * 100
    return values.assign(at=line.band["axis"])


def _is_told(line: Gradient | None) -> bool:
    """Return whether the change along the axis can be told from none."""
    if line is None:
        return False
    slope = line.regression.terms[-1]
    return slope.ci_low is not None and slope.ci_high is not None and not slope.ci_low <= 0 <= slope.ci_high


def _answer(
    answer: dict[str, Any], line: Gradient | None, exact: list[dict[str, Any]], control: str
) -> dict[str, Any]:
    def per_100_km(coefficient: float | None) -> float | None:
        return None if coefficient is None else float(np.expm1(100 * coefficient) * 100)

    return {
        "control": control,
        **{name: answer[name] for name in ("gardens", "plots", "percent", "percent_low", "percent_high")},
        "new_low": answer["new_low_percent"],
        "new_high": answer["new_high_percent"],
        "line_gardens": None if line is None else len(line.gardens),
        "slope_pct_per_100_km": None if line is None else per_100_km(line.regression.terms[-1].coefficient),
        "slope_exact_pct_per_100_km": per_100_km(exact[-1]["coefficient"]) if exact else None,
        "is_slope_told": _is_told(line),
    }


def _sentences(
    answer: dict[str, Any], line: Gradient | None, label: str, control: str, margin: float | None
) -> dict[str, str]:
    """Return what the public reads, in both languages."""
    said: dict[str, str] = {}
    for language in LANGUAGES:
        likely = _interval(answer, "percent", "percent_low", "percent_high")
        new = _interval(answer, "percent", "new_low_percent", "new_high_percent")
        counts = answer["gardens"], answer["plots"]
        words = network_sentence(label, control, likely, new, *counts, language, margin)
        said[f"sentence_{language}"], said[f"sure_{language}"] = words.sentence, words.sure
        said[f"line_{language}"] = ""
        if line is not None:
            slope, band = line.regression.terms[-1], _band(line)
            ends = band["percent"]
            said[f"line_{language}"] = gradient_sentence(
                control,
                float(ends.iloc[0]),
                float(ends.iloc[-1]),
                slope.ci_low,
                slope.ci_high,
                len(line.gardens),
                language,
                steepest_flat(margin, float(np.ptp(band["at"]))),
            )
    return said


def _interval(answer: dict[str, Any], middle: str, low: str, high: str) -> Interval | None:
    if answer[low] is None or answer[high] is None:
        return None
    return Interval(answer[middle], answer[low], answer[high])


def _counties(
    middles: pd.DataFrame, effects: pd.DataFrame, answer: dict[str, Any], line: Gradient | None
) -> pd.DataFrame:
    """Return every county with the mean of its gardens, and what a new garden there should expect."""
    seen = effects[effects["county_fips"].notna()].groupby("county_fips")
    count, mean = seen["log_ratio"].count(), seen["log_ratio"].mean()
    # The plain mean of n gardens has the sum of their variances over n squared.
    error = np.sqrt(seen["log_ratio_variance"].sum(min_count=1)) / count
    own = pd.DataFrame(
        {
            "gardens": count,
            "axis_km": np.round(seen["axis_km"].mean() / STEP_KM) * STEP_KM,
            "percent": np.expm1(mean) * 100,
            "percent_low": np.expm1(mean - REACH * error) * 100,
            "percent_high": np.expm1(mean + REACH * error) * 100,
        }
    )
    table = middles.merge(own.rename_axis("county_fips").reset_index(), on="county_fips", how="left")
    table["gardens"] = table["gardens"].fillna(0).astype("Int64")
    table["expected"] = answer["percent"]
    table["expected_low"], table["expected_high"] = answer["new_low_percent"], answer["new_high_percent"]
    table["basis"] = "all gardens"
    if line is not None and _is_told(line):
        band = _band(line)
        at = table["middle_km"].to_numpy()
        # A line says nothing beyond its gardens.
        within = (at >= band["at"].min()) & (at <= band["at"].max())
        for column, edge in (
            ("expected", "percent"),
            ("expected_low", "new_low"),
            ("expected_high", "new_high"),
        ):
            along = np.interp(at, band["at"].to_numpy(), band[edge].to_numpy(dtype=float))
            table[column] = np.where(within, along, table[column].to_numpy(dtype=float))
        table.loc[within, "basis"] = "line"
    return table
