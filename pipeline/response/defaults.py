"""What is used where nobody asks for anything else, with the evidence for each choice."""

from typing import Final

from pipeline.response.between_gardens import Method
from pipeline.response.error_variance import VarianceKind
from pipeline.response.intervals import Interval
from pipeline.response.prediction import Prediction

METHOD: Final[Method] = "reml"
INTERVAL: Final[Interval] = "knapp-hartung"
VARIANCE: Final[VarianceKind] = "moderated"
PREDICTION: Final[Prediction] = "bootstrap"
LEVEL: Final = 0.95
