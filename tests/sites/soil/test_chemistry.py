"""pH classes: Soil Survey Manual (USDA Handbook 18). Organic matter: van Bemmelen's factor, and Pribyl 2010
(Geoderma 156:75-83) on why it is too low."""

import numpy as np
import pytest

from sites.errors import InputError
from sites.soil import organic_matter_from_carbon, ph_class


@pytest.mark.parametrize(
    ("ph", "expected"),
    [
        (3.4, "ultra acid"),
        (3.5, "extremely acid"),
        (4.5, "very strongly acid"),
        (5.04, "very strongly acid"),
        (5.05, "strongly acid"),
        (5.6, "moderately acid"),
        (6.1, "slightly acid"),
        (6.5, "slightly acid"),
        (6.6, "neutral"),
        (7.3, "neutral"),
        (7.4, "slightly alkaline"),
        (7.9, "moderately alkaline"),
        (8.5, "strongly alkaline"),
        (9.0, "strongly alkaline"),
        (9.1, "very strongly alkaline"),
    ],
)
def test_ph_is_rounded_to_a_tenth_and_classed(ph, expected):
    assert ph_class(ph) == expected


def test_every_tenth_of_ph_has_a_class():
    classes = ph_class(np.arange(0, 141) / 10)
    assert None not in classes
    assert len(set(classes)) == 11


def test_a_missing_ph_has_no_class_and_an_impossible_one_is_refused():
    assert ph_class([6.5, np.nan]).tolist() == ["slightly acid", None]
    with pytest.raises(InputError, match="between 0 and 14"):
        ph_class(65)


def test_organic_matter_comes_from_carbon_by_a_named_factor():
    assert organic_matter_from_carbon(2.0) == pytest.approx(3.448, abs=0.001)
    assert organic_matter_from_carbon(2.0, factor=2.0) == pytest.approx(4.0)
