"""Gardens of a trial that lie too near to each other to be independent of one another."""

import pandas as pd

from pipeline.publish.place_frames import CLOSE_PAIRS
from pipeline.settings import Settings
from pipeline.words import LANGUAGES, translate
from sites.geography import too_close

#: Neighbours that are named of each garden, the nearest: in a network of thousands each has dozens.
NAMED = 3


def close_pairs_frame(gardens: pd.DataFrame, place: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Return the pairs of a trial's gardens nearer than the setting `close_km`, with words for each.

    A pair is kept where it is among the nearest three of one of its gardens. `place` are the attributes of
    the trial's gardens: those without usable coordinates are in no pair.
    """
    usable = place.loc[place["coordinates"] == "good", "site"]
    pairs = _nearest(too_close(gardens[gardens["site"].isin(usable)], settings.watch.close_km))
    names = gardens.set_index("site")["name"].to_dict()
    for language in LANGUAGES:
        said = translate(language).gettext("{one} and {other}, {distance} apart")
        pairs[f"said_{language}"] = [
            said.format(
                one=names[pair.site],
                other=names[pair.neighbour],
                distance=f"{pair.distance_km:.1f} km",
            )
            for pair in pairs.itertuples()
        ]
    return pairs.astype({f"said_{language}": "str" for language in LANGUAGES})[CLOSE_PAIRS.column_names]


def _nearest(pairs: pd.DataFrame) -> pd.DataFrame:
    """Return the pairs, nearest first, that are among the nearest few of one of their gardens."""
    both = pd.concat([pairs["site"], pairs["neighbour"]]).sort_index(kind="stable")
    few = both.groupby(both).cumcount() < NAMED
    return pairs[few.groupby(level=0).any()].reset_index(drop=True)
