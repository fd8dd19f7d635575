"""Fits of ladders against general methods: numerical integration, and lmfit's least squares.

M. Newville and others, LMFIT: non-linear least-squares minimization and curve-fitting for Python,
https://lmfit.github.io/lmfit-py/
"""

import numpy as np
import pytest
from lmfit import Minimizer, Parameters
from numpy.typing import NDArray
from scipy.special import gammaln

import hlbcore as hlb
from hlbcore.ladder.curves import courses
from hlbcore.ladder.evidence import HEIGHT_MOST, SCATTER_WEIGHT, USUAL_SCATTER, Block, believed, weighed

LADDERS = [
    pytest.param(np.linspace(7, 13, 7), [0.4, 2.3, 3.1, 4.2, 3.9, 2.7, 1.4], id="seven"),
    pytest.param(
        np.repeat(np.linspace(6, 14, 5), 2),
        [0.1, 0.5, 2.2, 2.9, 3.5, 3.2, 2.8, 2.4, 0.4, -0.3],
        id="duplicates",
    ),
    pytest.param(
        np.array([7.02, 8.1, 8.94, 10.05, 11.0, 11.9, 13.1, 14.0, 15.2]),
        [0.1, 0.9, 2.4, 3.8, 4.1, 3.2, 2.2, 0.4, 0.3],
        id="uneven steps",
    ),
]


def residual(p: Parameters, x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    away = x - p["top"].value
    flank = np.where(away < 0, p["left"].value, p["right"].value)
    return y - p["level"].value - p["rise"].value * 0.5 ** ((away / flank) ** 2)


@pytest.mark.published
@pytest.mark.parametrize(("x", "readings"), LADDERS)
def test_optimum_and_interval_agree_with_a_free_two_piece_bell(
    x: NDArray[np.float64], readings: list[float]
) -> None:
    y = np.array(readings)
    start = Parameters()
    start.add("level", value=float(y.min()))
    start.add("rise", value=float(np.ptp(y)), min=0, max=2 * float(np.ptp(y)))
    start.add("top", value=float(x[y.argmax()]), min=float(x.min()), max=float(x.max()))
    start.add("left", value=2, min=0.5, max=8)
    start.add("right", value=2, min=0.5, max=8)
    general = Minimizer(residual, start, fcn_args=(x, y)).minimize()
    fit = hlb.fit_trials(x.tolist(), readings)
    assert fit.optimum is not None
    assert fit.low is not None
    assert fit.high is not None
    assert fit.low <= general.params["top"].value <= fit.high
    assert fit.optimum == pytest.approx(general.params["top"].value, abs=0.5)
    # courses on the grid come near the least sum of squares that free parameters reach
    tried = courses(tuple(x.tolist()))
    found = weighed(tried, [Block(np.arange(len(x)), y, np.ones(len(y)))])
    best = int(found.course.argmax())
    shape = tried.shape[best] - tried.shape[best].mean()
    left = y - y.mean() - found.heights[0, best] * shape
    assert float(left @ left) < general.chisqr + 0.02 * float(((y - y.mean()) ** 2).sum())


def integrated(shape: NDArray[np.float64] | None, y: NDArray[np.float64]) -> float:
    """Log evidence by sums over level, height and scatter, up to a constant of the level."""
    sd = np.exp(np.linspace(np.log(0.01), np.log(3), 60))
    heights = np.linspace(0, HEIGHT_MOST, 81) if shape is not None else np.array([0.0])
    levels = np.linspace(-2.5, 2.5, 161)
    belief = SCATTER_WEIGHT * USUAL_SCATTER**2
    log_prior = (
        SCATTER_WEIGHT / 2 * np.log(belief / 2)
        - gammaln(SCATTER_WEIGHT / 2)
        - (SCATTER_WEIGHT + 2) * np.log(sd)
        - belief / (2 * sd**2)
        + np.log(2 * sd**2)  # density of the variance, in steps of log sd
    )
    total = 0.0
    for s, prior in zip(sd, log_prior, strict=True):
        miss = y - levels[:, None, None] - (0 if shape is None else heights[None, :, None] * shape)
        log_like = -0.5 * (miss**2).sum(axis=-1) / s**2 - len(y) / 2 * np.log(2 * np.pi * s**2)
        total += float(np.exp(log_like + prior).sum())
    steps = (levels[1] - levels[0]) * (np.log(sd[1]) - np.log(sd[0]))
    per_height = (heights[1] - heights[0]) / HEIGHT_MOST if shape is not None else 1.0
    return float(np.log(total * steps * per_height))


def test_closed_evidence_is_that_of_numerical_integration() -> None:
    x = np.array([7.0, 8, 9, 10, 11, 12])
    y = np.array([0.0, 0.35, 0.8, 1.0, 0.6, 0.3])
    tried = courses(tuple(x.tolist()))
    found = weighed(tried, [Block(np.arange(6), y, np.ones(6))])
    chosen = [int(found.course.argmax()), *range(0, len(tried.top), len(tried.top) // 5)]
    flat = integrated(None, y)
    for c in chosen:
        # the t distribution by its normal approximation, and the sums, leave a few in a hundred
        assert found.course[c] - found.flat == pytest.approx(integrated(tried.shape[c], y) - flat, abs=0.06)


def test_belief_adds_to_one_and_odds_are_those_of_its_parts() -> None:
    x = np.linspace(7, 13, 7)
    tried = courses(tuple(x.tolist()))
    y = np.array([0.4, 2.3, 3.1, 4.2, 3.9, 2.7, 1.4])
    held = weighed(tried, [Block(np.arange(7), y, np.ones(7))])
    belief = believed(tried, held)
    inside = float(belief.mass[tried.inside].sum())
    assert belief.mass.sum() == pytest.approx(1)
    assert belief.hump_odds == pytest.approx(np.log(inside / (1 - inside)), abs=1e-6)
    assert tried.prior[tried.inside].sum() == pytest.approx(1)
    assert tried.prior[~tried.inside].sum() == pytest.approx(1)
