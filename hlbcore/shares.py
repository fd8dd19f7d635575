"""How much of two doubts lies inside a window."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from hlbcore._numbers import checked
from hlbcore.estimate import Estimate, Mixture

_POINT = 1e-6  # [HLB] narrower than this is a point: the closed form would lose its digits


def _halves(e: Estimate) -> tuple[tuple[float, float], tuple[float, float]]:
    return (e.low, e.value), (e.value, e.high)


def _share_of_uniforms(u: tuple[float, float], v: tuple[float, float], half_width: float) -> float:
    """P(|U - V| <= w) for U and V even on their intervals: one trapezoid integral."""
    a, b = u
    c, d = v
    if b - a < _POINT and d - c < _POINT:
        return float(abs((a + b) / 2 - (c + d) / 2) <= half_width + 1e-9)
    if b - a < _POINT or d - c < _POINT:
        point, (low, high) = ((a + b) / 2, v) if b - a < _POINT else ((c + d) / 2, u)
        return max(0.0, min(high, point + half_width) - max(low, point - half_width)) / (high - low)

    def below(t: float) -> float:
        """P(U - V <= t), from the second integral of the two steps."""
        ramps = (t - a + d, t - b + d, t - a + c, t - b + c)
        p, q, r, s = (max(x, 0.0) ** 2 / 2 for x in ramps)
        return (p - q - r + s) / ((b - a) * (d - c))

    return min(1.0, max(0.0, below(half_width) - below(-half_width)))


def share_in_window(target: Estimate, blend: Estimate, half_width: float) -> float:
    """Share of the sources' spread in which the blend lies inside the target window.

    Parameters
    ----------
    target, blend : Estimate
        Required HLB of the phase and HLB of the blend. [HLB]
    half_width : float
        Half width of the window. [HLB]

    Returns
    -------
    float
        Share from 0 to 1; not a chance of success. [-]

    Notes
    -----
    All oils move together and all emulsifiers together, independent of the oils, so target R and
    blend H are two-piece uniforms and ``P(|H - R| <= w)`` is the mean of four trapezoid integrals.

    Examples
    --------
    >>> share_in_window(Estimate(10, 9, 11), Estimate.exactly(10), 0.5)
    0.5
    """
    return math.fsum(quarter_shares(target, blend, half_width)) / 4


def quarter_shares(target: Estimate, blend: Estimate, half_width: float) -> tuple[float, ...]:
    """The four shares whose mean is `share_in_window`.

    Parameters
    ----------
    target, blend, half_width : Estimate, Estimate, float
        As `share_in_window` takes them. [HLB]

    Returns
    -------
    tuple of float
        Target below its value with the blend below and above its own, then the target above. [-]

    Examples
    --------
    >>> quarter_shares(Estimate(10, 9, 11), Estimate.exactly(10), 0.5)
    (0.5, 0.5, 0.5, 0.5)
    """
    half_width = checked(half_width, "window", low=0, unit="HLB")
    return tuple(_share_of_uniforms(u, v, half_width) for u in _halves(target) for v in _halves(blend))


def share_in_window_independent(target: Mixture, blend: Mixture, half_width: float) -> float:
    """The same share if every doubt were independent of every other.

    Parameters
    ----------
    target, blend : Mixture
        Oil phase and blend. [HLB]
    half_width : float
        Half width of the window. [HLB]

    Returns
    -------
    float
        Share from 0 to 1. [-]

    Notes
    -----
    The characteristic function of the difference is the product of those of its parts, each a mean
    of two sinc functions; the share is the Fourier series of the window over an interval that
    holds the whole difference. Fewer than three doubtful parts go through the closed form.

    Examples
    --------
    >>> one = Mixture((1.0,), (Estimate(10, 9, 11),))
    >>> share_in_window_independent(one, Mixture((1.0,), (Estimate.exactly(10),)), 0.5)
    0.5
    """
    # each part as (centre of low half, its half width, centre of high half, its half width)
    signed = [(f, p) for f, p in zip(target.fractions, target.parts, strict=True)]
    signed += [(-f, p) for f, p in zip(blend.fractions, blend.parts, strict=True)]
    doubtful = [(f, p) for f, p in signed if abs(f) * p.spread >= _POINT]
    fixed = math.fsum(f * p.value for f, p in signed if abs(f) * p.spread < _POINT)
    if len(doubtful) < 3:
        pieces = [
            [tuple(sorted((f * p.low, f * p.value))), tuple(sorted((f * p.value, f * p.high)))]
            for f, p in doubtful
        ]
        while len(pieces) < 2:
            pieces.append([(0.0, 0.0), (0.0, 0.0)])
        shares = [
            _share_of_uniforms((u0 + fixed, u1 + fixed), (-v1, -v0), half_width)
            for u0, u1 in pieces[0]
            for v0, v1 in pieces[1]
        ]
        return math.fsum(shares) / 4
    weights = np.array([f for f, _ in doubtful])
    low, value, high = (np.array([getattr(p, end) for _, p in doubtful]) for end in ("low", "value", "high"))
    reach = abs(fixed + float(weights @ value)) + float(np.abs(weights) @ (high - low))
    period = 2 * (reach + half_width) + 1e-9
    k = np.arange(1, 2001)[:, None] * (2 * np.pi / period)  # (n_terms, 1)

    def half(a: NDArray[np.float64], b: NDArray[np.float64]) -> NDArray[np.complex128]:
        centre, width = (a + b) / 2, (b - a) / 2
        return np.asarray(np.exp(1j * k * weights * centre) * np.sinc(k * weights * width / np.pi))

    wave = np.prod((half(low, value) + half(value, high)) / 2, axis=1) * np.exp(1j * k[:, 0] * fixed)
    series = np.real(wave) * np.sin(k[:, 0] * half_width) / k[:, 0]
    share = (2 * half_width + 4 * float(series.sum())) / period
    return min(1.0, max(0.0, share))


def share_text(share: float) -> str:
    """The share in words, rounded to 5 %.

    Parameters
    ----------
    share : float
        Share from 0 to 1. [-]

    Returns
    -------
    str
        A phrase for reports.

    Examples
    --------
    >>> share_text(0.52)
    "about 50 % of the sources' spread lies inside the window"
    """
    return f"about {5 * round(share * 20)} % of the sources' spread lies inside the window"
