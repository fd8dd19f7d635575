"""Ladders that step no HLB: the least dose that is enough, and the best of several choices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression

from hlbcore.ladder.readings import Numbers, rungs_of

Array = NDArray[np.float64]

USUAL_SCATTER = 0.10
"""Scatter of a reading that was not repeated, as a share of what was read from worst to best. [-] Our
convention."""

ALIKE = 2.0
"""Vials differ where their means lie more than so many standard deviations of a difference apart.
[-] Our convention: about 95 of 100."""

READY_DOSES = (0.5, 1.0, 1.5)
"""First test of an emulsifier sold ready: half of the median dose that was seen, that dose, half as
much again. [shares of that dose] Our convention."""


@dataclass(frozen=True, slots=True)
class OtherFit:
    """What a ladder without HLB steps says.

    Parameters
    ----------
    outcome : str
        "threshold", "edge", "best", "ties" or "flat".
    verdict : str
        The same as a sentence.
    value : float or None
        The least dose that is enough. [as the doses]
    low, high : float or None
        The threshold lies above the first and up to the second. [as the doses]
    best : tuple of int
        Places of the best vials: one, or all that tie with it. [-]
    """

    outcome: str
    verdict: str
    value: float | None = None
    low: float | None = None
    high: float | None = None
    best: tuple[int, ...] = ()


def _scatter(values: Array, groups: Sequence[NDArray[np.intp]], step: float) -> tuple[float, str]:
    """Standard deviation of a reading, and what it rests on. [as the readings]"""
    spare = sum(len(g) - 1 for g in groups)
    if spare >= 2:
        total = sum(float(((values[g] - values[g].mean()) ** 2).sum()) for g in groups)
        return max((total / spare) ** 0.5, step / 12**0.5), "the scatter of the duplicates"
    return max(USUAL_SCATTER * float(np.ptp(values)), step / 12**0.5), "a usual scatter of 10 %"


def _step(values: Array) -> float:
    """1 for whole scores, else 0. [as the readings]"""
    return 1.0 if np.abs(values).max() <= 10 and np.array_equal(values, values.round()) else 0.0


def fit_doses(
    doses: Numbers, responses: Numbers, better: str = "higher", *, unit: str = "% of the oils"
) -> OtherFit:
    """The least dose that is as good as more.

    Parameters
    ----------
    doses : sequence of float
        Dose of each vial. [any one unit]
    responses : sequence of float
        One reading a vial. [any one unit]
    better : str
        ``"higher"`` or ``"lower"``.
    unit : str
        Unit of the doses, for the words.

    Returns
    -------
    OtherFit
        More never harms here, so no hump is looked for: the course that only rises is laid by
        isotonic regression, and the threshold is the first dose on its plateau.

    Examples
    --------
    >>> fit_doses([4, 8, 12, 16, 20], [1, 3, 5, 5, 5]).verdict
    'threshold: 12 % of the oils is as good as more, 8 is not (by a usual scatter of 10 %)'
    """
    x, y = np.array(doses, dtype=float), np.array(responses, dtype=float)
    seen = ~np.isnan(y)
    order = np.flatnonzero(seen)[np.argsort(x[seen], kind="stable")]
    x, y = x[order], (-y if better == "lower" else y)[order]
    groups = rungs_of(x)
    if len(groups) < 3:
        return OtherFit("too few", "too few doses: at least three different ones are needed")
    sd, by = _scatter(y, [g for _, g in groups], _step(y))
    counts = np.array([len(g) for _, g in groups])
    level = isotonic_regression(np.array([float(y[g].mean()) for _, g in groups]), weights=counts).x
    apart = ALIKE * sd * np.sqrt(1 / counts + 1 / counts[-1])
    if level[-1] - level[0] <= apart[0] or np.ptp(y) == 0:
        least = groups[0][0]
        return OtherFit("flat", f"flat: {least:.3g} {unit} is as good as more; try less", high=least)
    enough = int(np.argmax(level[-1] - level <= apart))
    value, below = groups[enough][0], groups[enough - 1][0]
    if enough == len(groups) - 1:
        words = f"edge: {value:.3g} {unit} is still better than {below:.3g}; try more"
        return OtherFit("edge", words, low=below)
    words = f"threshold: {value:.3g} {unit} is as good as more, {below:.3g} is not (by {by})"
    return OtherFit("threshold", words, value, below, value)


def fit_choices(names: Sequence[str], responses: Numbers, better: str = "higher") -> OtherFit:
    """The best of several choices that have no order, with all that tie with it.

    Parameters
    ----------
    names : sequence of str
        What each vial holds; duplicates have the same name.
    responses : sequence of float
        One reading a vial. [any one unit]
    better : str
        ``"higher"`` or ``"lower"``.

    Returns
    -------
    OtherFit
        `best` holds the place of the first vial of each choice that ties.

    Examples
    --------
    >>> fit_choices(["a", "b", "c"], [2.0, 4.9, 0.5]).verdict
    'best: b (by a usual scatter of 10 %)'
    """
    y = np.array(responses, dtype=float) * (-1 if better == "lower" else 1)
    groups = [
        (n, np.array([k for k, m in enumerate(names) if m == n and y[k] == y[k]], dtype=np.intp))
        for n in dict.fromkeys(names)
    ]
    groups = [(n, g) for n, g in groups if len(g)]
    if len(groups) < 2:
        return OtherFit("too few", "too few: at least two different vials are needed")
    seen = np.concatenate([g for _, g in groups])
    sd, by = _scatter(y[seen], _places(seen, [g for _, g in groups]), _step(y[seen]))
    means = [float(y[g].mean()) for _, g in groups]
    top = int(np.argmax(means))
    size = len(groups[top][1])
    tie = [
        k
        for k, (_, g) in enumerate(groups)
        if means[top] - means[k] <= ALIKE * sd * (1 / len(g) + 1 / size) ** 0.5
    ]
    named = ", ".join(groups[k][0] for k in tie)
    best = tuple(int(groups[k][1][0]) for k in tie)
    if len(tie) == len(groups):
        return OtherFit("flat", f"flat: none differs from the best by more than {by}", best=best)
    if len(tie) > 1:
        words = f"ties: {named} cannot be told apart (by {by}); make these again, each twice"
        return OtherFit("ties", words, best=best)
    return OtherFit("best", f"best: {named} (by {by})", best=best)


def _places(seen: NDArray[np.intp], groups: Sequence[NDArray[np.intp]]) -> list[NDArray[np.intp]]:
    """Groups as places among the vials that were seen."""
    place = {int(k): n for n, k in enumerate(seen)}
    return [np.array([place[int(k)] for k in g], dtype=np.intp) for g in groups]


def ready_doses(seen_median: float) -> tuple[float, float, float]:
    """Doses of the first test of an emulsifier sold ready, rising.

    Parameters
    ----------
    seen_median : float
        Median dose that was seen with it. [%]

    Returns
    -------
    tuple of float
        Half, the median, half as much again, for `loading_ladder`. [%]

    Examples
    --------
    >>> ready_doses(5)
    (2.5, 5.0, 7.5)
    """
    low, middle, high = (round(share * float(seen_median), 6) for share in READY_DOSES)
    return low, middle, high
