"""A blend in grams that a scale can show, and the HLB that comes of it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import grams
from hlbcore.blending.candidates import TRACE_BOUNDS
from hlbcore.blending.judging import figures_in_sum
from hlbcore.blending.results import Blend
from hlbcore.counting.counted import Counted
from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate, Mixture
from hlbcore.findings import Finding, worst_first
from hlbcore.product_types import PRACTICE

TRIED_MOST = 12  # emulsifiers up to which every choice of rounding up is tried
DIVISIONS_MOST = 1e15  # a float holds whole numbers exactly up to 9e15

WEIGHED_COLUMNS = {
    "emulsifier": "name as given",
    "grams": "g, to the readability of the scale",
    "pct_of_formula": "% of formula, from the grams",
    "error_pct": "half a division as % of the amount; blank where the amount is 0",
}
"""Columns of `WeighedBlend.table` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class WeighedBlend:
    """A blend rounded to a scale.

    Parameters
    ----------
    labels : tuple of str
        The emulsifiers.
    grams : tuple of float
        What to weigh; they add to `total_g`. [g]
    batch_g, readability_g : float
        Size of the batch and division of the scale. [g]
    mixture : Mixture
        Fractions and figures as weighed.
    cautions : tuple of Finding
        Amounts too small for the scale.
    active : tuple of float
        Active part of each; empty means 100. [% of what is bought]
    """

    labels: tuple[str, ...]
    grams: tuple[float, ...]
    batch_g: float
    readability_g: float
    mixture: Mixture
    cautions: tuple[Finding, ...] = ()
    active: tuple[float, ...] = ()

    @property
    def total_g(self) -> float:
        """All emulsifiers as printed. [g]"""
        return round(math.fsum(self.grams), 9)

    @property
    def hlb(self) -> Estimate:
        """HLB of the rounded amounts. [HLB]"""
        return self.mixture.total

    @property
    def hlb_span(self) -> tuple[float, float]:
        """HLB if one amount is half a division over and another half under. [HLB]"""
        half = self.readability_g / 2
        held = [p.value for p in self.mixture.parts]
        found = [self.hlb.value]
        for i, j in itertools.permutations(range(len(self.grams)), 2):
            if self.grams[i] <= 0 or self.grams[j] <= 0:
                continue
            moved = list(self.grams)
            moved[i] += half
            moved[j] = max(moved[j] - half, 0.0)
            moved = [g * a / 100 for g, a in zip(moved, self.active or (100.0,) * len(moved), strict=True)]
            found.append(math.fsum(g * h for g, h in zip(moved, held, strict=True)) / math.fsum(moved))
        return min(found), max(found)

    @property
    def table(self) -> pd.DataFrame:
        """One row an emulsifier; columns as in `WEIGHED_COLUMNS`."""
        return pd.DataFrame(
            [
                (n, g, 100 * g / self.batch_g, 50 * self.readability_g / g if g else math.nan)
                for n, g in zip(self.labels, self.grams, strict=True)
            ],
            columns=list(WEIGHED_COLUMNS),
        )


def weighing_sd(grams_weighed: Sequence[float], hlbs: Sequence[float], readability_g: float) -> float:
    """Standard uncertainty of the HLB of a blend from reading the scale.

    Parameters
    ----------
    grams_weighed : sequence of float
        What was weighed of each part; a part of 0 is not weighed. [g]
    hlbs : sequence of float
        HLB of each part, taken as exact. [HLB]
    readability_g : float
        Division of the scale. [g]

    Returns
    -------
    float
        One standard deviation; the doubt of the parts' own HLB is not in it. [HLB]

    Notes
    -----
    A reading lies anywhere within half a division, so its standard uncertainty is
    ``u = d / sqrt(12)`` [1]_. With ``H = sum(g_i h_i) / G`` the partial derivatives are
    ``(h_i - H) / G``, and the readings are independent.

    References
    ----------
    .. [1] Guide to the expression of uncertainty in measurement, JCGM 100:2008, 4.3.7 and 5.1.2;
       from memory

    Examples
    --------
    >>> weighing_sd([2.0, 2.0], [1.0, 15.2], 0.1)
    0.0725
    """
    one = readability_g / math.sqrt(12)
    return mean_sd(grams_weighed, hlbs, [one if g > 0 else 0.0 for g in grams_weighed])


def mean_sd(masses: Sequence[float], values: Sequence[float], standards: Sequence[float]) -> float:
    """Standard uncertainty of a mean by mass, from those of the masses.

    Parameters
    ----------
    masses : sequence of float
        Mass of each part. [any one unit]
    values : sequence of float
        Figure of each part, taken as exact. [any one unit]
    standards : sequence of float
        Standard uncertainty of each mass, independent of the others. [as masses]

    Returns
    -------
    float
        With ``H = sum(m_i h_i) / M`` the partial derivatives are ``(h_i - H) / M``. [as values]

    Examples
    --------
    >>> round(mean_sd([2, 2], [1, 15.2], [0.1, 0.1]), 3)
    0.251
    """
    whole = math.fsum(masses)
    mean = math.fsum(m / whole * h for m, h in zip(masses, values, strict=True))
    return math.hypot(*((h - mean) / whole * u for h, u in zip(values, standards, strict=True)))


def weigh_blend(blend: Blend, batch_g: float | str, readability_g: float | str) -> WeighedBlend:
    """The blend in grams that a scale can show, with the HLB that comes of it.

    Parameters
    ----------
    blend : Blend
        A solved blend.
    batch_g : float
        Mass of the whole batch. [g]
    readability_g : float
        Division of the scale. [g]

    Returns
    -------
    WeighedBlend
        Each amount rounded up or down to a division so that they add to the rounded total and
        come nearest to the target.

    Raises
    ------
    InvalidInput
        If the whole blend is less than one division.

    Examples
    --------
    >>> from hlbcore import solve_blend
    >>> s = solve_blend({"a": 1.0, "b": 15.2}, 8.1, total=4)
    >>> w = weigh_blend(s, 100, 0.1)
    >>> w.grams, [round(h, 1) for h in w.hlb_span]
    ((2.0, 2.0), [7.9, 8.3])
    """
    return _weighed(
        blend.labels,
        blend.masses,
        (100.0,) * len(blend.masses),
        blend.mixture.parts,
        blend.target.value,
        batch_g,
        readability_g,
    )


def weigh_system(
    held: Sequence[Counted],
    batch_g: float | str,
    readability_g: float | str,
    *,
    target: Estimate | None,
    times: float = 1.0,
) -> WeighedBlend:
    """Counted emulsifiers in grams that a scale can show, as `weigh_blend`.

    Parameters
    ----------
    held : sequence of Counted
        The emulsifiers; a trace without a figure is bounded.
    batch_g, readability_g : float
        Mass of the whole batch and division of the scale. [g]
    target : Estimate or None
        What to come near to; their own HLB where None. [HLB]
    times : float
        So many times their amounts. [-]

    Returns
    -------
    WeighedBlend
        As bought.
    """
    used = figures_in_sum(held, [x.active for x in held])
    parts = [TRACE_BOUNDS if part is None else part for part in used]
    mixture = Mixture.by_mass([x.active for x in held], parts)
    aim = mixture.total if target is None else target
    return _weighed(
        [x.label for x in held],
        [times * x.pct for x in held],
        [x.active_pct for x in held],
        parts,
        aim.value,
        batch_g,
        readability_g,
    )


def _weighed(
    labels: Sequence[str],
    masses: Sequence[float],
    active: Sequence[float],
    parts: Sequence[Estimate],
    target: float,
    batch_g: float | str,
    readability_g: float | str,
) -> WeighedBlend:
    batch = grams(batch_g, "batch")
    division = grams(readability_g, "readability of the scale")
    exact = [m * batch / 100 / division for m in masses]  # in divisions
    if max(exact) > DIVISIONS_MOST / len(exact):
        raise InvalidInput(
            "readability of the scale",
            f"{division:.3g} g is far too fine for this batch",
            "Enter the division of a scale, for example 0.1 g.",
        )
    whole = round(math.fsum(exact))
    if whole < 1:
        raise InvalidInput(
            "batch",
            f"all emulsifiers together are {math.fsum(exact) * division:.3g} g, less than "
            f"one division of {division:g} g",
            "Make a larger batch, or weigh on a finer scale.",
        )
    floors = [math.floor(e + 1e-9) for e in exact]
    open_to = [i for i, e in enumerate(exact) if e - floors[i] > 1e-9]
    more = whole - sum(floors)
    best = None
    if len(open_to) > TRIED_MOST:  # the largest remainders, not every choice
        open_to = sorted(open_to, key=lambda i: floors[i] - exact[i])[:more]
    for raised in itertools.combinations(open_to, max(0, min(more, len(open_to)))):
        counts = [n + (i in raised) for i, n in enumerate(floors)]
        if sum(counts) == 0:
            continue
        weights = [n * a / 100 for n, a in zip(counts, active, strict=True)]
        if (whole_active := math.fsum(weights)) <= 0:
            continue
        held = zip(weights, parts, strict=True)
        off = abs(math.fsum(w * p.value for w, p in held) / whole_active - target)
        moved = math.fsum(abs(n - e) for n, e in zip(counts, exact, strict=True))
        if best is None or (off, moved) < best[:2]:
            best = (off, moved, counts)
    if best is None:
        raise InvalidInput(
            "batch",
            f"no active part of the emulsifiers comes to one division of {division:g} g",
            "Make a larger batch, or weigh on a finer scale.",
        )
    digits = max(0, 9 - math.floor(math.log10(batch)))
    weighed = tuple(round(n * division, digits) for n in best[2])
    found = []
    for label, n, e in zip(labels, best[2], exact, strict=True):
        if e > 0 and n < 10:
            found.append(
                Finding(
                    "caution",
                    f"{label} is little for this scale",
                    f"{e * division:.3g} g on a scale of {division:g} g: half a division is "
                    f"{50 / max(n, 1):.0f} % of it.",
                    f"{n} division{'' if n == 1 else 's'}",
                    f"less than ten divisions; {PRACTICE}",
                    f"Make at least {math.ceil(10 * batch / e):g} g, or weigh it on a scale of "
                    f"{division / 10:g} g.",
                )
            )
    return WeighedBlend(
        tuple(labels),
        weighed,
        batch,
        division,
        Mixture.by_mass([g * a / 100 for g, a in zip(weighed, active, strict=True)], parts),
        worst_first(found),
        tuple(active),
    )
