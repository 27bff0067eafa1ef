"""What gardens and the lead were told, so that each occasion is told once and not every night again."""

from collections.abc import Iterable
from datetime import date

import pandas as pd
import sqlalchemy as sa

from pipeline.store.read import read_frame
from pipeline.store.tables import told


def told_so_far(connection: sa.Connection) -> pd.DataFrame:
    """Return everything that was told: site, occasion, day, run_id."""
    return read_frame(connection, sa.select(*told.columns).order_by(told.c.run_id, told.c.site))


def remember(connection: sa.Connection, run: int, day: date, occasions: Iterable[tuple[str, str]]) -> None:
    """Keep what a run told, as pairs of garden and occasion; what was told before keeps its day."""
    wanted = set(occasions)
    known = {(row.site, row.occasion) for row in connection.execute(sa.select(told.c.site, told.c.occasion))}
    rows = [
        {"site": site, "occasion": occasion, "day": day, "run_id": run}
        for site, occasion in sorted(wanted - known)
    ]
    if rows:
        connection.execute(sa.insert(told), rows)
