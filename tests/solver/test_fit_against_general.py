"""Fits of ladders against lmfit: least squares for any model, intervals by the F test.

M. Newville and others, LMFIT: non-linear least-squares minimization and curve-fitting for Python,
https://lmfit.github.io/lmfit-py/
"""

import warnings

import numpy as np
import pytest
from lmfit import Minimizer, Parameters, conf_interval
from numpy.typing import NDArray

from hlbcore.ladder.curves import BELL_WIDTH, Points, fit_curve

LADDERS = [
    pytest.param(np.linspace(7, 13, 7), [0.4, 2.3, 3.1, 4.2, 3.9, 2.7, 1.4], id="seven"),
    pytest.param(np.linspace(8, 12, 5), [0.4, 2.6, 3.1, 2.5, 0.2], id="five"),
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


def shape(model: str, d: NDArray[np.float64], span: float) -> NDArray[np.float64]:
    if model == "quadratic":
        return -((d / span) ** 2)
    return np.exp(-0.5 * (d / (BELL_WIDTH * span)) ** 2)


def general(
    model: str, x: NDArray[np.float64], y: NDArray[np.float64], weight: NDArray[np.float64]
) -> tuple[float, float, float, float]:
    """Optimum, both ends at 95 % and sum of squares, by lmfit."""
    span = float(np.ptp(x))
    start = Parameters()
    start.add("level", value=float(y.mean()))
    start.add("rise", value=5.0 * float(np.ptp(y)))
    start.add("top", value=float(x[y.argmax()]))

    def residual(p: Parameters) -> NDArray[np.float64]:
        curve = p["level"].value + p["rise"].value * shape(model, x - p["top"].value, span)
        return np.sqrt(weight) * (y - curve)

    minimizer = Minimizer(residual, start)
    result = minimizer.minimize()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # lmfit warns where a level far out is not reached
        ends = conf_interval(minimizer, result, p_names=["top"], sigmas=[0.95], maxiter=500)
    low, top, high = (v for _, v in ends["top"])
    return top, low, high, result.chisqr


@pytest.mark.published
@pytest.mark.parametrize("model", ["quadratic", "bell"])
@pytest.mark.parametrize(("hlb", "responses"), LADDERS)
@pytest.mark.parametrize("weighted", [False, True], ids=["even", "weighted"])
def test_optimum_and_interval_are_those_of_a_general_fit(
    model: str, hlb: NDArray[np.float64], responses: list[float], weighted: bool
) -> None:
    y = np.array(responses)
    weight = np.linspace(0.5, 1.5, len(y)) if weighted else np.ones(len(y))
    top, low, high, chi_square = general(model, hlb, y, weight)
    curve = fit_curve(Points(hlb, y, weight), model)
    assert curve.sum_of_squares == pytest.approx(chi_square, rel=1e-6)
    assert curve.apex == pytest.approx(top, abs=1e-3)
    assert hlb.min() < low < high < hlb.max()  # inside the ladder both use the same F
    assert (curve.low, curve.high) == pytest.approx((low, high), abs=5e-3)


@pytest.mark.parametrize(("hlb", "responses"), LADDERS)
def test_quadratic_is_that_of_polynomial_regression(hlb: NDArray[np.float64], responses: list[float]) -> None:
    second, first, _ = np.polyfit(hlb, responses, 2)
    curve = fit_curve(Points(hlb, np.array(responses), np.ones(len(hlb))), "quadratic")
    assert curve.apex == pytest.approx(-first / (2 * second), abs=1e-5)
