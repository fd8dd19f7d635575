"""How well a distance tells emulsions that failed from those that held, with an honest interval."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scipy.optimize import brentq
from scipy.special import ndtri

from hlbcore._numbers import checked
from hlbcore.errors import InvalidInput

LEVEL = 0.95
"""Coverage that the interval aims at. [-]"""

EDGE = 1e-9
"""How far from the area itself an end is looked for: at 0 and 1 its variance is nothing. [-]"""


@dataclass(frozen=True, slots=True)
class ToldApart:
    """How often a failed one lies farther off than one that held: 0.5 is a coin, 1 is always.

    Parameters
    ----------
    value, low, high : float
        Area under the curve, and its 95 % interval. [-]
    failed, held : int
        How many of each. [-]
    """

    value: float
    low: float
    high: float
    failed: int
    held: int

    @property
    def shows(self) -> bool:
        """Whether the interval leaves out 0.5."""
        return self.low > 0.5 or self.high < 0.5

    @property
    def text(self) -> str:
        """The figures in words."""
        counts = f"{self.failed} failed, {self.held} held"
        return f"AUC {self.value:.2f} ({self.low:.2f} to {self.high:.2f}; {counts})"


def told_apart(failed: Iterable[float], held: Iterable[float]) -> ToldApart:
    """How well a distance tells what failed from what held.

    Parameters
    ----------
    failed, held : iterable of float
        The distance of each, for example |blend HLB - required HLB|. [HLB]

    Returns
    -------
    ToldApart
        Area under the curve with its 95 % interval.

    Raises
    ------
    InvalidInput
        If there is none of either, or a number that cannot be used.

    Notes
    -----
    The area is the Mann-Whitney statistic over the number of pairs: the share of pairs in which the
    failed one lies farther off, ties by half. The interval holds every area ``A'`` with
    ``|A - A'| <= z sqrt(V(A'))`` and ``V`` the variance of Hanley and McNeil (hanley_mcneil_1982),
    with both counts at their mean: method 5 of newcombe_2006, which keeps to 0 and 1 and holds for few
    cases too.

    Examples
    --------
    >>> told_apart([5, 4, 3, 1], [2, 0.5]).text
    'AUC 0.88 (0.37 to 0.99; 4 failed, 2 held)'
    """
    far = [checked(x, f"distance {n} of what failed", low=0) for n, x in enumerate(failed, 1)]
    near = [checked(x, f"distance {n} of what held", low=0) for n, x in enumerate(held, 1)]
    for what, rows in (("failed", far), ("held", near)):
        if not rows:
            raise InvalidInput(f"what {what}", "there is none", "Both are needed to see whether they differ.")
    from scipy.stats import mannwhitneyu  # heavy, and this is seldom asked for

    area = float(mannwhitneyu(far, near).statistic) / (len(far) * len(near))
    z = float(ndtri(0.5 + LEVEL / 2))

    def off(other: float) -> float:
        return abs(area - other) - z * math.sqrt(variance(other, len(far), len(near)))

    low = 0.0 if area <= 0 else float(brentq(off, 0.0, area - EDGE))
    high = 1.0 if area >= 1 else float(brentq(off, area + EDGE, 1.0))
    return ToldApart(area, low, high, len(far), len(near))


def variance(area: float, failed: int, held: int) -> float:
    """Variance of an area under the curve.

    Parameters
    ----------
    area : float
        The area. [-]
    failed, held : int
        How many of each. [-]

    Returns
    -------
    float
        By hanley_mcneil_1982, with both counts at their mean. [-]
    """
    mean = (failed + held) / 2
    more = (1 - area) / (2 - area) + area / (1 + area)
    return area * (1 - area) * (1 + (mean - 1) * more) / (failed * held)
