from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore.errors import InvalidInput
from hlbcore.rules.thickening import TEASPOON_ML, spoon_grams, spoons_for


def test_us_teaspoon_is_1_in_768_of_a_gallon_of_231_cubic_inches() -> None:
    assert pytest.approx(231 * 2.54**3 / 768, rel=1e-14) == TEASPOON_ML


# common practice, no source: 1/16 US teaspoon of xanthan to 10 oz of product. The bulk densities
# are those of other gum powders (Foods 10, 1387, Table 3), since none was found for xanthan.
def test_a_16th_teaspoon_of_gum_to_10_oz_is_a_trace_known_within_a_factor_of_5() -> None:
    spoon = spoon_grams(1 / 16)
    low, high = spoon.share_pct(10 * 28.349523125)
    assert (round(spoon.low_g, 3), round(spoon.high_g, 3)) == (0.049, 0.237)
    assert (round(low, 3), round(high, 3)) == (0.017, 0.084)
    assert high / low == pytest.approx(0.77 / 0.16)


# the range that follows from the densities, as grams in a whole teaspoon
def test_a_teaspoon_of_gum_powder_is_0_8_to_3_8_g() -> None:
    spoon = spoon_grams(1)
    assert (f"{spoon.low_g:.1f}", f"{spoon.high_g:.1f}") == ("0.8", "3.8")


def test_error_is_half_the_range_over_the_middle() -> None:
    assert spoon_grams(1, density_low=0.4, density_high=0.6).error_pct == pytest.approx(20)


def test_another_spoon_scales_the_mass() -> None:
    assert spoon_grams(2, spoon_ml=5, density_low=0.5, density_high=0.5).low_g == pytest.approx(5)


@given(grams=st.floats(1e-3, 1e3))
def test_spoons_for_a_mass_hold_that_mass(grams: float) -> None:
    fewest, most = spoons_for(grams)
    assert spoon_grams(fewest).high_g == pytest.approx(grams)
    assert spoon_grams(most).low_g == pytest.approx(grams)


@pytest.mark.parametrize(
    ("density_low", "density_high", "named"),
    [(0.0, 0.5, "too small"), (0.6, 0.5, "out of range"), (0.5, 30.0, "out of range")],
)
def test_bulk_density_that_cannot_be_is_named(density_low: float, density_high: float, named: str) -> None:
    with pytest.raises(InvalidInput, match=f"bulk density.*{named}"):
        spoon_grams(1, density_low=density_low, density_high=density_high)


def test_no_spoon_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"spoons.*too small"):
        spoon_grams(0)


def test_share_of_no_product_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"product.*too small"):
        spoon_grams(1).share_pct(0)
