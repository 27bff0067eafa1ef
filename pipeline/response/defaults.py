"""What is used where nobody asks for anything else, with the evidence for each choice.

The figures are of `tests/benchmarks/bench_coverage.py`: 44 kinds of network, 10,000 simulated networks of
each, 5 to 40 gardens of 2 to 4 blocks, a standard deviation of the true log ratio between gardens of 0, 0.1
or 0.3, plots with a coefficient of variation of 25 %, and in 8 of the kinds gardens that differ in it, in
yield and in blocks. "Lowest" is the worst kind. All intervals are meant to hold the truth 95 % of the time.
"""

from typing import Final

from pipeline.response.between_gardens import Method
from pipeline.response.error_variance import VarianceKind
from pipeline.response.intervals import Interval
from pipeline.response.prediction import Prediction

#: Restricted maximum likelihood: the usual choice, recommended for its bias and efficiency by Veroniki et
#: al. 2016, Research Synthesis Methods 7:55-79. The intervals hardly depend on it.
METHOD: Final[Method] = "reml"

#: Holds the mean 95.0 % of the time (lowest 94.3) and the slope 94.9 % (lowest 94.4). With the floor they
#: are held 96.5 and 96.7 % (highest 99.5), in intervals up to a fifth wider. A normal interval with each
#: garden's own variance holds them 89.6 and 90.6 % (lowest 80.6).
INTERVAL: Final[Interval] = "knapp-hartung"

#: Holds mean and slope as above, like the pooled variance (95.1 and 95.0 %, lowest 94.5), where each
#: garden's own holds them 90.8 and 91.9 % (lowest 84.4). Against the intervals that the true variances
#: would give, widths are equal where gardens are alike, and 1.19 times as wide in the median kind where
#: their coefficients of variation differ fivefold (pooled: 1.25). In the widest kind, 1.39, weights that
#: knew the exact distribution of the gardens' variances would still leave 1.34: more is not to be had from
#: two to four blocks.
VARIANCE: Final[VarianceKind] = "moderated"

#: Holds the effect in a new garden, where gardens differ and are ten or more, 94.9 % of the time (93.8 to
#: 96.7 over the kinds). The t form holds it 90.6 % of the time (lowest 85.9).
PREDICTION: Final[Prediction] = "bootstrap"

#: The level of all intervals.
LEVEL: Final = 0.95
