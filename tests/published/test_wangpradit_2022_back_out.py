"""Five creams with a plant oil, OCL 2022, article ocl210096, Table 4, worked backwards.

https://www.ocl-journal.org/articles/ocl/full_html/2022/01/ocl210096/T4.html
The paper counts glyceryl stearate as an oil and takes 6.2 for the plant oil; here its figure is
backed out from the printed required HLB of each cream.
"""

import pytest
from printed_values import within

import hlbcore as hlb
from hlbcore.ladder.back_out import TrialMixture, back_out_mixtures

pytestmark = pytest.mark.published

# beeswax 12, isopropyl myristate 11.5, glyceryl stearate 3.8, stearic acid 15; % and printed sum
CREAMS = {
    "F1": (1.5, 7.5, 7.5, 12.5, 10.33),
    "F2": (1.5, 7.5, 7.5, 10.5, 10.04),
    "F3": (1.5, 7.5, 7.5, 8.5, 9.71),
    "F4": (1.5, 7.5, 7.5, 6.5, 9.33),
    "F5": (1.5, 10, 10, 10.5, 9.72),
}
HLB = (12, 11.5, 3.8, 15)
OIL = 5.0


def mixture(name: str) -> TrialMixture:
    *masses, total = CREAMS[name]
    printed = hlb.Estimate(total, total - 0.005, total + 0.005)
    return TrialMixture(printed, list(zip(masses, HLB, strict=True)), {"plant oil": OIL}, name)


@pytest.mark.parametrize("name", CREAMS)
def test_plant_oil_comes_back_as_6_2_within_the_rounding_of_the_page(name: str) -> None:
    *masses, _ = CREAMS[name]
    mix = mixture(name)
    found = hlb.back_out_required_hlb(mix.measured, mix.known, OIL)
    # two printed decimals of the sum: 0.005 over the share of the oil
    rounding = 0.005 * (sum(masses) + OIL) / OIL
    assert found.value == within(6.2, rounding)
    assert found.high - found.value == within(rounding, 1e-9)


def test_five_creams_together_give_6_2_more_closely() -> None:
    found = back_out_mixtures([mixture(n) for n in CREAMS])
    estimate = found.estimates["plant oil"]
    assert estimate.value == within(6.2, 0.015)
    assert estimate.low <= 6.2 <= estimate.high
    assert estimate.spread < 0.04
    # 14 to 18 % of the oil phase
    assert any("small part of the oil phase" in f.title for f in found.findings)
