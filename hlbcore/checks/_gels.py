"""Gels that charge, pH and salt break: carbomer, acrylates and alginate."""

from __future__ import annotations

import math
from collections.abc import Iterable

from hlbcore.blending.worked import Worked
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules import electrolytes


def line_names(lines: Iterable[Counted]) -> str:
    """Names of lines, each once."""
    return ", ".join(dict.fromkeys(s.name for s in lines))


def active_sum(lines: Iterable[Counted]) -> float:
    """Active part of lines together. [% of formula]"""
    return math.fsum(s.active for s in lines)


def unique(*groups: tuple[Counted, ...]) -> tuple[Counted, ...]:
    """Lines of several groups, each line once."""
    return tuple({id(s): s for group in groups for s in group}.values())


def salt_lines(view: Worked) -> tuple[Counted, ...]:
    """Salts, also those that are sold for another purpose."""
    return unique(view.of_kind("salt"), view.of_id(*electrolytes.SALTS_OF_OTHER_KINDS))


def soap_made(view: Worked) -> bool:
    """Whether a fatty acid turns to soap in the formula."""
    return view.required is not None and view.required.soap > 0


def acrylic(view: Worked) -> list[Finding]:
    """Carbomer without base, at low pH, with salt or zinc."""
    raw = view.of_id(*electrolytes.ACRYLIC)
    held = (*raw, *view.of_id(*electrolytes.ACRYLIC_SALTS))
    if not held or view.water_pct <= 0:
        return []
    pct = active_sum(held)
    found = []
    bases = unique(view.of_kind("base"), view.of_id(*electrolytes.BASES))
    if raw and not bases:
        need = electrolytes.hydroxide_for(active_sum(raw))
        found.append(
            Finding(
                "caution",
                f"{raw[0].name}: no base to neutralise it",
                f"{line_names(raw)}: {active_sum(raw):.3g} % stays thin and acid until a base "
                "neutralises it.",
                f"{active_sum(raw):.3g} % of the formula",
                PRACTICE,
                f"Add about {need:.2g} % sodium hydroxide, or the base and amount that the "
                "supplier names (0.4 parts to one, from memory); add it last, and measure the pH.",
            )
        )
    elif raw and soap_made(view):
        found.append(
            Finding(
                "note",
                f"{raw[0].name}: the fatty acid takes base too",
                f"{line_names(bases)}: {active_sum(bases):.3g} % is counted for the soap as if the "
                f"{raw[0].name} took none.",
                f"{active_sum(raw):.3g} % of the formula",
                electrolytes.CHEMISTRY,
                "Measure the pH of the finished product.",
            )
        )
    ph = view.facts.ph
    if ph is not None and ph < electrolytes.CARBOMER_PH:
        found.append(
            Finding(
                "caution",
                f"{held[0].name}: thin at low pH",
                f"{line_names(held)}: below about pH {electrolytes.CARBOMER_PH:g} it is hardly "
                f"charged and thickens little; the pH is {ph:g}.",
                f"pH {ph:g}",
                "from memory",
                "Use a gum that bears acid, such as xanthan, or raise the pH.",
            )
        )
    salts = tuple(s for s in salt_lines(view) if s.key not in electrolytes.CHELATORS)
    zinc = view.of_id("zinc_oxide")
    if active_sum((*salts, *zinc)) >= electrolytes.SALT_WORTH_PCT:
        found.append(
            Finding(
                "caution",
                f"{held[0].name} with salt",
                f"{line_names((*salts, *zinc))}: {active_sum((*salts, *zinc)):.3g} % of the formula with "
                f"{pct:.3g} % {line_names(held)}. Salt thins it, divalent ions most.",
                f"{active_sum((*salts, *zinc)):.3g} % salt to {pct:.3g} % polymer",
                PRACTICE,
                "Leave the salt out, or use a gum that bears it, such as hydroxyethylcellulose or "
                "sclerotium gum.",
            )
        )
    return found


def alginate(view: Worked) -> list[Finding]:
    calcium = view.of_id("calcium_chloride")
    algin = view.of_id("algin")
    if not calcium or not algin:
        return []
    return [
        Finding(
            "caution",
            "Alginate with calcium",
            f"{line_names(algin)} gels in lumps with {line_names(calcium)}.",
            f"{active_sum(calcium):.3g} % of the formula",
            electrolytes.CHEMISTRY,
            "Leave the calcium out, or use another gum.",
        )
    ]
