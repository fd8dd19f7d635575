"""A. K. Hassan, Assignment of optimum surfactants blend and right oil phase concentration, 2018.

Indian J. Pharm. Sci. 80(2), 334-341, abstract.
https://www.ijpsonline.com/articles/assignment-of-optimum-surfactants-blend-and-right-oil-phase-concentration-of-oil-in-water-emulsion-3464.html
The pair is our reading of the arithmetic: 4.3 and 15 in steps of 10 % give the rungs exactly.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

RUNGS = ["5.37", "6.44", "7.51", "8.58", "9.65", "10.72", "11.79", "12.86", "13.93"]


@pytest.mark.parametrize(("step", "page"), list(enumerate(RUNGS, 1)), ids=RUNGS)
def test_nine_rungs_of_ten_per_cent(step: int, page: str) -> None:
    value = hlb.blend_hlb([(10 * step, 15), (100 - 10 * step, 4.3)], shares=True).value
    assert value == printed(page)
    assert value == within(float(page), 1e-9)
