"""Which earlier file a file continues.

A garden usually keeps one sheet and sends the whole of it again. A file continues an earlier one of the
same garden and kind of sheet when it holds at least half of its keys. Files that continue each other make a
chain; only its newest file is a head that the next one is held against.
"""

import polars as pl

#: Share of an earlier file's keys from which on a file continues it. Common practice, no source: a sheet that
#: was cut in two by a volunteer still shares half of its rows.
SHARE = 0.5


def continued_heads(new: pl.DataFrame, heads: pl.DataFrame) -> pl.DataFrame:
    """Return which heads each part of a new file continues: file, site, chain, share.

    `new` has file, site and key of rows with a usable key; `heads` has site, chain and key, one row for each
    key of the newest file of a chain. A part may continue several chains: two people's sheets made one.
    """
    keys = new.select("file", "site", "key").drop_nulls().unique()
    sizes = heads.group_by("site", "chain").agg(pl.len().alias("size"))
    shared = (
        keys.join(heads, on=["site", "key"], how="inner")
        .group_by("file", "site", "chain")
        .agg(pl.len().alias("shared"))
    )
    share = (pl.col("shared") / pl.col("size")).alias("share")
    return (
        shared.join(sizes, on=["site", "chain"], how="inner")
        .select("file", "site", "chain", share)
        .filter(pl.col("share") >= SHARE)
        .sort("file", "site", "share", "chain", descending=[False, False, True, False])
    )


def lacking_keys(new: pl.DataFrame, heads: pl.DataFrame, continued: pl.DataFrame) -> pl.DataFrame:
    """Return the keys of continued files that the new file lacks: file, site, chain, key.

    Only a file that continues an earlier one can lack a row of it.
    """
    held_before = continued.select("file", "site", "chain").join(heads, on=["site", "chain"], how="inner")
    return held_before.join(new.select("file", "site", "key"), on=["file", "site", "key"], how="anti")
