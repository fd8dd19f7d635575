"""Few ladders of each kind; `ladder_coverage.py` runs all cells by hand."""

import pytest
from ladder_coverage import Cell, cell

pytestmark = pytest.mark.parametrize("noise", [0.1])


def few(shape: str, noise: float, vials: str = "7", kind: str = "numbers") -> Cell:
    return cell(shape, vials, noise, kind, 40)


@pytest.mark.parametrize("shape", ["bell", "lopsided, slow rise", "narrow"])
def test_plain_hump_is_answered_and_covered(shape: str, noise: float) -> None:
    # 60 of 100 and 90 of 100 are asked for; 40 ladders have a standard error of 8 and 5
    found = few(shape, noise)
    assert found.clear >= 0.5
    assert found.covered >= 0.85
    assert found.half <= 1.3


@pytest.mark.parametrize("shape", ["rising", "decaying", "flat"])
def test_course_without_hump_is_hardly_ever_called_clear(shape: str, noise: float) -> None:
    assert few(shape, noise).clear <= 0.1


def test_single_vials_of_a_flat_response_never_say_two_peaks(noise: float) -> None:
    assert few("flat", noise).two_peaks == 0


def test_second_ladder_read_together_narrows_the_interval(noise: float) -> None:
    one, both = few("bell", noise), few("bell", noise, "7+5")
    assert both.clear >= one.clear
    assert both.half < one.half
    assert both.covered >= 0.85
