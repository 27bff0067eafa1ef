"""Two tags of a garden that traded places, as the planting sheet tells it against the map."""

import polars as pl

from pipeline.checks.lookup import looked_up_by_number


def with_swapped_tags(rows: pl.DataFrame) -> pl.DataFrame:
    """Return planting rows with `traded_with`, null where no plot shows the reverse of this one.

    It is the row of the plot that shows this one's treatment while this plot shows that one's. A plot trades
    with one other at most: with one of its own block rather than another's, then in the order of the map.
    """
    differing = rows.filter((pl.col("tag") != pl.col("in_ground")) & pl.col("plot_at").is_not_null())
    ordered = differing.sort("garden_at", "block_at", "plot_at", "row")
    free = ordered.unique("plot_at", keep="first", maintain_order=True)
    pairs = _pairs(free.select("row", "garden_at", "block_at", "tag", "in_ground").to_dicts())
    traded = pl.DataFrame(
        {"row": list(pairs), "traded_with": list(pairs.values())},
        schema={"row": pl.UInt32, "traded_with": pl.UInt32},
    )
    return looked_up_by_number(rows, traded, "row")


def _pairs(plots: list[dict[str, object]]) -> dict[object, object]:
    pairs: dict[object, object] = {}
    for same_block in (True, False):
        for one in plots:
            for two in plots:
                if one["row"] in pairs or two["row"] in pairs or one is two:
                    continue
                reverse = (one["tag"], one["in_ground"]) == (two["in_ground"], two["tag"])
                near = one["garden_at"] == two["garden_at"]
                if reverse and near and (one["block_at"] == two["block_at"] or not same_block):
                    pairs |= {one["row"]: two["row"], two["row"]: one["row"]}
    return pairs
