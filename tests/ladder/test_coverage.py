"""Coverage of the 95 % interval on 200 ladders; `ladder_coverage.py` runs the 2,000 by hand."""

from functools import cache

import pytest
from ladder_coverage import Tally, tally


@cache
def two_hundred(vials: int) -> Tally:
    return tally(vials, 200)


@pytest.mark.parametrize("vials", [5, 7, 9])
def test_nominal_95_per_cent_covers_92_to_98_per_cent(vials: int) -> None:
    # 200 ladders have a standard error of 1.5 %: the limits are one of it wider; an open end covers
    found = two_hundred(vials)
    assert 0.905 <= found.computed <= 0.995
    assert found.shown >= found.computed


def test_at_most_a_fifth_of_the_ladders_of_seven_vials_stay_open() -> None:
    assert 0 < two_hundred(7).open_ended <= 0.20


def test_several_times_of_one_vial_do_not_make_the_interval_too_narrow() -> None:
    # most of the scatter belongs to the vial and stays with it at all four times
    assert tally(7, 200, times=4).computed >= 0.905
