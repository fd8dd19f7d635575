"""The choice where the tool is asked to choose emulsifiers, and which open the way."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from hlbcore.blending.candidates import NONIONIC_MOST, Candidate
from hlbcore.blending.marks import mark
from hlbcore.counting.required import RequiredHlb
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type
from hlbcore.readings import GRADES

GAP_LEAST, GAP_MOST = 3.0, 12.0
"""Distance of the two emulsifiers of a default pair. [HLB] Our convention."""

ALONE_LEAST, ALONE_MOST = 13.0, 18.0
"""HLB of a hydrophilic emulsifier used alone, where the usual one is not at hand. [HLB]
Our convention; solubilisers stand at 15 to 18 (raw_source_solubilizing)."""

USUAL_CHAIN = MappingProxyType({"o/w cream": "stearic"})
"""Fatty chain of the pair that the tool chooses: the solid stearates for a cream, the liquid oleates
for lotions and for oils that disperse. common practice, no source."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Emulsifiers that the tool chose, and why.

    Parameters
    ----------
    names : tuple of str
        Common names; empty where no emulsifier is called for.
    reason : str
        The reason in words.
    """

    names: tuple[str, ...]
    reason: str


def _plain(ingredient: Ingredient, *, ionics: bool) -> bool:
    """Whether the tool may choose it: a figure that sources agree on, and a plain nonionic."""
    estimate = ingredient.hlb
    if estimate is None or ingredient.convention == "all_in_one" or estimate.alternatives:
        return False
    if ionics:
        return ingredient.family not in ("soap", "polymer", "lactylate", "lecithin")
    return not mark(ingredient) and estimate.value <= NONIONIC_MOST


def choose_emulsifiers(
    target: float | Estimate | RequiredHlb,
    product: str | ProductType = "o/w cream",
    *,
    shelf: Sequence[str] | None = None,
    at_hand: Sequence[str] = (),
    ionics: bool = False,
    library: Library | None = None,
) -> Choice:
    """The emulsifiers to start with, where the user asks the tool to choose.

    Parameters
    ----------
    target : float, Estimate or RequiredHlb
        HLB wanted. [HLB]
    product : str or ProductType
        Product type; the choice follows the role of HLB.
    shelf : sequence of str, optional
        Choose among these only.
    at_hand : sequence of str
        Take from these first: both of them, else one and one more, else as without.
    ionics : bool
        Whether ionic emulsifiers and those above HLB 20 may be chosen.

    Returns
    -------
    Choice
        One below and one above the target for emulsions; one hydrophilic emulsifier where
        dispersal under the tap is the aim; a solubiliser for clear products.

    Examples
    --------
    >>> choose_emulsifiers(10.0).names
    ('sorbitan stearate', 'polysorbate 60')
    >>> choose_emulsifiers(10.0, at_hand=["sorbitan oleate", "polysorbate 80"]).names
    ('sorbitan oleate', 'polysorbate 80')
    """
    library = library or load_library()
    kind = product_type(product)
    held = {library.key(n) for n in at_hand}
    value = (
        target.value if isinstance(target, Estimate | RequiredHlb) else (as_estimate(target, "target").value)
    )
    among = [library.emulsifier(n) for n in shelf] if shelf is not None else library.emulsifiers
    where = "on the shelf" if shelf is not None else "in the tables"
    plain = [(i, e) for i in among if _plain(i, ionics=ionics) and (e := i.hlb) is not None]
    if kind.role == "none" and not kind.alone:
        return Choice((), f"{kind.reason} {kind.decides}")
    if kind.alone:
        return _one(plain, kind, held)
    ranked = []
    for (low, a), (high, b) in itertools.permutations(plain, 2):
        order = pair_order(low, a, high, b, value, kind)
        if order is not None:
            missing = sum(i.id not in held for i in (low, high)) if held else 0
            ranked.append((missing, order, low.id, high.id, low, high))
    if not ranked:
        return Choice(
            (),
            f"no pair {where} stands on both sides of HLB {value:.1f} with {GAP_LEAST:g} to "
            f"{GAP_MOST:g} between them" + ("" if ionics else "; ionics were not allowed"),
        )
    _, order, *_, low, high = min(ranked, key=lambda r: r[:4])
    chain = f"of the same fatty chain ({low.chain})" if not order[0] else "of different fatty chains"
    allowed = "ionics allowed" if ionics else "nonionic"
    return Choice(
        (low.common_name, high.common_name),
        f"one below and one above HLB {value:.1f}, {chain}, {allowed}, {where}" + _at_hand((low, high), held),
    )


def _at_hand(chosen: Sequence[Ingredient], held: Collection[str]) -> str:
    """Which of the chosen ones are at hand, in words; blank where nothing was said to be."""
    missing = [i.common_name for i in chosen if i.id not in held]
    if not held:
        return ""
    if not missing:
        return "; on your shelf"
    if len(missing) < len(chosen):
        return f"; {missing[0]} is not on your shelf: one more to get"
    return f"; not on your shelf: {' and '.join(missing)}"


def pair_order(
    low: Ingredient, a: Estimate, high: Ingredient, b: Estimate, target: float, kind: ProductType
) -> tuple[bool, bool, bool, int, int] | None:
    """How early a pair stands in the order of preference; None for one that is not chosen unasked.

    Parameters
    ----------
    low, high : Ingredient
        One at or below the target, one above it, `GAP_LEAST` to `GAP_MOST` apart.
    a, b : Estimate
        Their figures. [HLB]
    target : float
        HLB wanted. [HLB]
    kind : ProductType
        Product type, for its usual fatty chain.

    Returns
    -------
    tuple or None
        The same fatty chain first, a sorbitan ester with a polysorbate, the usual chain, firm
        figures, many sources.
    """
    if not a.value <= target < b.value or not GAP_LEAST <= b.value - a.value <= GAP_MOST:
        return None
    same = bool(low.chain) and low.chain == high.chain
    usual = low.family == "sorbitan ester" and high.family == "polysorbate"
    other = low.chain != USUAL_CHAIN.get(kind.name, "oleic")
    weak = max(GRADES.index(a.grade), GRADES.index(b.grade))
    return not same, not usual, other, weak, -min(len(a.sources), len(b.sources))


def _one(plain: Sequence[tuple[Ingredient, Estimate]], kind: ProductType, held: Collection[str]) -> Choice:
    """One hydrophilic emulsifier: the usual one of the product type, or the nearest to it."""
    reason = f"{kind.alone_reason} ({kind.alone_source})"
    fitting = [i for i, e in plain if ALONE_LEAST <= e.value <= ALONE_MOST]
    usual = [i for i, _ in plain if i.common_name == kind.alone]
    if not usual and not fitting:
        return Choice((), f"none stands at HLB {ALONE_LEAST:g} to {ALONE_MOST:g}; {reason}")
    best = usual or sorted(fitting, key=lambda i: (i.family != "polysorbate", i.id))
    best.sort(key=lambda i: i.id not in held)
    if best[0].id not in held:  # another one that is at hand, if it is as hydrophilic
        at_hand = [i for i in fitting if i.id in held]
        best = sorted(at_hand, key=lambda i: (i.family != "polysorbate", i.id)) or best
    return Choice((best[0].common_name,), reason + _at_hand(best[:1], held))


def openers(
    target: float,
    hlbs: Sequence[float],
    library: Library,
    *,
    allowed: Callable[[Candidate], bool] = lambda candidate: True,
) -> tuple[str, ...]:
    """Plain nonionics of the tables on the side where these emulsifiers do not reach."""
    upward = target > max(hlbs)
    found = []
    for i in library.emulsifiers:
        e = i.hlb
        if e is None or e.alternatives or mark(i) or e.value > NONIONIC_MOST:
            continue
        if not allowed(Candidate(i.common_name, e, i)):
            continue
        if (e.value > target) if upward else (e.value < target):
            found.append(
                (
                    i.family not in ("polysorbate", "sorbitan ester", "ethoxylated alcohol"),
                    e.grade == "memory",
                    abs(e.value - target),
                    i.common_name,
                    e.value,
                )
            )
    return tuple(f"{name} ({value:.1f})" for *_, name, value in sorted(found)[:4])
