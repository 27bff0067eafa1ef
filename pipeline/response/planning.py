"""How many gardens and blocks a trial needs, and what one garden alone can see."""

from dataclasses import asdict, dataclass
from typing import Any, Literal

import numpy as np

from pipeline.response.known_numbers import known
from pipeline.response.power import (
    blocked_variance,
    gardens_needed,
    least_significant_difference,
    mean_effect_se,
    minimum_detectable_difference,
    network_power,
    smallest_effect,
)
from pipeline.response.simulated_power import NETWORKS, simulated_power
from sites.errors import InputError

Method = Literal["formula", "simulation"]

#: From this many gardens on the noncentral t is trusted; below, the network is simulated.
FORMULA_FROM = 10

#: Fewest gardens of a plan: one cannot show how gardens differ.
FEWEST_GARDENS = 2

#: Blocks of a garden that says nothing else: four is the usual floor of on-farm trials (common practice, no
#: source).
USUAL_BLOCKS = 4

#: Plants of the plots whose coefficient of variation is usually known (common practice, no source).
USUAL_PLANTS = 5

#: Share of such plots' variance that comes from their plants, which more plants average out; the rest is
#: soil, shade and handling, which they share (common practice, no source).
SHARE_OF_PLANTS = 0.5

#: A power above this would be rounded to certainty.
SURE = 0.99

#: A coefficient of variation above this is taken for a percentage.
LARGEST_CV = 3.0

#: Numbers of gardens for which a plan tabulates the power.
TABULATED = (3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100)


@dataclass(frozen=True)
class NetworkPlan:
    """What so many gardens of so many blocks see.

    `power` is the chance of seeing the ratio asked for, by `method`; `smallest_ratio` the smallest that is
    seen with the power asked for, by formula; `mean_se` the standard error of the mean log ratio.
    """

    gardens: int
    blocks: int
    power: float
    method: Method
    mean_se: float
    smallest_ratio: float


@dataclass(frozen=True)
class OneGardenPlan:
    """What one garden alone can see, in percent of its mean; None with a single block, which has no error."""

    blocks: int
    least_significant_difference_pct: float | None
    minimum_detectable_difference_pct: float | None
    sentence: str


@dataclass(frozen=True)
class Plan:
    """A trial's size: the gardens needed, what doubling blocks or gardens would bring, and one garden alone.

    `plot_cv` is the coefficient of variation at the plants per plot asked for.
    """

    cv: float
    tau: float
    ratio: float
    plants: int | None
    plot_cv: float
    target_power: float
    alpha: float
    needed: NetworkPlan
    doubled_blocks: NetworkPlan
    doubled_gardens: NetworkPlan
    one_garden: OneGardenPlan
    table: tuple[NetworkPlan, ...]
    assumptions: tuple[str, ...]
    sentence: str

    def to_json(self) -> dict[str, Any]:
        """Return plain values; `gardens`, `blocks` and `power` of the plan needed stand at the top too."""
        plan = asdict(self)
        return {
            "gardens": self.needed.gardens,
            "blocks": self.needed.blocks,
            "power": self.needed.power,
        } | plan


@dataclass(frozen=True)
class _Trial:
    """The inputs that every network of one plan shares."""

    log_ratio: float
    cv: float
    tau: float
    power: float
    alpha: float
    seed: int

    def network(self, gardens: int, blocks: int) -> NetworkPlan:
        variance = float(blocked_variance(self.cv**2, blocks))
        tau2 = self.tau**2
        by_formula = gardens >= FORMULA_FROM
        if by_formula:
            power = float(network_power(self.log_ratio, gardens, variance, tau2, self.alpha))
        else:
            power = simulated_power(
                self.log_ratio, gardens, blocks, self.cv, self.tau, alpha=self.alpha, seed=self.seed
            )
        smallest = smallest_effect(gardens, variance, tau2, self.power, self.alpha)
        return NetworkPlan(
            gardens=gardens,
            blocks=blocks,
            power=power,
            method="formula" if by_formula else "simulation",
            mean_se=float(mean_effect_se(gardens, variance, tau2)),
            smallest_ratio=float(np.exp(np.copysign(smallest, self.log_ratio))),
        )

    def needed(self, blocks: int) -> NetworkPlan:
        for gardens in range(FEWEST_GARDENS, FORMULA_FROM):
            network = self.network(gardens, blocks)
            if network.power >= self.power:
                return network
        variance = float(blocked_variance(self.cv**2, blocks))
        gardens = gardens_needed(self.log_ratio, variance, self.tau**2, self.power, self.alpha)
        return self.network(max(gardens, FORMULA_FROM), blocks)


def plan(
    cv: float,
    tau: float,
    ratio: float,
    blocks: int = USUAL_BLOCKS,
    plants: int | None = None,
    power: float = 0.8,
    alpha: float = 0.05,
    *,
    share_of_plants: float = SHARE_OF_PLANTS,
    plants_of_cv: int = USUAL_PLANTS,
    seed: int = 1,
) -> Plan:
    """Return the gardens needed to see that the treatment yields `ratio` times the control, and the rest.

    `cv` is the coefficient of variation of plots within blocks, `tau` the standard deviation of gardens' true
    log ratios; shares are fractions. The mean log ratio over k gardens of b blocks has variance
    (tau2 + 2 cv2 / b) / k. From ten gardens on its power is by the noncentral t with k - 1 df
    (`network_power`), below by seeded simulation (`simulated_power`). With `plants` per plot the plots'
    variance becomes cv2 (1 - s + s x plants_of_cv / plants), s the `share_of_plants`. Raises InputError for
    values out of range.
    """
    _refuse_out_of_range(cv, tau, ratio, blocks, plants, power, alpha)
    _refuse_share(share_of_plants, plants_of_cv)
    plot_cv = cv * plants_factor(plants, share_of_plants, plants_of_cv)
    trial = _Trial(float(np.log(ratio)), plot_cv, tau, power, alpha, seed)
    needed = trial.needed(blocks)
    more_blocks = trial.network(needed.gardens, 2 * blocks)
    more_gardens = trial.network(2 * needed.gardens, blocks)
    return Plan(
        cv=cv,
        tau=tau,
        ratio=ratio,
        plants=plants,
        plot_cv=plot_cv,
        target_power=power,
        alpha=alpha,
        needed=needed,
        doubled_blocks=more_blocks,
        doubled_gardens=more_gardens,
        one_garden=one_garden(plot_cv, blocks, ratio, power, alpha),
        table=tuple(trial.network(gardens, blocks) for gardens in TABULATED),
        assumptions=_assumptions(plants, share_of_plants, plants_of_cv, seed),
        sentence=_sentence(needed, more_blocks, more_gardens, ratio),
    )


def plants_factor(
    plants: int | None, share_of_plants: float = SHARE_OF_PLANTS, plants_of_cv: int = USUAL_PLANTS
) -> float:
    """Return by how much another number of plants changes a plot's coefficient of variation; 1 for None."""
    if plants is None:
        return 1.0
    return float(np.sqrt(1.0 - share_of_plants + share_of_plants * plants_of_cv / plants))


def one_garden(
    cv: float, blocks: int, ratio: float, power: float = 0.8, alpha: float = 0.05
) -> OneGardenPlan:
    """Return what a garden with two treatments in `blocks` blocks sees by itself, with a sentence."""
    if blocks < 2:
        return OneGardenPlan(
            blocks, None, None, "One garden with a single block has no measure of its own error."
        )
    significant = 100.0 * float(least_significant_difference(cv, blocks, alpha=alpha))
    detectable = 100.0 * float(minimum_detectable_difference(cv, blocks, power=power, alpha=alpha))
    asked = 100.0 * abs(ratio - 1.0)
    verb = "can" if asked >= detectable else "cannot"
    sentence = (
        f"One garden with {blocks} blocks {verb} see a difference of {asked:.0f}% by itself: "
        f"it takes {detectable:.0f}% to be found {power:.0%} of the time."
    )
    return OneGardenPlan(blocks, known(significant), known(detectable), sentence)


def _refuse_out_of_range(
    cv: float, tau: float, ratio: float, blocks: int, plants: int | None, power: float, alpha: float
) -> None:
    checks = [
        (0 < cv <= LARGEST_CV, "cv", cv, "a fraction above 0, such as 0.25 for 25%"),
        (0 <= tau < np.inf, "tau", tau, "a standard deviation of log ratios, 0 or above, such as 0.15"),
        (
            0 < ratio < np.inf and ratio != 1,
            "ratio",
            ratio,
            "a ratio above 0 and not 1, such as 1.2 for 20% more",
        ),
        (blocks >= 1 and blocks == int(blocks), "blocks", blocks, "a whole number from 1 up"),
        (
            plants is None or (plants >= 1 and plants == int(plants)),
            "plants",
            plants,
            "a whole number from 1 up",
        ),
        (0 < alpha < 1, "alpha", alpha, "a fraction between 0 and 1, such as 0.05"),
        (alpha < power < 1, "power", power, "a fraction above alpha and below 1, such as 0.8"),
    ]
    for fits, name, value, wanted in checks:
        if not fits:
            raise InputError(f"{name} is {value}. Give {wanted}.")


def _refuse_share(share_of_plants: float, plants_of_cv: int) -> None:
    if not (0 <= share_of_plants <= 1 and plants_of_cv >= 1):
        raise InputError(
            "The plants' share of the plots' variance is between 0 and 1, for plots of 1 plant or more."
        )


def _assumptions(plants: int | None, share_of_plants: float, plants_of_cv: int, seed: int) -> tuple[str, ...]:
    assumed = [
        "Two treatments side by side in complete blocks, and no plot lost.",
        f"Below {FORMULA_FROM} gardens powers are simulated ({NETWORKS} networks, seed {seed}), "
        "from there on they follow the noncentral t.",
    ]
    if plants is not None:
        assumed.append(
            f"The coefficient of variation holds for plots of {plants_of_cv} plants, and differences between "
            f"plants make up {share_of_plants:.0%} of its square."
        )
    return tuple(assumed)


def _sentence(needed: NetworkPlan, more_blocks: NetworkPlan, more_gardens: NetworkPlan, ratio: float) -> str:
    more_or_less = "more" if ratio > 1 else "less"
    blocks = "one block" if needed.blocks == 1 else f"{needed.blocks} blocks"
    return (
        f"{needed.gardens} gardens with {blocks} each see {100 * abs(ratio - 1):.0f}% {more_or_less} yield "
        f"{_often(needed.power)} of the time; twice the blocks would make it {_often(more_blocks.power)}, "
        f"twice the gardens {_often(more_gardens.power)}."
    )


def _often(power: float) -> str:
    return "over 99%" if power > SURE else f"{power:.0%}"
