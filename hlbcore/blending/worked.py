"""Everything that follows from a formula, in one object that every page and function reads."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from hlbcore.blending.judging import HLB
from hlbcore.blending.results import Blend, BlendHlb
from hlbcore.blending.verdict import Verdict
from hlbcore.blending.weighing import WeighedBlend
from hlbcore.counting.counted import Counted, counted
from hlbcore.counting.required import RequiredHlb
from hlbcore.counting.soap import LEFT_OVER, NO_ACID
from hlbcore.errors import UnreachableTarget
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding, background, worst_first
from hlbcore.formula.facts import Facts
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Problem
from hlbcore.library import Library
from hlbcore.product_types import ProductType

CAUSTIC_PH = 9.0
"""Measured up to this, no base is left over. [-] Our convention."""


@dataclass(frozen=True, eq=False)
class Worked:
    """What follows from a formula; made by `work_out`.

    Parameters
    ----------
    formula : Formula
        As typed.
    made : Formula
        As it would be made: with the amounts of the emulsifiers that were asked for.
    library : Library
        The tables it was worked out with.
    product : ProductType
        Its product type.
    lines : tuple of Counted
        The lines of `made` with their ingredients, sides and figures.
    required : RequiredHlb or None
        What the oil phase of the base requires.
    reason : str
        Why there is no required HLB; blank where there is one.
    verdict : Verdict
        The verdict on the emulsifiers in `amounts`.
    amounts : mapping of str to float
        The emulsifiers of the base as bought. [% of formula]
    blend : BlendHlb or None
        HLB of these; None where there is none.
    solved : Blend or None
        The amounts that were solved for, active parts. [% of formula]
    unreachable : UnreachableTarget or None
        Why no blend meets what was asked.
    choice : str
        Why the tool chose these emulsifiers; blank where it did not.
    dose_asked : tuple of float
        Total that was asked for, active parts. [% of formula]
    weighed : WeighedBlend or None
        The emulsifiers in grams that the scale can show; None where that cannot be said.
    problems : tuple of Problem
        What is wrong with the formula, and what of it could not be used.
    base_pcts : tuple of float
        Where this is one portion of a base: the lines of that base before anything was added on
        top. [% of the base]
    shelf : tuple of str
        Emulsifiers at hand, which the tool takes first where it chooses.
    """

    formula: Formula
    made: Formula
    library: Library
    product: ProductType
    lines: tuple[Counted, ...]
    required: RequiredHlb | None
    reason: str
    verdict: Verdict
    amounts: Mapping[str, float]
    blend: BlendHlb | None
    solved: Blend | None = None
    unreachable: UnreachableTarget | None = None
    choice: str = ""
    dose_asked: tuple[float, float] = (0.0, 100.0)
    weighed: WeighedBlend | None = None
    problems: tuple[Problem, ...] = ()
    base_pcts: tuple[float, ...] = ()
    shelf: tuple[str, ...] = ()

    @property
    def facts(self) -> Facts:
        """What is known beside the lines."""
        return self.made.known_facts

    @property
    def window(self) -> float:
        """Half width of the window. [HLB]"""
        typed = self.formula.aims.window.value
        return self.product.window if typed is None else typed

    @cached_property
    def emulsifiers(self) -> tuple[Counted, ...]:
        """Emulsifiers of the base with an amount above 0."""
        return tuple(x for x in self.base_lines if x.is_emulsifier and x.pct > 0)

    @cached_property
    def bought(self) -> tuple[Counted, ...]:
        """The lines as bought, blends not taken apart."""
        emulsion = self.product.phase_emulsion
        held = {x.number: x for x in self.lines}
        return tuple(
            counted(x.line, self.library, emulsion, pct=self.made.pcts[n], number=n) if x.is_part else x
            for n, x in held.items()
        )

    @cached_property
    def base_lines(self) -> tuple[Counted, ...]:
        """The lines without what single portions get."""
        return tuple(x for x in self.lines if x.line.portion is None)

    @property
    def of_base(self) -> Worked:
        """The same without what single portions get."""
        return self if not self.made.portion_list else replace(self, lines=self.base_lines)

    @property
    def emulsifier_pct(self) -> float:
        """All emulsifiers of the base, active part. [% of formula]"""
        return math.fsum(x.active for x in self.emulsifiers)

    @property
    def oil_pct(self) -> float:
        """The oil phase, emulsifiers left out; 0 where there is none. [% of formula]"""
        return oil_of(self.lines) if self.required is None else self.required.mass

    @property
    def dose(self) -> Finding | None:
        """The finding on the dose, apart from HLB."""
        return self.verdict.dose

    @property
    def pending(self) -> tuple[str, ...]:
        """Lines that were meant to count in the oil phase and do not, since something is missing."""
        usable = self.made.counted_lines
        return tuple(
            dict.fromkeys(
                x.name.strip() or f"line {x.number + 1}"
                for x in self.base_lines
                if x.side in ("oil", "unknown")
                and (x.side == "oil" or x.line.phase == "oil" or bool(x.problem))
                and (x.number not in usable or x.estimate is None or bool(x.line.own.problem))
            )
        )

    def problem_of(self, field_name: str, line: int | None = None) -> str:
        """The sentence on a field; blank where nothing is wrong with it."""
        return " ".join(p.text for p in self.problems if p.line == line and p.field == field_name)

    @cached_property
    def proposal(self) -> Blend | None:
        """A blend to set beside the amounts that are typed; the solved one where one was asked for."""
        from hlbcore.blending.proposal import proposal_of

        return self.solved if self.solved is not None else proposal_of(self)

    @property
    def target(self) -> Estimate | None:
        """Required HLB as an Estimate. [HLB]"""
        return None if self.required is None else self.required.estimate

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """What counting and blending found, the worst first."""
        found = [*self._of_oil_phase(), *self.verdict.findings]
        if self.verdict.dose is not None:
            found.append(self.verdict.dose)
        if self.weighed is not None:
            found += self.weighed.cautions
        return worst_first(dict.fromkeys(found))

    def _of_oil_phase(self) -> list[Finding]:
        """What counting found; how firm a figure is matters only where HLB judges."""
        if self.required is None:
            return []
        doubts = self.required.doubts
        found = [f for f in self.required.cautions if f not in doubts]
        if self.facts.ph is not None and self.facts.ph <= CAUSTIC_PH:
            found = [f for f in found if f.title not in (LEFT_OVER, NO_ACID)]
        if self.product.role == "none":
            return found
        return [*found, *(doubts if self.verdict.rule == HLB else background(doubts))]

    # --- sums that checks and diagnosis ask for

    def of_kind(self, *kinds: str) -> tuple[Counted, ...]:
        """Lines of these kinds with an amount above 0."""
        return tuple(x for x in self.lines if x.kind in kinds and x.pct > 0)

    def of_id(self, *ids: str) -> tuple[Counted, ...]:
        """Lines of these ingredients with an amount above 0."""
        return tuple(x for x in self.lines if x.ingredient and x.ingredient.id in ids and x.pct > 0)

    @property
    def water_pct(self) -> float:
        """Water, hydrosols and juices. [% of formula]"""
        return total(self.of_kind("water"))

    @property
    def solids_pct(self) -> float:
        """What is stirred in as grains: crystals, powders. [% of formula]"""
        return total(x for x in self.lines if x.line.phase == "solids")

    @property
    def fat_base_pct(self) -> float:
        """Oil side and emulsifiers. [% of formula]"""
        return total(x for x in self.lines if x.is_fat)


def oil_of(lines: Iterable[Counted]) -> float:
    """The oil phase of the base where no required HLB sums it up, active parts. [% of formula]"""
    return math.fsum(x.active for x in lines if x.side == "oil" and x.line.portion is None)


def total(lines: Iterable[Counted]) -> float:
    """Sum of the amounts as bought. [% of formula]"""
    return math.fsum(x.pct for x in lines)
