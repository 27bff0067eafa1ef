"""`longrow pool`, `answer`, `stability` and `plan`: answers from tables of one's own."""

from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from pipeline.commands.options import JsonOption
from pipeline.commands.printing import print_json, say
from pipeline.commands.tables import read_table

Method = Literal["reml", "paule-mandel", "dersimonian-laird"]
IntervalKind = Literal["knapp-hartung", "knapp-hartung-floor", "normal"]
PredictionKind = Literal["t", "bootstrap"]
VarianceKind = Literal["garden", "pooled", "moderated"]
EffectKind = Literal["ratio", "difference"]
ScaleKind = Literal["means", "log"]


def _option(name: str, meaning: str) -> Any:
    return typer.Option(name, help=meaning, show_default=False)


def _column(name: str, meaning: str) -> Any:
    return typer.Option(name, metavar="COL", help=meaning, show_default=False)


MethodOption = Annotated[Method | None, _option("--method", "Estimator of the variance between gardens.")]
IntervalOption = Annotated[IntervalKind | None, _option("--interval", "Kind of interval.")]
PredictionOption = Annotated[
    PredictionKind | None, _option("--prediction", "Kind of interval for a new garden.")
]
VarianceOption = Annotated[
    VarianceKind | None, _option("--variance", "Where the error within gardens comes from.")
]
GradientOption = Annotated[
    list[str] | None, _column("--gradient", "Column that the effect may change along; may be repeated.")
]
TableArgument = Annotated[Path, typer.Argument(metavar="FILE.csv", help="A CSV table with a header line.")]
SiteOption = Annotated[str, _column("--site", "Column of the gardens.")]
TreatmentOption = Annotated[str, _column("--treatment", "Column of the treatments.")]
ResponseOption = Annotated[str, _column("--response", "Column of what was measured in each plot.")]


def pool(
    file: TableArgument,
    effect: Annotated[str, _column("--effect", "Column of the effects, one row per garden.")],
    variance: Annotated[str, _column("--variance", "Column of their variances.")],
    gradient: GradientOption = None,
    method: MethodOption = None,
    interval: IntervalOption = None,
    prediction: PredictionOption = None,
    as_json: JsonOption = False,
) -> None:
    """Pool effects over gardens by a random-effects model, with a regression along gradients where asked."""
    from pipeline.response import defaults
    from pipeline.response.network import pool as pool_effects

    table = read_table(file, [], [effect, variance, *(gradient or [])])
    pooled = pool_effects(
        table[effect].to_numpy(),
        table[variance].to_numpy(),
        {name: table[name].to_numpy() for name in gradient} if gradient else None,
        method or defaults.METHOD,
        interval or defaults.INTERVAL,
        prediction=prediction or defaults.PREDICTION,
    )
    document = pooled.to_json()
    if as_json:
        print_json(document)
    else:
        _say_pooled(document)


def answer(
    file: TableArgument,
    site: SiteOption,
    treatment: TreatmentOption,
    control: Annotated[
        str, typer.Option("--control", metavar="LEVEL", help="The treatment to compare with.")
    ],
    response: ResponseOption,
    block: Annotated[
        str | None, _column("--block", "Column of the blocks; without it plots are independent.")
    ] = None,
    season: Annotated[
        str | None, _column("--season", "Column of the seasons, where gardens come back.")
    ] = None,
    gradient: GradientOption = None,
    effect: Annotated[
        EffectKind, typer.Option("--effect", help="Compare by ratio or by difference.")
    ] = "ratio",
    method: MethodOption = None,
    interval: IntervalOption = None,
    variance: VarianceOption = None,
    prediction: PredictionOption = None,
    scale: Annotated[
        ScaleKind, typer.Option("--scale", help="Ratio of means, or mean of log ratios within blocks.")
    ] = "means",
    as_json: JsonOption = False,
) -> None:
    """Say what each treatment did against the control: in each garden, over the network, along gradients."""
    from pipeline.commands.answer_document import answer_document
    from pipeline.response import defaults
    from pipeline.response.answer import How, trial_answer

    texts = [site, treatment, *(name for name in (block, season) if name)]
    plots = read_table(file, texts, [response, *(gradient or [])])
    how = How(
        effect,
        method or defaults.METHOD,
        interval or defaults.INTERVAL,
        variance or defaults.VARIANCE,
        prediction or defaults.PREDICTION,
        scale=scale,
    )
    found = trial_answer(
        plots,
        control,
        response,
        how,
        site=site,
        treatment=treatment,
        block=block,
        season=season,
        gradients=gradient or [],
    )
    document = answer_document(found, control, response)
    if as_json:
        print_json(document)
        return
    for each in document["network"]:
        say(each["sentence"])
    for left in document["left_out"]:
        say(f"Left out: {left['site']}: {left['why']}.")


def stability(
    file: TableArgument,
    site: SiteOption,
    treatment: TreatmentOption,
    response: ResponseOption,
    as_json: JsonOption = False,
) -> None:
    """Say how steadily each treatment yields over gardens: slope, deviations, variance, superiority."""
    from pipeline.response.stability import stability as stability_of

    plots = read_table(file, [site, treatment], [response])
    document = stability_of(plots, site=site, treatment=treatment, response=response).to_json()
    if as_json:
        print_json(document)
        return
    for each in document["treatments"]:
        say("  ".join(f"{name} {value}" for name, value in each.items() if value is not None))
    for name, why in document["unknown"].items():
        say(f"{name}: {why}")


def plan(
    cv: Annotated[float, typer.Option("--cv", help="Variation between plots, as a fraction such as 0.25.")],
    tau: Annotated[
        float, typer.Option("--tau", help="Spread of the log ratio between gardens, such as 0.1.")
    ],
    ratio: Annotated[
        float, typer.Option("--ratio", help="Yield over the control that should be seen, such as 1.2.")
    ],
    blocks: Annotated[int | None, _option("--blocks", "Blocks in each garden.")] = None,
    plants: Annotated[int | None, _option("--plants", "Plants in each plot.")] = None,
    power: Annotated[float, typer.Option("--power", help="How often it should be seen.")] = 0.8,
    alpha: Annotated[float, typer.Option("--alpha", help="How often it may be seen where it is not.")] = 0.05,
    as_json: JsonOption = False,
) -> None:
    """Say how many gardens and blocks a trial needs, and what one garden can see by itself."""
    from pipeline.response.planning import USUAL_BLOCKS
    from pipeline.response.planning import plan as plan_trial

    found = plan_trial(cv, tau, ratio, blocks or USUAL_BLOCKS, plants, power, alpha)
    if as_json:
        print_json(found.to_json())
    else:
        say(found.sentence)
        say(found.one_garden.sentence)


def _say_pooled(document: dict[str, Any]) -> None:
    for name, value in document.items():
        if name == "gradient" and value:
            for term in value["terms"]:
                say(f"{term['name']:>20}  {term['coefficient']:.6g}  se {term['se']}  p {term['p']}")
        elif not isinstance(value, dict) and value is not None:
            say(f"{name:>20}  {value}")


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    for command in (pool, answer, stability, plan):
        app.command()(command)
