"""Two findings about two rows of one picking are one question: the words at either line name both."""

import json
from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
import polars as pl

#: Checks that find two rows about one thing.
_OF_PAIRS = ("picking-twice-in-file",)


def mirrored(findings: Sequence[Mapping[str, Any]], sheet: Sequence[str]) -> set[int]:
    """Return at which places stand findings that say again, from the later line, what an earlier one says.

    `sheet` are the columns that tell one sheet from another; a blank is None. A finding whose earlier half is
    not among `findings` any more says nothing again.
    """
    pairs = [
        (at, (*(finding[name] for name in sheet), finding["check"]), finding["line"], _other(finding))
        for at, finding in enumerate(findings)
        if finding["check"] in _OF_PAIRS
    ]
    told = {(where, line) for _, where, line, _ in pairs}
    return {
        at
        for at, where, line, other in pairs
        if line is not None and other is not None and other < line and (where, other) in told
    }


def _other(finding: Mapping[str, Any]) -> int | None:
    """Return the line of the other row of a pair."""
    line: int | None = json.loads(finding["details"] or "{}").get("other")
    return line


def without_mirrored(findings: pl.DataFrame, sheet: Sequence[str]) -> pl.DataFrame:
    """Return findings without those that `mirrored` names."""
    pairs = findings.with_row_index("at").filter(pl.col("check").is_in(_OF_PAIRS))
    again = mirrored(pairs.select(*sheet, "check", "line", "details").to_dicts(), sheet)
    places = [place for at, place in enumerate(pairs["at"]) if at in again]
    return findings.filter(~pl.int_range(pl.len()).is_in(places))


def one_of_each_pair(kept: pd.DataFrame) -> pd.DataFrame:
    """Return findings as they are kept (sheet_id, check, line, details) without mirrored ones."""
    pairs = kept[kept["check"].isin(_OF_PAIRS)]
    known = pairs[["sheet_id", "check", "line", "details"]].astype("object")
    again = mirrored(known.where(known.notna(), None).to_dict("records"), ["sheet_id"])
    return kept.drop(index=pairs.index[sorted(again)]).reset_index(drop=True)
