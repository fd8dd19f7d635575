"""HLB of a blend, the split of a pair, and the general solver for ratios and total loading."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from hlbcore._numbers import checked, checked_word, same_unit
from hlbcore.blending import programmes
from hlbcore.blending.candidates import (
    TRACE,
    TRACE_BOUNDS,
    Emulsifiers,
    candidates,
    choose_emulsifiers,
    emulsifier_findings,
    openers,
)
from hlbcore.blending.coverage import Coverage
from hlbcore.blending.problem import alligation
from hlbcore.blending.request import Group, Request, total_ends
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.counting.counted import Counted
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, InvalidInput, MissingValue, UnreachableTarget, clipped
from hlbcore.estimate import HLB_MAX, Estimate, Mixture, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.aims import OBJECTIVES
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.limits import EMULSIFIERS_MOST, check_count
from hlbcore.product_types import product_type

START_MOST = 100.0
"""Start of `least change` up to which the nearest blend is exact. [times the total] Tried out."""


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
        Value, range and cautions. An emulsifier without a figure, below 20 % of the blend, is
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
    own = {_key(n, library): v for n, v in (values or {}).items()}
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
            key = _key(first, library)
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
    if unknown and sum(share for _, share in unknown) >= TRACE:
        raise MissingValue(
            [label for label, _ in unknown],
            "HLB",
            "So there is no HLB verdict on this blend: go by the supplier's rate and oil limit, "
            "or give its HLB or its declared parts.",
        )
    for label, share in unknown:
        found.append(
            Finding(
                "caution",
                f"No HLB is known for {label}",
                f"As a trace it counts as HLB {TRACE_BOUNDS.low:g} to {TRACE_BOUNDS.high:g}.",
                f"{100 * share:.3g} % of the emulsifiers",
                f"below {100 * TRACE:g} % of the emulsifiers; our convention",
                "Ask the supplier.",
            )
        )
    mixture = Mixture.by_mass(masses, [TRACE_BOUNDS if p is None else p for p in parts])
    return BlendHlb(mixture.total, mixture, tuple(labels), worst_first(found))


def system_hlb(held: Sequence[Counted], amounts: Sequence[float]) -> BlendHlb:
    """The HLB of counted emulsifiers with these active amounts, as `blend_of`."""
    return blend_of(
        [x.label for x in held], amounts, [x.estimate for x in held], [x.ingredient for x in held]
    )


def _key(name: str, library: Library) -> str:
    return library.key(name)


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


def _wanted(target: float | str | Estimate | RequiredHlb) -> tuple[Estimate, Mixture | None]:
    if isinstance(target, RequiredHlb):
        return target.estimate, target.mixture
    return as_estimate(target, "target"), None


def solve_blend(
    emulsifiers: Emulsifiers | None,
    target: float | str | Estimate | RequiredHlb,
    *,
    window: float = 1.0,
    total: float | str | tuple[float, float] = (3.0, 6.0),
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    cost: Mapping[str, float] | None = None,
    smallest: float = 0.0,
    objective: str = "closest",
    start: Mapping[str, float] | None = None,
    coverage: Coverage | None = None,
    product: str = "o/w cream",
    library: Library | None = None,
) -> Blend:
    """Ratios and total loading of emulsifiers that meet a target HLB.

    Parameters
    ----------
    emulsifiers : sequence of names or Ingredients, or mapping of label to HLB, or None
        None: the tool chooses, and says why. [HLB]
    target : float, Estimate or RequiredHlb
        HLB wanted. [HLB, 0 to 40]
    window : float
        Half width of the window, the latitude that the bench gives. [HLB]
    total : float or tuple of float
        All emulsifiers together, a number or a low and a high end. [% of formula]
    limits : mapping of str to tuple of float, optional
        Low and high limit; a low limit above 0 means must be used. [% of formula]
    groups : sequence of Group
        Limits on solids, PEG-based emulsifiers, families, or members of your own.
    cost : mapping of str to float, optional
        Price of each emulsifier. [price unit/kg]
    smallest : float
        If used, at least this much. [% of formula]
    objective : str
        ``closest``, ``most tolerant``, ``cheapest``, ``least total``, ``fewest`` or
        ``least change``.
    start : mapping of str to float, optional
        Amounts to stay near to, for ``least change``. [% of formula]
    coverage : Coverage, optional
        The wish that all droplets be covered once.
    product : str
        Product type: for the tool's own choice, for cautions, and for the window, which is no
        limit where dispersal is the aim.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Blend
        Amounts, HLB, range, margin, share inside the window, and what binds.

    Raises
    ------
    UnreachableTarget
        If no blend meets what was asked; it names the smallest relaxation, the reach, and
        emulsifiers that would open the way.
    InvalidInput
        For numbers that cannot be used, or more than 60 emulsifiers.
    TimeLimitReached
        If a programme takes longer than 10 s.

    Notes
    -----
    ``|sum(h_i x_i) - R T| <= w T`` with ``sum(x_i) = T``. A pair is split by alligation; ratios
    over T are solved as linear programmes after Charnes and Cooper (1962), ``least change`` by
    least-distance programming (Lawson and Hanson 1974). The window binds the nominal HLB.

    Examples
    --------
    >>> s = solve_blend(["sorbitan oleate", "polysorbate 80"], 10.5, total=5)
    >>> float(s.amounts["polysorbate 80"]), s.hlb
    (2.897, 10.5)
    """
    library = library or load_library()
    wanted, target_mixture = _wanted(target)
    reason = ""
    # where dispersal is the aim, the blend may stand above the window on purpose
    role = product_type(product).role
    if emulsifiers is None:
        choice = choose_emulsifiers(wanted, product, library=library)
        if not choice.names:
            raise EmptyPhase("The list of emulsifiers", f"None was chosen: {choice.reason}.")
        emulsifiers, reason = choice.names, choice.reason
    held = candidates(emulsifiers, library)
    check_count(held, "emulsifiers of one blend", EMULSIFIERS_MOST)
    objective = checked_word(objective, OBJECTIVES, "objective")
    half = checked(window, "window", low=0, high=HLB_MAX, unit="HLB")
    request = Request(
        held,
        wanted,
        half if role == "governs" else HLB_MAX,
        total_ends(total),
        limits or {},
        groups,
        smallest,
        coverage,
        library,
    )
    prices = request.in_order(cost or {}, "price", math.nan)
    weights = None
    if objective == "cheapest":
        missing = [c.label for c, p in zip(held, prices, strict=True) if math.isnan(p)]
        if missing:
            raise InvalidInput(
                f"price of '{clipped(missing[0])}'",
                "it is missing, and a missing price is not 0",
                "Give its price per kg, or leave the emulsifier out.",
            )
        weights = prices / (float(np.max(prices)) or 1.0)
    elif objective == "least total":
        weights = np.ones(len(held))
    first = None
    if objective == "least change":
        if start is None:
            raise InvalidInput(
                "start", "least change needs the amounts to stay near to", "Give start={name: % of formula}."
            )
        first = request.in_order(start, "start", 0.0)
        if (most := float(np.max(first))) > START_MOST * request.total[1]:
            raise InvalidInput(
                "start",
                f"{most:g} % lies more than {START_MOST:g} times above the total",
                "Give start in % of the formula.",
            )
        if smallest and len(held) > programmes.SUBSETS_MOST:
            raise InvalidInput(
                "emulsifiers",
                f"{len(held)} are too many for least change with a smallest amount",
                f"Give at most {programmes.SUBSETS_MOST}.",
            )
    x = request.solve(objective, weights, first)
    if x is None:
        raise request.unreachable()
    mixture = Mixture.by_mass([float(v) for v in x], [c.estimate for c in held])
    found = list(emulsifier_findings([c.ingredient for c, v in zip(held, x, strict=True) if v > 0], product))
    if len(held) == 2 and held[0].estimate.value == held[1].estimate.value:
        found.append(
            Finding(
                "note",
                "The ratio does not matter here",
                f"{held[0].label} and {held[1].label} have the same HLB: every ratio gives "
                f"{held[0].estimate.value:g}.",
            )
        )
    return Blend(
        tuple(c.label for c in held),
        tuple(float(v) for v in x),
        mixture,
        wanted,
        target_mixture,
        half,
        objective,
        request.binding(x),
        worst_first(found),
        reason,
        tuple(float(p) for p in prices),
        role,
    )
