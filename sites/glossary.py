"""The glossary: what every attribute of a garden and season means, its unit, method and source."""

from pathlib import Path

import pandas as pd

#: The glossary that ships with the package.
GLOSSARY = Path(__file__).parent / "data" / "glossary.csv"


def read_glossary() -> pd.DataFrame:
    """Return the glossary, indexed by name: kind, label_en, label_es, unit, meaning, method, source.

    A kind is one of text, number, date and flag; only numbers have a unit. Labels are short enough for an
    axis.
    """
    return pd.read_csv(GLOSSARY, dtype=str, keep_default_na=False).set_index("name")
