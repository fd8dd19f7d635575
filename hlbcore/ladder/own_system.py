"""What a ladder takes over from the maker: the pair, the dose, and lines that are in no vial."""

from __future__ import annotations

import math
from collections.abc import Mapping
from statistics import median

from hlbcore.blending.choice import USUAL_CHAIN, choose_emulsifiers
from hlbcore.blending.dose_evidence import dose_rows
from hlbcore.blending.judging import system_of
from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.errors import HlbError, clipped
from hlbcore.ladder.ladder import Ladder
from hlbcore.ladder.vial import WATER

GAP_LEAST = 1.0
"""HLB by which two emulsifiers differ at least, to step between them. [HLB] Our convention."""


def own_pair(worked: Worked) -> tuple[str, str] | None:
    """The two emulsifiers of a formula, the lower HLB first; None where there are not just two.

    Parameters
    ----------
    worked : Worked
        The open formula.

    Returns
    -------
    tuple of str, or None
        Names as in the formula.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> own_pair(work_out(example_formula("winter_hand_cream")))
    ('sorbitan stearate', 'polysorbate 60')
    """
    held = {
        x.key: (x.estimate.value, x.name.strip()) for x in worked.emulsifiers if x.estimate and x.active > 0
    }
    if len(held) != 2 or len({x.key for x in worked.emulsifiers}) != 2:
        return None
    (low, first), (high, second) = sorted(held.values())
    return (first, second) if high - low >= GAP_LEAST else None


USUAL_PAIRS = {
    "stearic": ("sorbitan stearate", "polysorbate 60"),
    "oleic": ("sorbitan oleate", "polysorbate 80"),
}
"""Pairs that most small makers can get, by fatty chain. common practice, no source"""


def likely_pairs(worked: Worked, target: float) -> tuple[tuple[tuple[str, str], str], ...]:
    """The pairs to step where none is named, the one that the maker has first, each with its reason.

    Parameters
    ----------
    worked : Worked
        The open formula, worked out with the shelf.
    target : float
        Middle of the ladder. [HLB]

    Returns
    -------
    tuple of (pair, str)
        The formula's own pair where both are at hand; else a pair of the shelf, the own pair, the usual ones.

    Examples
    --------
    >>> from hlbcore import Formula, work_out
    >>> likely_pairs(work_out(Formula()), 10.0)[0][0]
    ('sorbitan stearate', 'polysorbate 60')
    >>> likely_pairs(work_out(Formula(), shelf=["polysorbate 80", "sorbitan oleate"]), 10.0)[0][0]
    ('sorbitan oleate', 'polysorbate 80')
    """
    library, shelf = worked.library, worked.shelf
    held = {library.key(n) for n in shelf}
    found: list[tuple[tuple[str, str], str]] = []
    own = own_pair(worked)
    if own is not None and {library.key(n) for n in own} <= held:
        found.append((own, "the pair of the open formula, both on your shelf"))
    if held:
        try:
            chosen = choose_emulsifiers(target, worked.product, shelf=shelf, library=library).names
        except HlbError:  # a name that is no emulsifier of these tables
            chosen = ()
        if len(chosen) == 2:
            found.append(((chosen[0], chosen[1]), "both stand on your shelf"))
    if own is not None:
        found.append((own, "the pair of the open formula"))
    chain = USUAL_CHAIN.get(worked.product.name, "oleic")
    usual = [USUAL_PAIRS[chain], *(p for c, p in USUAL_PAIRS.items() if c != chain)]
    found += [(p, "a pair of one fatty chain that is easy to get; common practice, no source") for p in usual]
    first: dict[tuple[str, str], str] = {}
    for pair, why in found:
        first.setdefault(pair, why)
    return tuple(first.items())


def ready_emulsifier(worked: Worked) -> Counted | None:
    """The one emulsifier of a formula, where it goes by its supplier's rate; else None."""
    held = system_of(worked.emulsifiers)
    return held.rated[0] if len(held.rated) == 1 and not held.griffin else None


SEEN_LEAST = 3
"""Printed doses of one emulsifier from which their median is taken. [-] Our convention."""


def seen_dose(worked: Worked, ready: Counted) -> tuple[float, str]:
    """Middle dose of the first test of a ready emulsifier, and what it rests on. [% of formula]

    Parameters
    ----------
    worked : Worked
        The open formula.
    ready : Counted
        Its ready emulsifier.

    Returns
    -------
    tuple of (float, str)
        The median of what print shows for the product type; else the maker's own dose.
    """
    key = worked.library.key
    seen = [
        row.emulsifier_pct
        for row in dose_rows()
        if row.emulsifier_pct
        and (row.product_type, row.basis) == (worked.product.name, "formula")
        and {key(n) for n in row.uses} == {ready.key}
    ]
    if len(seen) >= SEEN_LEAST:
        return median(seen), f"the median of {len(seen)} printed doses with it"
    return ready.pct, "the dose of your formula"


def own_dose(worked: Worked, oils: Mapping[str, float]) -> float | None:
    """The maker's dose, at the same share of the oil phase. [% of the vial]

    Parameters
    ----------
    worked : Worked
        The open formula.
    oils : mapping of str to float
        The oil phase of the ladder. [% of the vial]

    Returns
    -------
    float or None
        None where the formula has no dose, or no oil phase to take it from.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> own_dose(work_out(example_formula("winter_hand_cream")), {"mineral oil": 20})
    4.46
    """
    whole = math.fsum(oils.values())
    if worked.emulsifier_pct <= 0 or worked.oil_pct <= 0 or whole <= 0:
        return None
    return round(worked.emulsifier_pct / worked.oil_pct * whole, 2)


def other_lines(worked: Worked) -> dict[str, float]:
    """The lines beside oils, emulsifiers and water: what a vial of a waterless product holds as well.

    Parameters
    ----------
    worked : Worked
        The open formula.

    Returns
    -------
    dict of str to float
        By name. [% of formula]

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> other_lines(work_out(example_formula("garden_hand_scrub")))["sea salt"]
    51.0
    """
    held: dict[str, float] = {}
    for x in worked.base_lines:
        if x.pct > 0 and not x.is_fat and x.kind != "water" and x.name.strip():
            held[x.name.strip()] = held.get(x.name.strip(), 0.0) + x.pct
    return held


def in_no_vial(worked: Worked, ladder: Ladder) -> str:
    """The lines of a formula that no vial holds, in a sentence; blank where there are none.

    Parameters
    ----------
    worked : Worked
        The open formula.
    ladder : Ladder
        The ladder that was planned for it.

    Returns
    -------
    str
        With their amounts.

    Examples
    --------
    >>> from hlbcore import example_formula, plan_ladder, work_out
    >>> cream = work_out(example_formula("winter_hand_cream"))
    >>> ladder = plan_ladder("sorbitan stearate", "polysorbate 60", centre=8, oil_phase={"shea butter": 9})
    >>> "4 % glycerin" in in_no_vial(cream, ladder)
    True
    """
    library = worked.library
    held = {library.key(n) for n in (*ladder.ingredients, WATER)}
    left = [
        f"{x.pct:.3g} % {clipped(x.name, 40)}"
        for x in worked.base_lines
        if x.pct > 0 and x.kind != "water" and x.name.strip() and library.key(x.name) not in held
    ]
    return f"In no vial: {', '.join(left)}." if left else ""
