"""Required HLB of ingredients that have none, from the measured optimum of mixtures with them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from hlbcore._numbers import checked, grams
from hlbcore.counting.given import Phase
from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import Part
from hlbcore.errors import InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import fold
from hlbcore.ladder.fit_results import TrialFit
from hlbcore.library import Library
from hlbcore.readings import LADDER_FLOOR

LITTLE_SHARE = 0.30
"""Below this share of the oil phase a ladder on a high share is advised. [-] Our convention."""

SHARE_COLUMNS = {
    "of": "ingredient, or the ladder of a mixture",
    "share_pct": "% of the variance of the result",
    "half_range": "HLB by which it alone moves the result",
}
"""Columns of `BackOut.doubts` with unit or meaning."""

_ADDITIVE = "required HLB adds by mass; approximate (pasquali_2008)"


@dataclass(frozen=True, slots=True)
class TrialMixture:
    """A mixture whose optimum was measured.

    Parameters
    ----------
    measured : float, str, Estimate or TrialFit
        Its optimum; a plain number is held to be no better than 0.5 each way. [HLB]
    known : mapping or sequence
        Its ingredients with a figure and their masses, as `required_hlb` takes them.
    unknown : mapping of str to float
        Its ingredients without a figure and their masses. [unit of the known masses]
    name : str
        Name of the mixture.
    """

    measured: float | str | Estimate | TrialFit
    known: Phase
    unknown: Mapping[str, float | str]
    name: str = ""


@dataclass(frozen=True, slots=True)
class BackOut:
    """What mixtures say about their unknown ingredients.

    Parameters
    ----------
    estimates : mapping of str to Estimate
        Required HLB of each unknown ingredient. [HLB]
    variances : tuple
        (unknown, what the doubt comes from, share of the variance [-], half range [HLB]).
    findings : tuple of Finding
        What dominates, what to test, whether the mixtures agree; the worst first.
    """

    estimates: Mapping[str, Estimate]
    variances: tuple[tuple[str, str, float, float], ...]
    findings: tuple[Finding, ...]

    def doubts(self, unknown: str | None = None) -> pd.DataFrame:
        """Where the doubt of one unknown comes from, the most first.

        Parameters
        ----------
        unknown : str, optional
            Name of the unknown; the first if left out.

        Returns
        -------
        DataFrame
            Columns as in `SHARE_COLUMNS`.
        """
        name = next(iter(self.estimates)) if unknown is None else unknown
        rows = [(source, 100 * share, half) for u, source, share, half in self.variances if u == name]
        table = pd.DataFrame(rows, columns=list(SHARE_COLUMNS))
        return table.sort_values("share_pct", ascending=False, kind="stable", ignore_index=True)


def back_out_required_hlb(
    measured: float | str | Estimate | TrialFit,
    known_phase: Phase,
    unknown_mass: float | str,
    *,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    library: Library | None = None,
) -> Estimate:
    """Required HLB of the one ingredient of a mixture that had none.

    Parameters
    ----------
    measured : float, str, Estimate or TrialFit
        Optimum of the whole mixture; a plain number is held to be no better than 0.5 each way,
        an Estimate is taken as it is. [HLB]
    known_phase : mapping or sequence
        The other ingredients, as `required_hlb` takes them.
    unknown_mass : float or str
        Mass of the unknown ingredient. [unit of the known masses]
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping, optional
        Figures of the user's own for known ingredients. [HLB]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Estimate
        Grade ``"own"``; its range grows with 1/share. [HLB]

    Raises
    ------
    InvalidInput
        If the result lies outside 0 to 40, or an input cannot be used.

    Notes
    -----
    ``R_u = (M (m_k + m_u) - R_k m_k) / m_u``. Ends: the doubts of the known ingredients move
    together, the ladder's is added to them.

    Examples
    --------
    >>> back_out_required_hlb(8, [(20, 7)], 10)
    10.0 (8.5 to 11.5)
    """
    mixture = TrialMixture(measured, known_phase, {"the unknown ingredient": unknown_mass})
    found = back_out_mixtures([mixture], emulsion=emulsion, values=values, library=library)
    return found.estimates["the unknown ingredient"]


@dataclass(frozen=True, slots=True)
class _Row:
    """One mixture: fractions of the known and the unknown, and its optimum."""

    name: str
    known: dict[str, tuple[float, Estimate]]
    unknown: dict[str, float]
    measured: Estimate


def back_out_mixtures(
    mixtures: Sequence[TrialMixture],
    *,
    emulsion: str = "o/w",
    values: Mapping[str, float | str | Estimate] | None = None,
    library: Library | None = None,
) -> BackOut:
    """Required HLB of one or more unknown ingredients from several mixtures together.

    Parameters
    ----------
    mixtures : sequence of TrialMixture
        At least as many as there are unknown ingredients.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    values : mapping, optional
        Figures of the user's own for known ingredients. [HLB]

    Returns
    -------
    BackOut
        Estimates, where their doubt comes from, and findings.

    Raises
    ------
    InvalidInput
        If the mixtures cannot tell the unknown ingredients apart, or a result lies outside 0
        to 40.

    Notes
    -----
    Least squares of ``sum(w_u R_u) = M - sum(w_k R_k)`` over the mixtures, each weighted by the
    variance of its optimum. The range adds two parts: the doubts of the known ingredients, which
    move together, and the doubts of the ladders, which are independent of each other (root of
    the sum of squares).

    Examples
    --------
    >>> mix = TrialMixture(8, [(20, 7)], {"murumuru butter": 10})
    >>> back_out_mixtures([mix]).estimates["murumuru butter"].value
    10.0
    """
    rows = [_row(m, n, emulsion, values, library) for n, m in enumerate(mixtures, 1)]
    names = list(dict.fromkeys(u for r in rows for u in r.unknown))
    if not names:
        raise InvalidInput("mixtures", "there is none", "Give at least one measured mixture.")
    shares = np.array([[r.unknown.get(u, 0.0) for u in names] for r in rows])
    weight = np.array([1 / max(r.measured.sd, 1e-6) for r in rows])
    left = np.array([r.measured.value for r in rows]) - np.array(
        [math.fsum(f * e.value for f, e in r.known.values()) for r in rows]
    )
    scaled = shares * (weight / weight.max())[:, None]
    if len(rows) < len(names) or np.linalg.cond(scaled) > 1e4:
        raise InvalidInput(
            "mixtures",
            f"{len(rows)} of them cannot tell {len(names)} unknown ingredients apart",
            "Measure another mixture in which their shares differ.",
        )
    # each unknown as a weighted sum of what is left of the mixtures
    solver = np.linalg.pinv(scaled) * (weight / weight.max())
    solved = solver @ left
    estimates, variances, findings = {}, [], []
    for u, name in enumerate(names):
        estimates[name], parts = _one(name, float(solved[u]), solver[u], rows)
        variances += [(name, *p) for p in parts]
        largest = max(float(s) for s in shares[:, u])
        findings += _about(name, estimates[name], parts, largest)
    findings += _disagreement(rows, shares @ solved - left)
    return BackOut(estimates, tuple(variances), worst_first(findings))


def _row(
    mixture: TrialMixture,
    number: int,
    emulsion: str,
    values: Mapping[str, float | str | Estimate] | None,
    library: Library | None,
) -> _Row:
    """A mixture as fractions of its oil phase."""
    name = mixture.name or f"mixture {number}"
    unit, parts = "", tuple[Part, ...]()
    if len(mixture.known):
        phase = required_hlb(mixture.known, emulsion=emulsion, values=values, library=library)
        unit, parts = phase.unit, phase.parts
    unknown = {}
    for label, mass in mixture.unknown.items():
        item = f"{name}, mass of {clipped(label)}"
        unknown[label] = (
            grams(mass, item)
            if unit == "g" and isinstance(mass, str)
            else checked(mass, item, above=0, high=1e9, unit=unit)
        )
    if not unknown:
        raise InvalidInput(name, "no unknown ingredient is named", "Name it with its mass.")
    whole = math.fsum([*(p.mass for p in parts), *unknown.values()])
    numbered = mixture.known if not isinstance(mixture.known, Mapping) else {}
    known: dict[str, tuple[float, Estimate]] = {}
    for p in parts:
        # pairs without names are other ingredients in every mixture
        key = f"{name}, {p.name}" if numbered and p.name.startswith("line ") else p.name
        known[key] = (p.mass / whole, p.estimate)
    twice = {fold(k) for k in known} & {fold(u) for u in unknown}
    if twice:
        both = next(u for u in unknown if fold(u) in twice)
        raise InvalidInput(
            f"{name}, '{clipped(both)}'",
            "it stands among the known and the unknown",
            "Leave it in one of the two.",
        )
    return _Row(name, known, {u: m / whole for u, m in unknown.items()}, _optimum(mixture, name))


def _optimum(mixture: TrialMixture, name: str) -> Estimate:
    """The measured optimum with its range."""
    measured = mixture.measured
    if isinstance(measured, TrialFit):
        found = measured.estimate
        if found is None:
            raise InvalidInput(
                f"{name}, measured optimum",
                f"the ladder has none ({measured.verdict})",
                "Finish the ladder first.",
            )
        return found
    found = as_estimate(measured, f"{name}, measured optimum")
    if isinstance(measured, Estimate) or found.spread:
        return found
    low, high = max(found.value - LADDER_FLOOR, 0.0), min(found.value + LADDER_FLOOR, HLB_MAX)
    return Estimate(found.value, low, high)


def _one(
    name: str, value: float, coefficients: NDArray[np.float64], rows: Sequence[_Row]
) -> tuple[Estimate, list[tuple[str, float, float]]]:
    """One unknown with its range, and what each doubt adds to it."""
    if not -1e-9 <= value <= HLB_MAX + 1e-9:
        raise InvalidInput(
            f"required HLB of {clipped(name)}",
            f"the figures give {value:.1f}, outside 0 to {HLB_MAX:g}",
            "Check the measured optimum, the masses and the figures of the other ingredients; a "
            "small share makes small errors large.",
        )
    factors: dict[str, tuple[float, Estimate]] = {}
    for c, row in zip(coefficients, rows, strict=True):
        for key, (fraction, estimate) in row.known.items():
            before = factors.get(key, (0.0, estimate))[0]
            factors[key] = (before - c * fraction, estimate)
    ladders = [(float(c), r.measured) for c, r in zip(coefficients, rows, strict=True)]
    # the known move together: all at their low ends, or all at their high ends
    together = (
        math.fsum(f * (e.low - e.value) for f, e in factors.values()),
        math.fsum(f * (e.high - e.value) for f, e in factors.values()),
    )
    down = math.hypot(*(_reach(c, e, up=False) for c, e in ladders)) - min(*together, 0.0)
    up = math.hypot(*(_reach(c, e, up=True) for c, e in ladders)) + max(*together, 0.0)
    value = min(max(value, 0.0), HLB_MAX)
    estimate = Estimate(value, max(value - down, 0.0), min(value + up, HLB_MAX))
    doubts = [(key, f * f * e.variance, abs(f) * e.spread / 2) for key, (f, e) in factors.items()]
    doubts += [
        (f"ladder of {r.name}", c * c * e.variance, abs(c) * e.spread / 2)
        for (c, e), r in zip(ladders, rows, strict=True)
    ]
    whole = math.fsum(v for _, v, _ in doubts)
    return estimate, [(k, v / whole if whole else 0.0, h) for k, v, h in doubts]


def _reach(factor: float, estimate: Estimate, *, up: bool) -> float:
    """How far one estimate alone moves the result up or down. [HLB]"""
    end = estimate.high if (factor > 0) == up else estimate.low
    return abs(factor * (end - estimate.value))


def _about(
    name: str, estimate: Estimate, parts: Sequence[tuple[str, float, float]], largest: float
) -> list[Finding]:
    """What dominates the doubt, and whether the share was too small."""
    found = []
    source, share, half = max(parts, key=lambda p: p[1])
    if share > 0:
        own = source.startswith("ladder of ")
        found.append(
            Finding(
                "note",
                f"{clipped(name)}: most of the doubt comes from {clipped(source)}",
                f"It alone moves the result by {half:.1f} each way.",
                f"{5 * round(20 * share):d} % of the variance",
                "variances of the ranges add",
                "A finer ladder with duplicates would pay most."
                if own
                else f"A ladder on {clipped(source)} would pay most.",
            )
        )
    if largest < LITTLE_SHARE:
        found.append(
            Finding(
                "caution",
                f"{clipped(name)} is a small part of the oil phase",
                f"The range, {estimate.low:.1f} to {estimate.high:.1f}, grows with 1/share: any "
                f"error of the ladder comes out {1 / largest:.1f} times as large.",
                f"{100 * largest:.0f} % of the oil phase",
                "our convention: below about 30 %",
                f"Make a ladder on {clipped(name)} at a high share.",
            )
        )
    return found


def _disagreement(rows: Sequence[_Row], misses: NDArray[np.float64]) -> list[Finding]:
    """A caution where a mixture misses its measured optimum by more than its own ranges."""
    found = []
    for row, miss in zip(rows, misses, strict=True):
        known = math.fsum(f * e.spread / 2 for f, e in row.known.values())
        if abs(miss) > row.measured.spread / 2 + known + 1e-9:
            found.append(
                Finding(
                    "caution",
                    f"{row.name} does not agree with the others",
                    "Its optimum lies further from the common result than its ranges allow.",
                    f"{abs(miss):.1f} HLB",
                    _ADDITIVE,
                    "Check its masses and emulsion type, or trust a ladder on the mixture itself.",
                )
            )
    return found
