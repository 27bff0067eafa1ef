"""What a trial may be about."""

from pipeline.response.outcomes import BY_NAME, PRIMARY
from sites.registry import OUTCOME_NAMES


def test_a_trial_may_name_every_outcome_and_no_other():
    assert tuple(BY_NAME) == OUTCOME_NAMES
    assert OUTCOME_NAMES[0] == PRIMARY
