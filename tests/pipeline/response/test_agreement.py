import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pipeline.response.agreement import agreement
from sites.errors import InputError

SCORES = st.lists(st.floats(0, 100), min_size=5, max_size=30)


def test_scores_that_are_always_the_same_agree_wholly():
    found = agreement([0, 5, 10, 40, 80], [0, 5, 10, 40, 80])
    assert (found.pairs, found.mean_difference, found.largest_difference) == (5, 0.0, 0.0)
    assert found.concordance == pytest.approx(1.0)


def test_a_person_who_always_says_more_agrees_less_though_the_ranking_is_the_same():
    # Lin 1989: the coefficient is the correlation (here 1) times 2 / (v + 1/v + u^2), v the ratio of the
    # standard deviations (here 1), u the shift of the means over their geometric mean.
    one = np.array([0.0, 5, 10, 40, 80])
    found = agreement(one, one + 10)
    assert found.concordance == pytest.approx(2 / (2 + 100 / one.var()))
    assert found.mean_difference == pytest.approx(10)


@given(SCORES, st.randoms(use_true_random=False))
def test_concordance_is_never_above_the_correlation_and_does_not_ask_who_is_first(one, random):
    other = [score + random.uniform(-5, 5) for score in one]
    found, turned = agreement(one, other), agreement(other, one)
    if np.std(one) > 1e-3 and np.std(other) > 1e-3:
        assert abs(found.concordance) <= abs(np.corrcoef(one, other)[0, 1]) + 1e-9
        assert found.concordance == pytest.approx(turned.concordance)


def test_a_few_pairs_have_differences_and_no_concordance():
    found = agreement([1, 2], [2, 4])
    assert found.mean_difference == pytest.approx(1.5)
    assert np.isnan(found.concordance)


def test_no_pairs_are_no_pairs():
    assert agreement([], []).pairs == 0


def test_scores_with_blanks_are_refused():
    with pytest.raises(InputError, match="without blanks"):
        agreement([1.0, np.nan], [1.0, 2.0])
