"""A closed season's answer is worked out once, and taken from the last snapshot while it rests on the same.

What it rests on is all that `season_answer` is given, and the program itself. One mark over these stands in
the snapshot beside the answer; another mark, or none, means that it is worked out anew.
"""

import hashlib
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pandas as pd

from pipeline import response
from pipeline.publish import answer_frames as answers
from pipeline.publish.frame import Frame
from pipeline.publish.snapshot import PublishedSnapshot, to_bytes
from pipeline.response.season import SeasonAnswer
from pipeline.settings import Answer

#: The frames that an answer is made into, and can be made of again.
MADE_OF: tuple[Frame, ...] = (
    answers.EFFECTS,
    answers.NETWORK,
    answers.GRADIENT,
    answers.GRADIENT_BAND,
    answers.GRADIENT_CURVE,
    answers.ESTIMATES,
    answers.SENSITIVITY,
)

#: Libraries whose next version may give other last digits.
_LIBRARIES = ("numpy", "pandas", "scipy")


def answer_mark(plots: pd.DataFrame, place: pd.DataFrame, control: str, answer: Answer, primary: str) -> str:
    """Return a mark that changes with anything that a closed season's answer rests on.

    Arguments as for `season_answer`: rows of pickings and looks, plan and planting are in `plots`, attributes
    of sites in `place`.
    """
    digest = hashlib.sha256(_program())
    for frame in (plots, place):
        digest.update(to_bytes(frame))
    digest.update(repr((control, primary, answer.model_dump_json())).encode())
    return digest.hexdigest()


def kept_answer(before: PublishedSnapshot | None, trial: str, season: str, mark: str) -> SeasonAnswer | None:
    """Return the answer of the last snapshot if it rests on the same, else None."""
    if before is None:
        return None
    basis = before.frame(answers.ANSWER_BASIS.name, trial, season)
    if basis["mark"].tolist() != [mark]:
        return None
    frames = {frame.name: before.frame(frame.name, trial, season) for frame in MADE_OF}
    of_line = ["outcome", "treatment", "axis"]
    return SeasonAnswer(
        effects=_parts(frames["effects"], ["outcome"]),
        network=_rows(frames["network"]),
        gradient=_rows(frames["gradient"]),
        bands=_parts(frames["gradient_band"], of_line),
        curves=_parts(frames["gradient_curve"], of_line),
        estimates=_parts(frames["estimates"], of_line),
        sensitivity=_rows(frames["sensitivity"]),
    )


@cache
def _program() -> bytes:
    """Return a mark over the code that estimates, the columns it fills, and the libraries beneath."""
    digest = hashlib.sha256(repr((MADE_OF, [version(name) for name in _LIBRARIES])).encode())
    for path in sorted(Path(response.__file__).parent.glob("*.py")):
        digest.update(path.read_bytes())
    return digest.digest()


def _parts(frame: pd.DataFrame, by: list[str]) -> list[pd.DataFrame]:
    return [part for _, part in frame.groupby(by, sort=False)]


def _rows(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """Return rows as `season_answer` has them: what is missing is None."""
    return frame.astype(object).where(frame.notna(), None).to_dict("records")
