"""The shares inside the window against Monte Carlo by numpy's generator.

C. R. Harris et al., Array programming with NumPy, Nature 585 (2020) 357-362,
https://numpy.org/doc/stable/reference/random/ ; tolerance four binomial standard errors.
"""

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from hlbcore.estimate import Estimate, Mixture
from hlbcore.shares import share_in_window, share_in_window_independent

pytestmark = pytest.mark.published

SAMPLES = 2_000_000
Array = NDArray[np.float64]


def drawn(e: Estimate, rng: np.random.Generator) -> Array:
    """Half the draws even on [low, value], half even on [value, high]."""
    below = rng.random(SAMPLES) < 0.5
    u = rng.random(SAMPLES)
    return np.where(below, e.low + u * (e.value - e.low), e.value + u * (e.high - e.value))


def counted(difference: Array, half_width: float) -> tuple[float, float]:
    """Share inside, and four standard errors of it."""
    share = float(np.mean(np.abs(difference) <= half_width))
    return share, 4 * math.sqrt(max(share * (1 - share), 1 / SAMPLES) / SAMPLES)


PAIRS = [
    pytest.param(Estimate(10, 9, 11), Estimate(10.2, 9.7, 10.7), 1.0, id="even"),
    pytest.param(Estimate(8, 7.5, 11), Estimate(9, 6, 9.5), 1.0, id="skew"),
    pytest.param(Estimate(12, 12, 15), Estimate(12.5, 11, 12.5), 0.5, id="one-sided"),
    pytest.param(Estimate(7, 5, 9), Estimate.exactly(8.1), 1.2, id="blend a point"),
    pytest.param(Estimate.exactly(7), Estimate(6.5, 6, 9), 0.7, id="target a point"),
    pytest.param(Estimate(6, 4, 8), Estimate(11, 10, 13), 2.5, id="mostly outside"),
    pytest.param(Estimate(10, 9.9, 10.1), Estimate(10, 4, 17), 3.0, id="one wide, one narrow"),
]


@pytest.mark.parametrize(("target", "blend", "half_width"), PAIRS)
def test_share_in_window_meets_monte_carlo(target: Estimate, blend: Estimate, half_width: float) -> None:
    rng = np.random.default_rng(20220101)
    share, tolerance = counted(drawn(target, rng) - drawn(blend, rng), half_width)
    assert abs(share_in_window(target, blend, half_width) - share) <= tolerance


def oils(*parts: tuple[float, Estimate]) -> Mixture:
    return Mixture.by_mass([m for m, _ in parts], [e for _, e in parts])


MIXTURES = [
    pytest.param(
        oils((10, Estimate(7, 6, 8)), (7.5, Estimate(6, 5, 7)), (7.5, Estimate(8, 6.5, 9))),
        oils((3, Estimate(4.3, 3.8, 4.8)), (1, Estimate(15, 14, 16))),
        1.0,
        id="body butter",
    ),
    pytest.param(
        oils((5, Estimate(5, 4, 10)), (5, Estimate(12, 11, 15)), (1, Estimate(15, 14, 18))),
        oils((2, Estimate(4.7, 4.2, 5.2)), (3, Estimate(14.9, 13, 15.4))),
        0.5,
        id="skew ranges",
    ),
    pytest.param(
        oils((1, Estimate.exactly(10)), (1, Estimate(11, 8, 12)), (2, Estimate(9, 9, 13))),
        oils((1, Estimate.exactly(9)), (1, Estimate(11, 10.5, 11.5))),
        1.5,
        id="points among them",
    ),
    pytest.param(
        oils((97, Estimate(8, 7, 10)), (1, Estimate(12, 5, 20)), (2, Estimate(6, 2, 8))),
        oils((1, Estimate(8, 7.8, 8.3))),
        0.3,
        id="one rules",
    ),
    pytest.param(
        oils(*((1.0 + n, Estimate(6 + n, 5, 8 + n)) for n in range(10))),
        oils(*((1.0, Estimate(5 + 2 * n, 4, 7 + 2 * n)) for n in range(6))),
        1.0,
        id="ten oils, six emulsifiers",
    ),
    pytest.param(
        oils((1, Estimate(10, 9, 11))), oils((1, Estimate(9, 8, 10.5))), 1.0, id="two doubtful, closed form"
    ),
    pytest.param(
        oils((1, Estimate(10, 9, 11)), (1, Estimate(10, 8, 11))),
        oils((1, Estimate(17, 16, 18))),
        1.0,
        id="never inside",
    ),
    pytest.param(
        oils((1, Estimate(10, 9, 11)), (1, Estimate(10, 9.5, 11)), (1, Estimate(10, 9, 11))),
        oils((1, Estimate(10, 9.9, 10.2))),
        2.0,
        id="always inside",
    ),
]


@pytest.mark.parametrize(("target", "blend", "half_width"), MIXTURES)
def test_independent_share_meets_monte_carlo(target: Mixture, blend: Mixture, half_width: float) -> None:
    rng = np.random.default_rng(20220102)
    difference = np.zeros(SAMPLES)
    for sign, mixture in ((1, target), (-1, blend)):
        for fraction, part in zip(mixture.fractions, mixture.parts, strict=True):
            difference += sign * fraction * drawn(part, rng)
    share, tolerance = counted(difference, half_width)
    assert abs(share_in_window_independent(target, blend, half_width) - share) <= tolerance


@pytest.mark.parametrize(("target", "blend", "half_width"), PAIRS)
def test_the_two_shares_are_one_where_each_side_has_one_part(
    target: Estimate, blend: Estimate, half_width: float
) -> None:
    alone = share_in_window_independent(Mixture((1.0,), (target,)), Mixture((1.0,), (blend,)), half_width)
    assert alone == pytest.approx(share_in_window(target, blend, half_width), abs=1e-9)


@pytest.mark.parametrize(
    "estimate",
    [Estimate(10, 9, 11), Estimate(8, 7.5, 11), Estimate(12, 12, 15)],
    ids=["even", "skew", "one-sided"],
)
def test_mean_and_standard_deviation_meet_monte_carlo(estimate: Estimate) -> None:
    draws = drawn(estimate, np.random.default_rng(20220103))
    error = 4 * estimate.sd / math.sqrt(SAMPLES)
    assert abs(estimate.mean - float(draws.mean())) <= error
    assert abs(estimate.sd - float(draws.std())) <= 2 * error
    assert abs(estimate.value - float(np.median(draws))) <= 20 * error
