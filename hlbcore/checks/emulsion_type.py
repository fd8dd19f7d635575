"""Whether there is an emulsifier at all, and of the right type; without HLB.

=========  ====================================================================================
inputs     oil phase, water, emulsifiers, and what else may hold oil [% of formula]
rule       oil and water need an emulsifier of the type of the emulsion (`judging.emulsion_of`)
source     classes of Griffin's scale (griffin_1949_recalled); else common practice
levels     none, or only the other type: stop; where wax, glyceryl stearate, lecithin or soap takes
           part, or a line is unknown: caution
mend       an emulsifier of the type, or the partner that is missing
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.judging import EITHER, LIPOPHILIC_MOST, emulsion_of, system_of
from hlbcore.blending.worked import Worked, total
from hlbcore.checks._allergens import holding, names_of
from hlbcore.checks._unknown import cannot_tell, unknown_lines
from hlbcore.counting.counted import Counted
from hlbcore.counting.soap import soap_of
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules import electrolytes

OIL_LEAST = 1.0
"""Less oil than this needs no emulsifier of its own. [% of formula] Our convention."""

HOLDS_OIL = ("acacia_gum", *electrolytes.ACRYLIC, *electrolytes.ACRYLIC_SALTS)
"""Gums and polymers that hold oil by themselves, by id."""

HOLDS_OIL_WORDS = ("lecithin", "saponin", "quillaja", "soapwort", "protein", "gum arabic", "taurate")
"""Words of names that hold oil by themselves."""

WAXES = ("wax", "lanolin")
"""Kinds that hold some water in fat without being an emulsifier."""

TYPE_RULE = f"emulsifiers of HLB 4 to 6 lean to w/o, of 8 to 18 to o/w (griffin_1949_recalled); {PRACTICE}"


def emulsion_type(view: Worked) -> list[Finding]:
    """Whether oil and water have an emulsifier of their type.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty where the product holds no oil, no water, or an emulsifier of its type.
    """
    kind = view.product
    oil = math.fsum(x.active for x in view.lines if x.is_fat and not x.is_emulsifier)
    if kind.anhydrous or view.water_pct <= 0 or oil < OIL_LEAST:
        return []
    if not kind.emulsion and kind.name != "conditioner":
        return []
    system = system_of(view.emulsifiers)
    held = (*system.griffin, *system.rated)
    soap = soap_of(view.lines, [])
    if soap is not None and math.fsum(soap.masses.values()) > 0:
        return [] if held else [_soap(math.fsum(soap.masses.values()))]
    if not held:
        return [_none(view, oil)]
    return _type(view, held)


def _soap(pct: float) -> Finding:
    return Finding(
        "note",
        "The emulsifier is soap",
        "It forms from fatty acid and base; there is no HLB verdict on a soap.",
        f"{pct:.3g} % of the formula turns to soap",
        "HLB adds up for nonionics (pasquali_2008)",
        "Measure the pH, and go by a bench trial.",
    )


def _none(view: Worked, oil: float) -> Finding:
    figure = f"{oil:.3g} % oil phase, {view.water_pct:.3g} % water"
    holds = {x.number: x for x in (*view.of_id(*HOLDS_OIL), *holding(view, *HOLDS_OIL_WORDS))}
    if unknown := unknown_lines(view):
        return cannot_tell(
            "whether there is an emulsifier", unknown, "None of the lines that are known is one.", PRACTICE
        )
    if holds:
        return Finding(
            "caution",
            f"No emulsifier but {names_of(list(holds.values()))}",
            "Polymers, gum arabic, proteins, lecithin and saponins can hold oil, each in its own way and "
            "amount; no rule of the tables says whether this much holds.",
            figure,
            PRACTICE,
            "Ask the supplier for its rate as an emulsifier, and keep a trial jar.",
        )
    wax = [x for x in view.of_kind(*WAXES) if x.is_fat]
    if view.product.emulsion == "w/o" and wax:
        return Finding(
            "caution",
            "No emulsifier: held by the wax, may weep water",
            f"{names_of(wax)}: wax holds water in fat for a while; it is no emulsifier by itself.",
            f"{total(wax):.3g} % wax and lanolin to {view.water_pct:.3g} % water",
            PRACTICE,
            "Add a w/o emulsifier at its supplier's rate, or take less water; then a jar kept for weeks.",
        )
    return Finding(
        "stop",
        "No emulsifier",
        "Oil and water part: every line is known, and none is an emulsifier. Waxes and fatty alcohols are "
        "none by themselves.",
        figure,
        PRACTICE,
        "Add emulsifiers, or let the tool choose them.",
    )


def _type(view: Worked, held: tuple[Counted, ...]) -> list[Finding]:
    wanted = view.product.emulsion
    if not wanted:
        return []
    types = {x.key: emulsion_of(x) for x in held}
    other = "w/o" if wanted == "o/w" else "o/w"
    wrong = [x for x in held if types[x.key] == other]
    either = [x for x in held if not types[x.key] and (x.key in EITHER or _serves_both(x))]
    low = [x for x in either if x.estimate is not None and x.estimate.value <= LIPOPHILIC_MOST]
    if len(wrong) + len(either) < len(held) or not (wrong or (wanted == "o/w" and len(low) == len(held))):
        return []
    names, figure = names_of(list(held)), f"{math.fsum(x.active for x in held):.3g} % of the formula"
    partner = "a hydrophilic" if wanted == "o/w" else "a lipophilic or polymeric w/o"
    mend = f"Add {partner} partner; let the tool split the same total."
    if unknown := unknown_lines(view):
        return [
            cannot_tell(
                "the type of emulsion",
                unknown,
                f"{names} lean to {other} in {view.product.one}; a line that is not known may be the "
                "partner.",
                TYPE_RULE,
            )
        ]
    if either:
        said = f"{names}: such a system leans to {other}, or holds only half; it often parts in use."
        return [Finding("caution", "Only half of an emulsifier system", said, figure, TYPE_RULE, mend)]
    said = f"{names}: all lean to {other}, and this is {view.product.one}: expect it to part or to turn over."
    return [Finding("stop", f"Only emulsifiers of the other type ({other})", said, figure, TYPE_RULE, mend)]


def _serves_both(x: Counted) -> bool:
    return x.ingredient is not None and x.ingredient.system in ("lecithin", "soap")
