"""Two findings about two rows of one picking are one question: the words at either line name both."""

from collections.abc import Sequence

import pandas as pd
import polars as pl

#: Checks that find two rows about one thing.
_OF_PAIRS = ("picking-twice-in-file",)


def without_mirrored(findings: pl.DataFrame, sheet: Sequence[str]) -> pl.DataFrame:
    """Return findings without those that say again, from the later line, what an earlier one says.

    `sheet` are the columns that tell one sheet from another. A finding whose earlier half is not among
    `findings` any more stays.
    """
    other = pl.col("details").str.json_path_match("$.other").cast(pl.Int64, strict=False)
    told = findings.with_row_index("at").with_columns(other.alias("other"), pl.col("line").cast(pl.Int64))
    pairs = told.filter(pl.col("check").is_in(_OF_PAIRS))
    earlier = pairs.select(*sheet, "check", pl.col("line").alias("other"))
    mirrored = pairs.filter(pl.col("other") < pl.col("line")).join(
        earlier, on=[*sheet, "check", "other"], how="semi", nulls_equal=True
    )
    return findings.filter(~told["at"].is_in(mirrored["at"].to_list()))


def one_of_each_pair(kept: pd.DataFrame) -> pd.DataFrame:
    """Return findings as they are kept (sheet_id, check, line, details) without mirrored ones."""
    if not kept["check"].isin(_OF_PAIRS).any():
        return kept
    whole = {name: kept[name].astype("Int64") for name in ("sheet_id", "line")}
    plain = pl.DataFrame(
        {
            "row": range(len(kept)),
            "check": kept["check"].to_list(),
            "details": kept["details"].to_list(),
            **{name: [None if pd.isna(one) else int(one) for one in of] for name, of in whole.items()},
        },
        schema_overrides=dict.fromkeys(whole, pl.Int64),
    )
    return kept.iloc[without_mirrored(plain, ["sheet_id"])["row"].to_list()].reset_index(drop=True)
