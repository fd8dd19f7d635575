"""What may sink out of a product without water."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hlbcore.blending import words
from hlbcore.blending.judging import GRIFFIN
from hlbcore.blending.marks import SANK
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.product_types import ProductType

SINKS_ABOVE = 10.0
"""Above this a liquid emulsifier of Griffin's scale may not stay dissolved in oil. [HLB] Our
convention; the ones that sank stand at 15 (forum_bath_oil_41595)."""

SANK_PCT = 20.0
"""Share of the fats at which polysorbate 80 sank. [% of fat base] forum_bath_oil_41595."""


def sinking(used: Sequence[Counted], kind: ProductType, oil: float | None) -> list[Finding]:
    """Hydrophilic liquids in a product without water: nothing in a liquid oil holds them up."""
    if not kind.anhydrous:
        return []
    held = [
        x
        for x in used
        if x.ingredient is not None
        and x.ingredient.system == GRIFFIN
        and x.ingredient.form != "solid"
        and x.estimate is not None
        and x.estimate.value > SINKS_ABOVE
    ]
    if not held:
        return []
    poured = kind.name == "dispersing bath or cleansing oil"
    pct = math.fsum(x.active for x in held)
    whole = math.fsum(x.active for x in used) + (oil or 0.0)
    as_printed = kind.name == "cleansing balm" and pct >= SANK_PCT / 100 * whole * (1 - 1e-9)
    found = Finding(
        "caution" if poured else "note",
        f"{words.names_of(held)} may not stay dissolved in the oil",
        f"{SANK}; a matched HLB does not see to that.",
        f"{pct:.3g} % of the formula",
        "forum_bath_oil_41595 (one forum thread)",
        "Keep a jar for weeks, cold and warm, and look for a layer below or drops on top; less of it, or an "
        "oil-soluble emulsifier, is the way out.",
        aside=not (poured or as_printed),
    )
    return [found]
