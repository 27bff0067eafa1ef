"""What a plan starts from: the address where it says so, else what the closed season was like."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import pandas as pd

from dashboard import data
from dashboard.address import Address
from dashboard.data import TrialSeason, View
from dashboard.selection import Selection
from pipeline.response.next_garden import NextGarden, next_garden
from pipeline.response.planning import Plan, plan
from sites.errors import InputError

#: Usual values where no season is closed yet. Common practice, no source.
USUAL = {"gain": 20.0, "cv": 25.0, "tau": 10.0, "blocks": 3, "plants": 0, "power": 80.0}
#: The fields of the form, as an address names them.
FIELDS = ("gain", "cv", "tau", "blocks", "plants", "power")
#: Kilometres from one place to the next at which a new garden is tried.
STEP_KM = 10.0


@dataclass(frozen=True)
class Inputs:
    """What a trial should see, percent where nothing else is said; `closed` is the season it starts from."""

    gain: float
    cv: float
    tau: float
    blocks: int
    plants: int
    power: float
    closed: TrialSeason | None

    def planned(self) -> Plan:
        """Return the plan. Raises InputError for values out of range."""
        return _planned(
            self.cv / 100,
            self.tau / 100,
            1 + self.gain / 100,
            self.blocks,
            self.plants or None,
            self.power / 100,
        )


#: A plan simulates small networks for a second or two; the same inputs give the same plan, which is frozen.
_planned = lru_cache(maxsize=256)(plan)


def inputs_of(view: View, selection: Selection) -> Inputs:
    """Return the inputs that an address means. Raises InputError where one is no number."""
    closed = _closed(selection)
    known = dict(USUAL) | (_as_seen(view, closed) if closed else {})
    filled = {name: _number(selection.address, name, float(known[name])) for name in FIELDS}
    return Inputs(
        gain=filled["gain"],
        cv=filled["cv"],
        tau=filled["tau"],
        blocks=int(filled["blocks"]),
        plants=int(filled["plants"]),
        power=filled["power"],
        closed=closed,
    )


def _number(address: Address, name: str, usual: float) -> float:
    written = address.get(name)
    if written is None:
        return usual
    try:
        value = float(written.replace(",", "."))
    except ValueError:
        raise InputError(f"“{written[:20]}” is not a number. Write it in figures.") from None
    if not np.isfinite(value):
        raise InputError(f"“{written[:20]}” is not a number. Write it in figures.")
    return value


def _closed(selection: Selection) -> TrialSeason | None:
    """Return the newest closed season of the chosen trial, else of any."""
    closed = [one for one in selection.trials if one.is_closed]
    own = [one for one in closed if selection.trial and one.trial == selection.trial.trial]
    return next(iter(own or closed), None)


def _as_seen(view: View, closed: TrialSeason) -> dict[str, float]:
    """Return how plots and gardens varied in a closed season, in whole percent.

    A garden's contrast of b blocks has variance 2 cv2 / b, so the plots' coefficient of variation follows
    from the published variances.
    """
    network = data.of_season(view, "network", closed)
    of_primary = network[network["outcome"] == closed.primary_outcome]
    effects = data.of_season(view, "effects", closed)
    effects = effects[effects["outcome"] == closed.primary_outcome]
    cv = np.sqrt(effects["log_ratio_variance"] * effects["blocks"].astype("float64") / 2).median()
    tau = np.sqrt(of_primary["tau2"]).max()
    blocks = effects["blocks"].median()
    found = {"cv": 100 * cv, "tau": 100 * tau, "blocks": blocks}
    return {name: float(round(value)) for name, value in found.items() if pd.notna(value) and value > 0}


def gain_at(found: NextGarden, position_km: pd.Series) -> pd.Series:
    """Return how much narrower the slope's error gets with a garden at each place, percent."""
    known = found.options.sort_values("position_km")
    gains = np.interp(position_km, known["position_km"], known["narrower_pct"], left=np.nan, right=np.nan)
    return pd.Series(gains, index=position_km.index)


def best_places(view: View, closed: TrialSeason, low: float, high: float) -> NextGarden | None:
    """Return what one more garden at each place from `low` to `high` does to the slope, if there is one."""
    effects = data.of_season(view, "effects", closed)
    own = effects[effects["outcome"] == closed.primary_outcome].dropna(
        subset=["log_ratio_variance", "position_km"]
    )
    lines = data.of_season(view, "gradient", closed)
    line = lines[(lines["outcome"] == closed.primary_outcome) & (lines["axis"] == "position_km")]
    if own.empty or line.empty:
        return None
    treatment = line["treatment"].iloc[0]
    own = own[own["treatment"] == treatment]
    tau2 = float(line.loc[line["treatment"] == treatment, "tau2"].iloc[0])
    allowed = np.arange(np.ceil(low / STEP_KM) * STEP_KM, high + 1e-9, STEP_KM)
    return next_garden(own["position_km"], own["log_ratio_variance"], tau2, allowed)
