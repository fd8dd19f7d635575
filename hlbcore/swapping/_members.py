"""The emulsifiers of a formula with other amounts: their HLB, what is bought, what is solid."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hlbcore.blending.mixing import system_hlb
from hlbcore.blending.results import BlendHlb
from hlbcore.counting.counted import Counted
from hlbcore.errors import EmptyPhase, MissingValue


def hlb_of(held: Sequence[Counted], amounts: Sequence[float]) -> BlendHlb | None:
    """The HLB of these active amounts; None where there are none or more than a trace has no figure."""
    try:
        return system_hlb(held, amounts)
    except (MissingValue, EmptyPhase):
        return None


def solid_pct(held: Sequence[Counted], amounts: Sequence[float]) -> float:
    """Emulsifiers that are sold as solids. [% of formula]"""
    pairs = zip(held, amounts, strict=True)
    return math.fsum(a for x, a in pairs if x.ingredient and x.ingredient.is_solid)


def active(held: Sequence[Counted]) -> list[float]:
    """Their active amounts. [% of formula]"""
    return [x.active for x in held]


def bought(held: Sequence[Counted], amounts: Sequence[float]) -> dict[str, float]:
    """What is bought of each ingredient for these active amounts. [% of formula]"""
    found: dict[str, float] = {}
    for x, a in zip(held, amounts, strict=True):
        mass = a * 100 / x.active_pct if x.active_pct > 0 else a
        found[x.key] = found.get(x.key, 0.0) + mass
    return found
