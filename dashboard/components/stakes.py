"""The stakes of the ruler: every garden at its kilometre, the names written over them, and their drawing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from sys import intern
from typing import NamedTuple
from urllib.parse import quote

import pandas as pd

from dashboard.components.mark import source_of_quoted
from dashboard.figures import crowd
from dashboard.figures.row import Row, name_places, name_width, row_over, stretch_around, ticks
from dashboard.figures.template import Tokens

#: Heights in the drawing under the names, pixels: where leaders start and bend, and the ground line.
LEADER_TOP, LEADER_BEND, STAKE_TOP, GROUND, FOOT = 0.0, 2.5, 8.0, 27.0, 40.0
#: In the narrow strip: where stakes start, the ground line, and the drawing's foot.
STRIP_TOP, STRIP_GROUND, STRIP_FOOT = 12, 30, 38
#: Gardens that the ruler links to; of a longer row, `NEAREST` around the chosen one and those out of step.
#: Every further part of a page slows the page down, and stakes so close together cannot be told apart anyway.
MOST_LINKS = 100
NEAREST = 40
#: Units across a drawing that is stretched to the row's width.
ACROSS = 1000.0
_STILL = 'vector-effect="non-scaling-stroke"'


class Stake(NamedTuple):
    """A garden as the ruler tells of it; the county is blank where none is known."""

    site: str
    name: str
    county: str
    position_km: float
    state: str
    colour: str


@dataclass(frozen=True)
class Ground:
    """What a drawing shows whichever garden is chosen.

    `scale` are its ticks, quoted for an address of data; `crowd` gardens too many to draw one by one, as an
    image of a style sheet, blank for a few.
    """

    scale: str
    crowd: str


@dataclass(frozen=True)
class Stakes:
    """What the ruler shows whichever garden is chosen: gardens that have a place, west to east.

    `places` says where in `gardens` each one is, `out_of_step` which of them want somebody. `name_px` are the
    pixels that a name takes, `grounds` the grounds of the wide (False) and the narrow drawing.
    """

    gardens: Sequence[Stake]
    row: Row
    places: Mapping[str, int]
    out_of_step: Sequence[int]
    counties: int
    name_px: float
    grounds: Mapping[bool, Ground]

    def place_of(self, site: str | None) -> int | None:
        """Return where in the row a garden is; None while none is chosen, or for one without a place."""
        return None if site is None else self.places.get(site)

    def near(self, chosen: str | None) -> range:
        """Return the gardens to link to: all, or of a long row those around the chosen one."""
        length = len(self.gardens)
        most = MOST_LINKS if length <= MOST_LINKS else NEAREST
        return stretch_around(self.place_of(chosen) or 0, length, most)

    def written(self, chosen: str | None, plot_width: float) -> list[int]:
        """Return the gardens that the ruler writes out by short name.

        All of them where they fit; else the chosen one and those whose state is not in step; where even
        these do not fit, the chosen one alone. The others keep their stake and their link.
        """
        room = plot_width / self.name_px + 1
        if len(self.gardens) <= room:
            return list(range(len(self.gardens)))
        place = self.place_of(chosen)
        alone = [] if place is None else [place]
        if len(self.out_of_step) > room:
            return alone
        noted = sorted({*alone, *self.out_of_step})
        return noted if len(noted) <= room else alone

    def names(self, written: Sequence[int], plot_width: float) -> dict[int, float]:
        """Return where the names of these gardens stand along the row, as fractions of its length.

        They keep clear of each other, and each is as near to its garden as that allows.
        """
        named = [self.gardens[at] for at in written]
        km = [garden.position_km for garden in named]
        places = name_places(km, [garden.site for garden in named], self.row, plot_width)
        return {at: self.row.fraction(place) for at, place in zip(written, places, strict=True)}


def stakes_of(gardens: pd.DataFrame, outlines: pd.DataFrame, tokens: Tokens) -> Stakes:
    """Return the stakes of a row of gardens."""
    placed = gardens.loc[gardens["position_km"].notna(), list(Stake._fields)]
    row = row_over(outlines, placed)
    columns = (placed[name].fillna("") if name == "county" else placed[name] for name in Stake._fields)
    # Thousands of gardens lie in some dozens of counties: a word that many share is kept once.
    shared = (map(intern, column) if column.dtype == "str" else column for column in columns)
    stakes = [Stake(*garden) for garden in zip(*shared, strict=True)]
    return Stakes(
        stakes,
        row,
        {stake.site: at for at, stake in enumerate(stakes)},
        [at for at, stake in enumerate(stakes) if stake.state != "in step"],
        placed["county"].nunique(),
        name_width(stake.site for stake in stakes),
        {is_narrow: _ground(placed, row, tokens, is_narrow=is_narrow) for is_narrow in (False, True)},
    )


def _ground(placed: pd.DataFrame, row: Row, tokens: Tokens, *, is_narrow: bool) -> Ground:
    scale = quote("".join((_strip_ticks if is_narrow else _ticks)(row, tokens)))
    return Ground(scale, _crowd(placed, row, is_narrow=is_narrow) if crowd.is_crowd(placed) else "")


def _crowd(placed: pd.DataFrame, row: Row, *, is_narrow: bool) -> str:
    """Return the drawing of the stakes of very many gardens."""
    top, ground, width = (STRIP_TOP, STRIP_GROUND, 1.5) if is_narrow else (STAKE_TOP, GROUND, 2.0)
    field = crowd.Field((row.low, row.high), (-ground, 0.0), round(ACROSS), round(ground), (0.0, 1.0))
    standing = placed.assign(ground=-ground)
    drawn = crowd.uprights(standing, "position_km", "ground", field, round(ground - top), width)
    return source_of_quoted(_sheet(quote(drawn), STRIP_FOOT if is_narrow else FOOT))


def _sheet(quoted: str, foot: float) -> str:
    """Return a drawing to be stretched sideways over the row, as in an address of data."""
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {ACROSS:.0f} {foot:.0f}" '
        'preserveAspectRatio="none" fill="none">'
    )
    return f"{quote(head)}{quoted}{quote('</svg>')}"


def _ticks(row: Row, tokens: Tokens) -> list[str]:
    """Return the ticks under the ground line, the longer the rounder the kilometre."""
    step = row.ticks()[1] - row.ticks()[0] if len(row.ticks()) > 1 else row.length
    parts = []
    for km in ticks(row.low, row.high, round(10 * row.length / step)):
        share = abs(km / step - round(km / step))
        long = 12 if share < 1e-6 else 8 if abs(share - 0.5) < 1e-6 else 4
        if km >= 0 or row.low >= 0:
            x = ACROSS * row.fraction(km)
            parts.append(f'<path d="M{x:.2f} {GROUND}v{long}" stroke="{tokens["ink3"]}" {_STILL}/>')
    return parts


def drawing(stakes: Stakes, names: Mapping[int, float], tokens: Tokens) -> str:
    """Return leaders to written names, stakes, ground line and ticks as quoted SVG; a crowd lies under it.

    `names` are the written gardens with the fraction of the row at which each one's name stands.
    """
    parts = []
    ground = stakes.grounds[False]
    for at in names if ground.crowd else range(len(stakes.gardens)):
        garden = stakes.gardens[at]
        x, colour = ACROSS * stakes.row.fraction(garden.position_km), garden.colour
        leader = f"M{ACROSS * names[at]:.2f} {LEADER_TOP}V{LEADER_BEND}L{x:.2f} {STAKE_TOP}" * (at in names)
        upright = f"M{x:.2f} {STAKE_TOP}V{GROUND}"
        parts.append(
            f'<path d="{leader}" stroke="{colour}" {_STILL}/>'
            f'<path d="{upright}" stroke="{tokens["paper"]}" stroke-width="6.4" {_STILL}/>'
            f'<path d="{upright}" stroke="{colour}" stroke-width="5" {_STILL}/>'
        )
    parts.append(f'<path d="M0 {GROUND}H{ACROSS}" stroke="{tokens["ink"]}" stroke-width="1.5" {_STILL}/>')
    return _sheet(ground.scale + quote("".join(parts)), FOOT)


def _strip_ticks(row: Row, tokens: Tokens) -> list[str]:
    """Return the narrow strip's ground line and its ticks."""
    at = [ACROSS * row.fraction(km) for km in ticks(row.low, row.high, 13) if km >= 0 or row.low >= 0]
    return [
        f'<path d="M0 {STRIP_GROUND}H{ACROSS}" stroke="{tokens["ink"]}" stroke-width="1.5" {_STILL}/>',
        *(f'<path d="M{x:.2f} {STRIP_GROUND}v6" stroke="{tokens["ink3"]}" {_STILL}/>' for x in at),
    ]


def strip_drawing(stakes: Stakes, chosen: str | None, tokens: Tokens) -> str:
    """Return the narrow screen's strip as quoted SVG: stakes on a ground line, the chosen one taller."""
    place, ground = stakes.place_of(chosen), stakes.grounds[True]
    alone = [] if place is None else [place]
    parts = []
    for at in alone if ground.crowd else range(len(stakes.gardens)):
        garden = stakes.gardens[at]
        x, top = ACROSS * stakes.row.fraction(garden.position_km), 5 if at == place else STRIP_TOP
        parts.append(
            f'<path d="M{x:.2f} {top}V{STRIP_GROUND}" stroke="{tokens["paper"]}" stroke-width="5" {_STILL}/>'
            f'<path d="M{x:.2f} {top}V{STRIP_GROUND}" stroke="{garden.colour}" stroke-width="3.6" {_STILL}/>'
        )
    return _sheet(ground.scale + quote("".join(parts)), STRIP_FOOT)
