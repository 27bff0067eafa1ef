"""What is kept of the gardens in question, as frames, and how a new row is related to it."""

from dataclasses import dataclass

import polars as pl


@dataclass(frozen=True)
class Kept:
    """What is kept of the gardens in question.

    `rows`: every row that was not left: row_id, state, key, site, sheet_id, line, sender, sent, chain (of the
    file that it came in; null for a row whose garden is not known), is_decided and the sheet's columns. Where
    a decision changed a row, key and values are those that were sent: a garden that sends its old value
    again has not changed anything.

    A row is in one of four states: it `counts`; it is `held` until mended; it `waits`, since somebody else
    sent another value for the same key; it is set `aside` by a decision.

    `heads`: site, chain, key, one row for each key of the newest file of each chain. `chains`: sheet_id,
    chain, every chain that a file has a part in.
    """

    rows: pl.DataFrame
    heads: pl.DataFrame
    chains: pl.DataFrame


def with_kinship(pairs: pl.DataFrame, continued: pl.DataFrame) -> pl.DataFrame:
    """Return pairs of a new and a kept row with `kinship`: 0 one chain, 1 one known sender, 2 neither.

    `pairs` has file, site and sender of the new row, chain and sender_before of the kept one.
    """
    chains = continued.select("file", "site", "chain", pl.lit(value=True).alias("continues"))
    joined = pairs.join(chains, on=["file", "site", "chain"], how="left", maintain_order="left")
    one_sender = (pl.col("sender") != "") & (pl.col("sender") == pl.col("sender_before"))
    kinship = pl.when(pl.col("continues")).then(0).when(one_sender).then(1).otherwise(2)
    return joined.with_columns(kinship.alias("kinship")).drop("continues")
