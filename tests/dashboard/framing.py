"""Rows as a frame of the snapshot, whatever columns the night has come to add since."""

import pandas as pd

from pipeline.publish.frames import Frame


def framed(frame: Frame, rows: pd.DataFrame) -> pd.DataFrame:
    """Return the rows with every column of the frame; one that they lack is missing throughout."""
    return frame.conform(rows.reindex(columns=frame.column_names))
