"""HLB of a blend, the split of a pair, and the general solver for ratios and total loading."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from hlbcore._numbers import checked, checked_word
from hlbcore.blending import programmes
from hlbcore.blending.candidates import Emulsifiers, candidates
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.coverage import Coverage
from hlbcore.blending.marks import emulsifier_findings
from hlbcore.blending.request import Group, Request, total_ends
from hlbcore.blending.results import Blend
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate, Mixture, as_estimate
from hlbcore.findings import Finding, worst_first
from hlbcore.formula.aims import OBJECTIVES
from hlbcore.library import Library, load_library
from hlbcore.limits import EMULSIFIERS_MOST, check_count
from hlbcore.product_types import product_type

START_MOST = 100.0
"""Start of `least change` up to which the nearest blend is exact. [times the total] Tried out."""


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
