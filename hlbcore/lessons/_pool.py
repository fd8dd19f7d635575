"""What the exercises draw from: ingredients whose figures are firm enough to practise with."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from hlbcore.estimate import Estimate
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library

FIRM_SPREAD = 3.0
"""Exercises use figures with a narrower range, from two or more sources. [HLB] Our convention."""

NOT_ON_SKIN = ("kerosene",)
"""Stands in the tables for its ladders, not for a cream."""

OIL_KINDS = ("oil", "butter", "ester", "hydrocarbon")
PAIRS = (
    ("sorbitan_stearate", "polysorbate_60"),
    ("sorbitan_oleate", "polysorbate_80"),
    ("sorbitan_laurate", "polysorbate_20"),
    ("sorbitan_palmitate", "polysorbate_40"),
    ("steareth_2", "steareth_20"),
    ("ceteth_2", "ceteth_20"),
    ("oleth_2", "oleth_20"),
    ("sorbitan_oleate", "oleth_20"),
    ("sorbitan_stearate", "ceteth_20"),
    ("steareth_2", "polysorbate_60"),
    ("glyceryl_stearate", "peg_100_stearate"),
)
"""Pairs as makers use them, the lower first. common practice, no source."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A name and its figure. [HLB]"""

    name: str
    value: float
    other: float | None = None  # required HLB for w/o


@dataclass(frozen=True, slots=True)
class Pool:
    """What the exercises draw from: ingredients with firm figures."""

    oils: tuple[Figure, ...]
    butters: tuple[Figure, ...]
    two_typed: tuple[Figure, ...]  # oils with a figure for w/o too
    two_sided: tuple[Figure, ...]
    emulsifiers: tuple[Figure, ...]
    pairs: tuple[tuple[Figure, Figure], ...]


def tidy(value: float, decimals: int) -> bool:
    """Whether a number has no more decimals than that."""
    return abs(value - round(value, decimals)) < 1e-9


def _firm(estimate: Estimate | None, sources: int = 2) -> bool:
    return (
        estimate is not None
        and not estimate.alternatives
        and len(estimate.sources) >= sources
        and estimate.grade != "memory"
        and estimate.spread <= FIRM_SPREAD
        and tidy(estimate.value, 1)
    )


@lru_cache(maxsize=4)
def pool(library: Library) -> Pool:
    """The ingredients of a library whose figures are firm enough to practise with."""
    oils: list[Figure] = []
    butters: list[Figure] = []
    two_typed: list[Figure] = []
    two_sided: list[Figure] = []
    emulsifiers: list[Figure] = []
    own: dict[str, Figure] = {}
    for i in library:
        required, hlb, other = i.required_hlb("o/w"), i.hlb, i.required_hlb("w/o")
        if required is not None and _firm(required):
            if i.convention == "oil_or_emulsifier":
                two_sided.append(Figure(i.common_name, required.value))
            elif i.convention == "oil" and i.kind in OIL_KINDS and i.id not in NOT_ON_SKIN:
                known = other.value if other is not None and _firm(other) else None
                held = Figure(i.common_name, required.value, known)
                (butters if i.kind == "butter" else oils).append(held)
                if known is not None:
                    two_typed.append(held)
        if hlb is not None and _firm(hlb) and _plain_emulsifier(i):
            own[i.id] = Figure(i.common_name, hlb.value)
            emulsifiers.append(own[i.id])
    pairs = tuple((own[a], own[b]) for a, b in PAIRS if a in own and b in own)
    return Pool(tuple(oils), tuple(butters), tuple(two_typed), tuple(two_sided), tuple(emulsifiers), pairs)


def _plain_emulsifier(ingredient: Ingredient) -> bool:
    """Nonionic, one substance, on the scale of 20, and no alkylphenol."""
    hlb = ingredient.hlb
    return (
        ingredient.kind == "emulsifier"
        and ingredient.charge == "nonionic"
        and "alkylphenol" not in ingredient.family
        and ingredient.family != "blend"
        and hlb is not None
        and hlb.value <= 20
    )
