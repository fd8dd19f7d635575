"""The emulsifiers of a formula: lines, and fixed parts of bought blends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hlbcore.blending.candidates import TRACE, TRACE_BOUNDS
from hlbcore.blending.results import BlendHlb
from hlbcore.estimate import Estimate, Mixture
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library
from hlbcore.sheets.seen import see


@dataclass(frozen=True, slots=True)
class Member:
    """One emulsifier of a formula: a line, or a fixed part of a bought blend.

    Parameters
    ----------
    label : str
        Unique among the members.
    key : str
        Id of the ingredient.
    estimate : Estimate or None
        Its HLB. [HLB]
    active : float
        Its active part. [% of formula]
    line : int or None
        Number of its line [-]; None where it cannot be changed alone.
    active_pct : float
        Active part of what is bought. [% of the line]
    ingredient : Ingredient or None
        None for a name that nobody knows.
    """

    label: str
    key: str
    estimate: Estimate | None
    active: float
    line: int | None
    active_pct: float
    ingredient: Ingredient | None

    @property
    def movable(self) -> bool:
        """Whether the solver may change it."""
        return self.line is not None and self.estimate is not None and self.active_pct > 0


def members(formula: Formula, library: Library) -> tuple[Member, ...]:
    """The emulsifiers of the base, as lines and as parts of bought blends."""
    blends = {fold(c.name): c for c in formula.composites}
    found: list[Member] = []
    labels: set[str] = set()

    def add(line: Line, at: int | None, name: str) -> None:
        s = see(line, library)
        if not s.is_emulsifier or line.pct <= 0:
            return
        estimate = line.own or (s.ingredient.hlb if s.ingredient else None)
        if s.is_whole_wax and line.own is None:
            estimate = None
        label = name
        number = 2
        while library.key(label) in labels:
            label, number = f"{name} (again {number - 1})", number + 1
        labels.add(library.key(label))
        found.append(
            Member(label, library.key(line.name), estimate, line.active, at, line.active_pct, s.ingredient)
        )

    for n, line in enumerate(formula.lines):
        if line.portion is not None:
            continue
        blend = blends.get(fold(line.name))
        if blend is None:
            add(line, n, line.name)
            continue
        for p in blend.parts:
            part = replace(line, name=p.name, pct=line.pct * p.pct / 100)
            add(part, None, f"{p.name} in {line.name}")
    return tuple(found)


def blend_of(held: Sequence[Member], amounts: Sequence[float]) -> BlendHlb | None:
    """The HLB of the members; None where more than a trace has no figure."""
    total = math.fsum(amounts)
    if total <= 0:
        return None
    blank = math.fsum(a for m, a in zip(held, amounts, strict=True) if m.estimate is None)
    if blank / total >= TRACE:
        return None
    mixture = Mixture.by_mass(list(amounts), [m.estimate or TRACE_BOUNDS for m in held])
    return BlendHlb(mixture.total, mixture, tuple(m.label for m in held))


def is_solid(ingredient: Ingredient) -> bool:
    return ingredient.form == "solid"


def solid_pct(held: Sequence[Member], amounts: Sequence[float]) -> float:
    """Emulsifiers that are sold as solids. [% of formula]"""
    pairs = zip(held, amounts, strict=True)
    return math.fsum(a for m, a in pairs if m.ingredient and is_solid(m.ingredient))


def bought(held: Sequence[Member], amounts: Sequence[float]) -> dict[str, float]:
    found: dict[str, float] = {}
    for m, a in zip(held, amounts, strict=True):
        mass = a * 100 / m.active_pct if m.active_pct > 0 else a
        found[m.key] = found.get(m.key, 0.0) + mass
    return found
