"""One finished product as the checks see it: lines with their ingredients, and the sums."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from hlbcore.counting.oil_phase import required_hlb
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import HlbError
from hlbcore.estimate import Estimate
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Facts
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type
from hlbcore.sheets.seen import Seen, see


@dataclass(frozen=True, slots=True)
class View:
    """A finished product: a formula without portions, bought blends split into their parts.

    Parameters
    ----------
    formula : Formula
        The formula as written.
    product : ProductType
        Its product type.
    lines : tuple of Seen
        The lines after splitting blends.
    bought : tuple of Seen
        The lines as bought.
    required : RequiredHlb or None
        Required HLB of the oil phase; None where it cannot be computed.
    reason : str
        Why it cannot.
    library : Library
        The tables.
    base : Formula or None
        The whole formula with its portions, where this product is one of them.
    """

    formula: Formula
    product: ProductType
    lines: tuple[Seen, ...]
    bought: tuple[Seen, ...]
    required: RequiredHlb | None
    reason: str
    library: Library
    base: Formula | None = None

    @property
    def facts(self) -> Facts:
        """What is known beside the lines."""
        return self.formula.facts

    def of_kind(self, *kinds: str) -> tuple[Seen, ...]:
        """Lines of these kinds with an amount above 0."""
        return tuple(s for s in self.lines if s.kind in kinds and s.pct > 0)

    def of_id(self, *ids: str) -> tuple[Seen, ...]:
        """Lines of these ingredients with an amount above 0."""
        return tuple(s for s in self.lines if s.ingredient and s.ingredient.id in ids and s.pct > 0)

    @property
    def water_pct(self) -> float:
        """Water, hydrosols and juices. [% of formula]"""
        return total(self.of_kind("water"))

    @property
    def solids_pct(self) -> float:
        """What is stirred in as grains: crystals, powders. [% of formula]"""
        return total(s for s in self.lines if s.line.phase == "solids")

    @property
    def fat_base_pct(self) -> float:
        """Oil side and emulsifiers. [% of formula]"""
        return total(s for s in self.lines if s.is_fat)

    @property
    def emulsifiers(self) -> tuple[Seen, ...]:
        """Lines that count as emulsifiers."""
        return tuple(s for s in self.lines if s.is_emulsifier and s.pct > 0)

    @property
    def emulsifier_pct(self) -> float:
        """All emulsifiers, active part. [% of formula]"""
        return math.fsum(s.line.active for s in self.emulsifiers)


def total(lines: Iterable[Seen]) -> float:
    """Sum of the amounts as bought. [% of formula]"""
    return math.fsum(s.pct for s in lines)


def look(formula: Formula, library: Library | None = None, *, base: Formula | None = None) -> View:
    """A finished product as the checks see it.

    Parameters
    ----------
    formula : Formula
        Without portions, as `Formula.finished` gives them.
    library : Library, optional
        The built-in tables if left out.
    base : Formula, optional
        The formula that it is a portion of.

    Returns
    -------
    View
        Lines and sums, each computed once for all checks.
    """
    library = library or load_library()
    kind = product_type(formula.product_type)

    lines = tuple(see(line, library) for line in formula.expanded().lines)
    phase: dict[str, float] = {}
    sides: dict[str, str] = {}
    values: dict[str, Estimate] = {}
    for s in lines:
        if s.ingredient is None and (s.line.own is None or s.is_emulsifier):
            continue
        key = s.ingredient.common_name if s.ingredient else s.name
        phase[key] = phase.get(key, 0.0) + s.line.active
        if s.line.own is not None and not s.is_emulsifier:
            values[key] = s.line.own
        if s.line.role != "auto" and s.ingredient and "_or_" in s.ingredient.convention:
            sides[key] = s.line.role
    required, reason = None, ""
    try:
        required = required_hlb(
            phase, emulsion=kind.phase_emulsion, values=values, sides=sides, whole=100.0, library=library
        )
    except HlbError as error:
        reason = str(error)
    return View(
        formula, kind, lines, tuple(see(x, library) for x in formula.lines), required, reason, library, base
    )
