"""The comparison with a printed figure, on itself."""

import pytest
from printed_values import printed, within

pytestmark = pytest.mark.published


@pytest.mark.parametrize("value", [10.325, 10.33, 10.335])
def test_printed_accepts_half_a_unit_of_the_last_digit(value: float) -> None:
    assert value == printed("10.33")


@pytest.mark.parametrize("value", [10.3249, 10.3351, 10.3])
def test_printed_refuses_more_than_half_a_unit(value: float) -> None:
    assert value != printed("10.33")


def test_within_is_an_absolute_tolerance() -> None:
    assert within(100.0, 0.005) == 100.0049
    assert within(100.0, 0.005) != 100.0051
