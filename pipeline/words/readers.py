"""Which language a garden reads."""

import pandas as pd

from pipeline.words.translation import LANGUAGES


def garden_languages(gardens: pd.DataFrame, default: str) -> dict[str, str]:
    """Return the language of each garden of the registry: its own, else the network's.

    A region after the language, as in es-MX, makes no difference. A language that nothing is written in
    counts as none.
    """
    own = gardens["language"].fillna("").str.strip().str.lower().str.split("-").str[0]
    known = own.where(own.isin(LANGUAGES), default)
    return dict(zip(gardens["site"], known, strict=True))


def language_of(sites: set[str], languages: dict[str, str], default: str) -> str:
    """Return the language in which gardens are written to together: theirs if they share one."""
    spoken = {languages[site] for site in sites if site in languages}
    return spoken.pop() if len(spoken) == 1 else default
