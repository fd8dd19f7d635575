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


def test_nine_rungs_as_a_ladder() -> None:
    ladder = hlb.plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=9.65,
        half_width=4.28,
        steps=9,
        values={"sorbitan oleate": 4.3, "polysorbate 80": 15},
        vial_mass_g=100,
        emulsifier_pct=2.5,
        oil_phase={"house oil": 20},
        readability_g=0.01,
    )
    for value, page in zip(ladder.table["hlb_as_weighed"], RUNGS, strict=True):
        assert value == within(float(page), 1e-9)  # 2.50 g splits into tenths on this scale


def test_three_rungs_that_formed_give_a_band_and_no_10_185() -> None:
    # page: only 9.65, 10.72 and 11.79 formed; optimum printed as 10.185, between two rungs
    fit = hlb.fit_trials([float(r) for r in RUNGS], [r in ("9.65", "10.72", "11.79") for r in RUNGS])
    assert fit.outcome == "band"
    assert fit.optimum is None
    assert (fit.low, fit.high) == (9.1, 12.4)  # half a rung, 0.535, beyond what formed, outwards
    assert fit.low < 10.185 < fit.high
