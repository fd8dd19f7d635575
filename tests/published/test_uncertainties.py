"""Standard deviations of sums against the package `uncertainties`.

E. O. Lebigot, Uncertainties: a Python package for calculations with uncertainties,
https://pythonhosted.org/uncertainties/
"""

import pytest
from uncertainties import UFloat, ufloat

import hlbcore as hlb
from hlbcore.estimate import Estimate, Mixture

pytestmark = pytest.mark.published

PHASES = [
    pytest.param(
        [(10, Estimate(7, 6, 8)), (7.5, Estimate(6, 5, 7)), (7.5, Estimate(8, 7, 9))], id="body butter"
    ),
    pytest.param(
        [(35, Estimate(12, 10, 13)), (1, Estimate(10, 9, 15)), (1, Estimate(15, 14, 16))], id="skew"
    ),
    pytest.param([(5, Estimate(9, 9, 9)), (5, Estimate(5, 4, 10))], id="one exact"),
    pytest.param([(1.0 + n, Estimate(6 + n, 5 + n, 9 + n)) for n in range(8)], id="eight oils"),
]


def doubtful(e: Estimate) -> UFloat | float:
    return ufloat(e.mean, e.sd) if e.spread else e.value


@pytest.mark.parametrize("phase", PHASES)
def test_independent_doubts_add_as_in_uncertainties(phase: list[tuple[float, Estimate]]) -> None:
    total = sum(m for m, _ in phase)
    summed = sum(m / total * doubtful(e) for m, e in phase)
    assert hlb.required_hlb(phase).sd_independent == pytest.approx(summed.std_dev, rel=1e-12)


@pytest.mark.parametrize("phase", PHASES)
def test_means_add_as_in_uncertainties(phase: list[tuple[float, Estimate]]) -> None:
    total = sum(m for m, _ in phase)
    summed = sum(m / total * doubtful(e) for m, e in phase)
    assert hlb.required_hlb(phase).estimate.mean == pytest.approx(summed.nominal_value, rel=1e-12)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_doubts_that_move_together_add_as_one_variable_in_uncertainties(share: float) -> None:
    # ranges of one shape: low, value and high of both are linear in one common draw
    common = ufloat(0, Estimate(10, 9, 11).sd)
    summed = share * (8 + 1.0 * common) + (1 - share) * (12 + 2.0 * common)
    mixture = Mixture.by_mass([share, 1 - share], [Estimate(8, 7, 9), Estimate(12, 10, 14)])
    assert mixture.total.sd == pytest.approx(summed.std_dev, rel=1e-12)
