"""HLB of emulsifiers that are blended, and the shares of a pair."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from hlbcore._numbers import checked, same_unit
from hlbcore.blending.candidates import TRACE, TRACE_BOUNDS
from hlbcore.blending.choice import openers
from hlbcore.blending.judging import figures_in_sum
from hlbcore.blending.marks import emulsifier_findings
from hlbcore.blending.problem import alligation
from hlbcore.blending.results import BlendHlb
from hlbcore.counting.counted import Counted
from hlbcore.errors import EmptyPhase, InvalidInput, MissingValue, UnreachableTarget, clipped
from hlbcore.estimate import HLB_MAX, Estimate, Mixture, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library


def blend_hlb(
    amounts: Mapping[str, float | str] | Sequence[tuple[float | str, float | str | Estimate]],
    *,
    values: Mapping[str, float | Estimate] | None = None,
    shares: bool = False,
    library: Library | None = None,
) -> BlendHlb:
    """The HLB of a blend of emulsifiers.

    Parameters
    ----------
    amounts : mapping or sequence of pairs
        Names and masses, or pairs ``(mass, HLB)``. [any one unit]
    values : mapping of str to float or Estimate, optional
        HLB of the user's own, by name. [HLB]
    shares : bool
        The amounts are shares of the blend and must add to 100.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    BlendHlb
        Value, range and cautions. An emulsifier without a figure, up to 20 % of the blend, is
        bounded by HLB 3 to 18 and named.

    Raises
    ------
    MissingValue
        If an emulsifier without a figure is more than a trace: then there is no HLB verdict.
    InvalidInput
        For amounts that cannot be used, or shares that do not add to 100.

    Notes
    -----
    ``H = sum(m_i h_i) / sum(m_i)`` [1]_. Holds for nonionics.

    References
    ----------
    .. [1] griffin_1949_recalled

    Examples
    --------
    >>> blend_hlb({"sorbitan oleate": 42, "polysorbate 80": 58}).value
    10.506
    >>> blend_hlb([(10, 4.7), (20, 14.9)]).value
    11.5
    """
    library = library or load_library()
    labels: list[str] = []
    given: list[tuple[str, float | str]] = []
    parts: list[Estimate | None] = []
    held: list[Ingredient | None] = []
    own = {library.key(n): v for n, v in (values or {}).items()}
    pairs: list[tuple[float | str, float | str | Estimate]] = (
        [(n, m) for n, m in amounts.items()] if isinstance(amounts, Mapping) else list(amounts)
    )
    for number, pair in enumerate(pairs, 1):
        if len(pair) != 2:
            raise InvalidInput(f"blend, line {number}", "two entries are wanted", "Give a mass and an HLB.")
        first, second = pair
        if isinstance(first, str) and not isinstance(second, Estimate):
            labels.append(first.strip())
            given.append((f"blend, '{clipped(first)}'", second))
            key = library.key(first)
            known = library.ingredients.get(key)
            if key in own:
                parts.append(as_estimate(own[key], f"HLB of '{clipped(first)}'"))
            else:
                known = library.emulsifier(first)
                parts.append(known.hlb)
            held.append(known)
        else:
            labels.append(f"line {number}")
            given.append((f"blend, line {number}, mass", first))
            parts.append(as_estimate(second, f"blend, line {number}, HLB"))
    masses, _ = same_unit(given)
    whole = math.fsum(m / max(masses) for m in masses) if masses and max(masses) > 0 else 0.0
    if whole == 0.0:
        raise EmptyPhase("The blend", "Enter an amount for at least one emulsifier.")
    if shares and abs(math.fsum(masses) - 100) > 0.01:
        total = math.fsum(masses)
        raise InvalidInput(
            "blend",
            f"the shares add to {total:g} %, not 100 %",
            f"{abs(100 - total):g} % is {'missing' if total < 100 else 'too much'}: mend a line, "
            "or give masses, which need not add to 100.",
        )
    return blend_of(labels, masses, parts, held)


def blend_of(
    labels: Sequence[str],
    masses: Sequence[float],
    parts: Sequence[Estimate | None],
    ingredients: Sequence[Ingredient | None],
    printed: Sequence[Estimate | None] = (),
) -> BlendHlb:
    """The HLB of emulsifiers whose figures are at hand.

    Parameters
    ----------
    labels : sequence of str
        Their names.
    masses : sequence of float
        Active amounts, one above 0. [any one unit]
    parts : sequence of Estimate or None
        Their HLB; None where none is known. [HLB]
    ingredients : sequence of Ingredient or None
        For their marks.
    printed : sequence of Estimate or None
        For those without a figure: what is printed for them by another convention. [HLB]

    Returns
    -------
    BlendHlb
        A trace without a figure is bounded and named.

    Raises
    ------
    MissingValue
        If more than a trace has no figure.
    EmptyPhase
        If there is nothing.
    """
    most = max(masses, default=0.0)
    if most <= 0:
        raise EmptyPhase("The blend", "Enter an amount for at least one emulsifier.")
    whole = math.fsum(m / most for m in masses)
    found = list(emulsifier_findings(ingredients))
    unknown = [
        (label, m / most / whole)
        for label, m, p in zip(labels, masses, parts, strict=True)
        if p is None and m > 0
    ]
    if unknown and sum(share for _, share in unknown) > TRACE * (1 + 1e-9):
        raise MissingValue(
            [label for label, _ in unknown],
            "HLB",
            "So there is no HLB verdict on this blend: go by the supplier's rate and oil limit, "
            "or give its HLB or its declared parts.",
        )
    elsewhere = dict(zip(labels, printed, strict=True)) if printed else {}
    for label, share in unknown:
        other = elsewhere.get(label)
        said = "" if other is None else f"Its printed HLB {other.value:.1f} is of another convention. "
        found.append(
            Finding(
                "caution" if other is None else "note",
                f"No HLB is known for {label}" if other is None else f"{label} counts as a trace",
                f"{said}As a trace it counts as HLB {TRACE_BOUNDS.low:g} to {TRACE_BOUNDS.high:g}.",
                f"{100 * share:.3g} % of the emulsifiers",
                f"up to {100 * TRACE:g} % of the emulsifiers; our convention",
                "Ask the supplier." if other is None else "",
            )
        )
    mixture = Mixture.by_mass(masses, [TRACE_BOUNDS if p is None else p for p in parts])
    return BlendHlb(mixture.total, mixture, tuple(labels), worst_first(found))


def system_hlb(held: Sequence[Counted], amounts: Sequence[float]) -> BlendHlb:
    """The HLB of counted emulsifiers with these active amounts, as `blend_of`."""
    used = figures_in_sum(held, amounts)
    return blend_of(
        [x.label for x in held],
        amounts,
        used,
        [x.ingredient for x in held],
        [x.estimate if part is None else None for x, part in zip(held, used, strict=True)],
    )


def split_pair(first_hlb: float, second_hlb: float, *, target: float) -> tuple[float, float]:
    """Mass fractions of two emulsifiers that give a target HLB.

    Parameters
    ----------
    first_hlb, second_hlb : float
        HLB of each emulsifier. [HLB, 0 to 40]
    target : float
        HLB wanted of the blend. [HLB, 0 to 40]

    Returns
    -------
    tuple of float
        Mass fraction of the first and of the second; they add to 1. [-]

    Raises
    ------
    UnreachableTarget
        If the target lies outside the two values. The reach of a pair ends at its two members.
    InvalidInput
        If both have the same HLB and it is the target: then every ratio gives it.

    Notes
    -----
    Alligation: ``x h1 + (1 - x) h2 = R``, so ``x = (h2 - R) / (h2 - h1)`` [1]_. For nonionics.

    References
    ----------
    .. [1] griffin_1949_recalled

    Examples
    --------
    >>> split_pair(4.0, 16.0, target=10.0)
    (0.5, 0.5)
    """
    a = checked(first_hlb, "HLB of the first emulsifier", low=0, high=HLB_MAX)
    b = checked(second_hlb, "HLB of the second emulsifier", low=0, high=HLB_MAX)
    r = checked(target, "target", low=0, high=HLB_MAX)
    if not min(a, b) <= r <= max(a, b):
        raise UnreachableTarget(r, (min(a, b), max(a, b)), (), openers(r, (a, b), load_library()))
    if a == b:
        raise InvalidInput(
            "the two emulsifiers",
            f"both have HLB {a:g}, so every ratio gives it",
            "Choose the ratio by other means, or take a second emulsifier of another HLB.",
        )
    return alligation(a, b, r)
