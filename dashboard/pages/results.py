"""Results: what the lead released, for everybody: one sentence, by county, with what it does not say."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from dash import html

from dashboard import data
from dashboard.address import Address
from dashboard.components.attributes import UNSEEN, attributes
from dashboard.components.choice import choice
from dashboard.components.figure import Rows, figure_frame
from dashboard.components.languages import languages
from dashboard.components.mark import key, stake
from dashboard.components.sentence import unbroken
from dashboard.components.states import nothing_yet
from dashboard.data import View
from dashboard.figures.response import reach, runs_out
from dashboard.figures.results import ResultRows, results_figure
from dashboard.figures.template import Screen
from dashboard.pages.page import Content, Page
from dashboard.selection import Selection
from dashboard.speech import Speech
from dashboard.wording.measures import OUTCOMES
from dashboard.wording.shared import RESULTS
from dashboard.wording.shared import RESULTS_WORDS as WORDS
from dashboard.words import GRADIENT_WORDS
from pipeline.publish.releases import Release
from pipeline.words import LANGUAGES, marked
from sites.errors import InputError

#: Counties with gardens that are named around the chosen one.
NEAREST = 4
#: Distances between the middles of counties are told in steps of so many kilometres.
AWAY_KM = 10
NOT_SAID = ("not_cause", "not_taste", "not_other", "not_place")
CAUTIONS = ("label", "food", "flood", "heat", "lead")
#: Directions from one county to another, from east on against the clock.
WINDS = (
    marked("east"),
    marked("northeast"),
    marked("north"),
    marked("northwest"),
    marked("west"),
    marked("southwest"),
    marked("south"),
    marked("southeast"),
)
_NOT_OUT = marked("This answer is not out, or not any more.")
_NO_TREATMENT = marked("There is no such treatment here.")
_NO_COUNTY = marked("There is no such county in this region.")


@dataclass(frozen=True)
class Asked:
    """What an address means here: a release, its answer for one treatment, and the reader's county."""

    release: Release
    about: dict[str, Any]
    answers: pd.DataFrame
    answer: dict[str, Any]
    counties: pd.DataFrame
    band: pd.DataFrame
    county: dict[str, Any] | None

    def said(self, language: str) -> dict[str, str]:
        """Return the night's sentence, how sure it is, and how it changes along the row, in a language."""
        return {name: str(self.answer[f"{name}_{language}"] or "") for name in ("sentence", "sure", "line")}

    @property
    def seen(self) -> pd.DataFrame:
        """The counties that have gardens, west to east."""
        return self.counties[self.counties["gardens"] > 0]


def asked(view: View, address: Address) -> Asked | None:
    """Return what an address means; None while nothing is released.

    Raises InputError where it names something that is not released.
    """
    standing = data.released(view)
    if not standing:
        return None
    trial, season = address.get("trial"), address.get("season")
    matching = [one for one in standing if trial in (None, one.trial) and season in (None, one.season)]
    if not matching:
        raise InputError(_NOT_OUT)
    release = matching[0]
    answers = data.public(view, release, "public_answer").sort_values("order")
    name = address.get("treatment") or answers["treatment"].iloc[0]
    if name not in set(answers["treatment"]):
        raise InputError(_NO_TREATMENT)
    counties, band = (
        frame[frame["treatment"] == name].reset_index(drop=True)
        for frame in (data.public(view, release, part) for part in ("public_counties", "public_band"))
    )
    own = counties[counties["county_fips"] == address.get("county")]
    if address.get("county") and own.empty:
        raise InputError(_NO_COUNTY)
    return Asked(
        release,
        data.public(view, release, "public_trial").iloc[0].to_dict(),
        answers,
        answers[answers["treatment"] == name].iloc[0].to_dict(),
        counties,
        band,
        own.iloc[0].to_dict() if len(own) else None,
    )


def narrow_down(view: View, selection: Selection) -> Selection:
    """Return the selection as it is, once what its address names is known to be released."""
    asked(view, selection.address)
    return selection


def build(view: View, selection: Selection, screen: Screen) -> Content:
    """Return the page."""
    speech = screen.speech
    found = asked(view, selection.address)
    if found is None:
        nothing = nothing_yet(speech(RESULTS.title), speech(RESULTS.nothing))
        return [_about_line("", selection.address, speech), *nothing]
    about = speech.of(
        WORDS,
        "about",
        title=found.about["title"],
        season=found.about["season"],
        gardens=speech.gardens(int(found.about["gardens"])),
        day=speech.long_day(found.release.released),
    )
    said = found.said(speech.language)
    line = [html.P(said["line"], className="lead-in")] if said["line"] else []
    return [
        _about_line(about, selection.address, speech),
        html.H1(unbroken(said["sentence"]), className="sentence answer", id="sentence"),
        html.P(said["sure"], className="lead-in"),
        *line,
        *_choices(view, found, selection.address, screen),
        html.Section(
            [_pick(found, selection.address, speech), _figure(found, selection.address, screen)],
            className="block",
        ),
        html.Section(
            [
                _near(found, screen),
                html.Div([*_list("not_said", NOT_SAID, speech), *_list("cautions", CAUTIONS, speech)]),
            ],
            className="block cols halves",
        ),
    ]


def _about_line(about: str, address: Address, speech: Speech) -> html.Div:
    """Return what the answer is of, and the choice of language."""
    words = html.P(about, className="small second", id="about")
    return html.Div([words, languages(address, speech)], className="about-line")


def _choices(view: View, found: Asked, address: Address, screen: Screen) -> list[Any]:
    """Return the choice of answer where several are out, and of treatment where several were compared."""
    parts = []
    standing = data.released(view)
    if len(standing) > 1:
        options = [
            (
                f"{one.trial} {one.season}",
                Address(address.path, {"trial": one.trial, "season": one.season}).href,
            )
            for one in standing
        ]
        parts.append(choice(screen.speech.of(WORDS, "answers"), options, standing.index(found.release)))
    if len(found.answers) > 1:
        names = found.answers["treatment"].tolist()
        treatments: list[tuple[Any, str]] = [
            ([key(int(order), screen.tokens), label], address.choosing(treatment=name).href)
            for name, order, label in zip(
                *(found.answers[column] for column in ("treatment", "order", "label")), strict=True
            )
        ]
        legend = screen.speech.of(WORDS, "treatments", control=found.answer["control"])
        parts.append(choice(legend, treatments, names.index(found.answer["treatment"])))
    return [html.Div(parts, className="bar")] if parts else []


def _pick(found: Asked, address: Address, speech: Speech) -> html.Div:
    """Return the choice of county, and what a new garden there should expect."""
    chosen = found.county["county_fips"] if found.county else ""
    by_name = found.counties.sort_values("county")
    options = [html.Option(speech.of(WORDS, "choose"), value="", selected=not chosen)] + [
        html.Option(name, value=fips, selected=fips == chosen)
        for fips, name in zip(by_name["county_fips"], by_name["county"], strict=True)
    ]
    form = html.Form(
        [
            html.Label(speech.of(WORDS, "county"), htmlFor="county", className="strong"),
            html.Select(options, id="county", name="county", key=chosen or "none"),
            html.Button(speech.of(WORDS, "show"), className="press", type="submit"),
        ],
        action=address.choosing(county=None).href,
        method="get",
        className="pick-form",
        **attributes(data_inside="yes"),
    )
    return html.Div(
        [form, html.Div(_expected(found, speech), role="status", className="lead-in")], className="pick"
    )


def _expected(found: Asked, speech: Speech) -> list[Any]:
    county = found.county
    if county is None:
        return []
    if pd.isna(county["expected_low"]):
        return [html.P(speech.of(WORDS, "expect_none"))]
    words = speech.of(
        WORDS, "expect", county=county["county"], percent=speech.more_or_less(county["expected"])
    )
    reach = speech.of(
        WORDS,
        "expect_range",
        low=speech.more_or_less(county["expected_low"]),
        high=speech.more_or_less(county["expected_high"]),
    )
    note = ""
    if county["basis"] != "line":
        why = "expect_beyond" if found.answer["is_slope_told"] else "expect_all"
        note = speech.of(WORDS, why, county=county["county"])
    return [html.P([html.B(words), " ", reach]), *([html.P(note, className="small second")] if note else [])]


def _figure(found: Asked, address: Address, screen: Screen) -> html.Figure:
    outcome, speech = OUTCOMES[found.about["outcome"]], screen.speech
    rows = ResultRows(
        found.seen.assign(colour=found.seen["colour_dark" if screen.paper == "dark" else "colour_light"]),
        found.band if found.answer["is_slope_told"] else _level(found),
        int(found.answer["order"]),
        (float(found.counties["middle_km"].min()), float(found.counties["middle_km"].max())),
        speech.of(
            WORDS,
            "figure",
            outcome=speech(outcome.title),
            treatment=found.answer["label"],
            control=found.answer["control"],
        ),
        found.county,
    )
    return figure_frame(
        results_figure(rows, screen),
        finding=speech.of(WORDS, "finding", sentence=found.said(speech.language)["sentence"]),
        caption=_caption(found, rows.line, speech),
        rows=Rows("results", "counties", address.choosing(lang=speech.language).query),
        speech=speech,
    )


def _caption(found: Asked, line: pd.DataFrame, speech: Speech) -> list[Any]:
    """Return what is seen, and what the marks mean."""
    above = int((found.seen["percent"] > 0).sum())
    counties = speech.counties(len(found.seen))
    seen = speech.of(WORDS, "seen", above=above, counties=counties, control=found.answer["control"])
    meaning = speech.of(WORDS, "caption" if line["new_low"].notna().all() else "caption_mean")
    cut = [" ", speech.of(GRADIENT_WORDS, "cut")] if runs_out(found.seen, reach(found.seen, line)) else []
    return [html.B(seen), " ", meaning, *cut]


def _level(found: Asked) -> pd.DataFrame:
    """Return the average over all gardens as a level line, where no change along the row can be told."""
    ends = [found.counties["middle_km"].min(), found.counties["middle_km"].max()]
    answer = found.answer
    values = {
        "percent": answer["percent"],
        "mean_low": answer["percent_low"],
        "mean_high": answer["percent_high"],
        "new_low": answer["new_low"],
        "new_high": answer["new_high"],
    }
    return pd.DataFrame({"at": ends} | {name: [value] * 2 for name, value in values.items()}, dtype="float64")


def _near(found: Asked, screen: Screen) -> html.Div:
    """Return the counties with gardens that are nearest to the reader's, or all of them west to east."""
    shown = found.seen
    if found.county:
        shown = shown.assign(
            away=np.hypot(
                shown["middle_km"] - found.county["middle_km"], shown["across_km"] - found.county["across_km"]
            )
        ).sort_values(["away", "county"])[:NEAREST]
    speech = screen.speech
    heads = [speech.of(WORDS, name) for name in ("near_head", "difference", "interval")]
    colour = "colour_dark" if screen.paper == "dark" else "colour_light"
    body = [
        html.Tr(
            [
                html.Th([stake(row[colour]), *_county_words(row, found, speech)], scope="row"),
                html.Td(speech.more_or_less(row["percent"]), className="n nowrap"),
                html.Td(speech.between(row["percent_low"], row["percent_high"]), className="n nowrap second"),
            ]
        )
        for row in shown.to_dict("records")
    ]
    head = html.Tr([html.Th(word, scope="col", className="n" if at else "") for at, word in enumerate(heads)])
    table = html.Table([html.Thead(head), html.Tbody(body)])
    return html.Div(
        [
            html.H2(speech.of(WORDS, "near" if found.county else "near_all"), id="near"),
            html.Div(
                table, className="scroll", role="region", tabIndex="0", **attributes(aria_labelledby="near")
            ),
        ]
    )


def _county_words(row: dict[str, Any], found: Asked, speech: Speech) -> list[Any]:
    gardens = speech.gardens(int(row["gardens"]))
    note = gardens
    if found.county and row["county_fips"] == found.county["county_fips"]:
        note = speech.of(WORDS, "own", gardens=gardens)
    elif found.county:
        away = _away(row, found.county)
        away["direction"] = speech(away["direction"])
        note = speech.of(WORDS, "away", gardens=gardens, **away)
    return [
        speech.county(row["county"]),
        html.Br(**UNSEEN),
        html.Span(note, className="small second unstressed"),
    ]


def _away(row: dict[str, Any], county: dict[str, Any]) -> dict[str, Any]:
    """Return how far and which way a county's middle lies from the reader's."""
    east, north = row["middle_km"] - county["middle_km"], row["across_km"] - county["across_km"]
    km = max(AWAY_KM, round(float(np.hypot(east, north)) / AWAY_KM) * AWAY_KM)
    return {"km": km, "direction": WINDS[round(float(np.degrees(np.arctan2(north, east))) / 45) % 8]}


def _list(heading: str, words: tuple[str, ...], speech: Speech) -> list[Any]:
    items = [html.Li(speech.of(WORDS, one)) for one in words]
    return [html.H2(speech.of(WORDS, heading)), html.Ul(items, className="plain")]


def counties(view: View, selection: Selection, trial: None) -> pd.DataFrame:
    """Return every county with gardens, west to east, with what a new garden there could expect."""
    del trial
    found = asked(view, selection.address)
    if found is None:
        raise InputError(RESULTS.nothing)
    columns = ["county", "axis_km", "treatment", "gardens", "percent", "percent_low", "percent_high"]
    return found.seen.sort_values(["axis_km", "county"])[
        [*columns, "expected", "expected_low", "expected_high"]
    ]


def language_of(view: View, address: Address) -> str:
    """Return the language asked for by the address, else by the reader's account or browser."""
    asked_for = address.get("lang")
    return asked_for if asked_for in LANGUAGES else view.account.language


PAGE = Page(
    "/results",
    RESULTS,
    "closed",
    narrow_down,
    build,
    {"counties": counties},
    has_row=False,
    speaks=language_of,
)
