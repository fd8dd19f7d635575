"""A clear solubilised product: solubiliser to scent, and the preservative that it binds.

=========  ====================================================================================
inputs     perfume and essential oils, solubiliser, preservatives [% of formula]
rule       parts of solubiliser to one part of scent (`dose.solubiliser_ratio`, told by the verdict);
           micelles take up preservative
source     as named by the product type and by `preservation`
levels     scent without solubiliser, solubiliser beside a preservative: caution
mend       a clarity ladder, and a challenge test of the finished product
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.dose import LADDER
from hlbcore.blending.worked import Worked, total
from hlbcore.checks._allergens import names_of
from hlbcore.checks._unknown import cannot_tell, unknown_lines
from hlbcore.checks.preserving import TEST, held_of
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules import preservation

SCENT_LEAST = 0.05
"""Less scent than this may dissolve in water by itself. [% of formula] Our convention."""


def solubilised(view: Worked) -> list[Finding]:
    """What clarity and preservation turn on.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Empty for all other product types.
    """
    if view.product.name != "clear solubilised product" or view.water_pct <= 0:
        return []
    scent = [x for x in view.lines if x.side == "oil" and x.pct > 0]
    solubiliser = math.fsum(x.active for x in view.emulsifiers)
    alcohol = math.fsum(x.active for x in view.of_id(*preservation.ALCOHOLS))
    found = []
    if total(scent) >= SCENT_LEAST and solubiliser <= 0 and alcohol < preservation.ALCOHOL_PCT:
        said = (
            f"{names_of(scent)}, {total(scent):.3g} %: without a solubiliser or much alcohol it floats on "
            "the water."
        )
        if unknown := unknown_lines(view):
            found.append(cannot_tell("whether there is a solubiliser", unknown, said, PRACTICE))
        else:
            found.append(
                Finding(
                    "stop", "No solubiliser", said, f"{total(scent):.3g} % of the formula", PRACTICE, LADDER
                )
            )
    held = [x for x in view.emulsifiers if x.ingredient is not None and x.ingredient.peg_based]
    kept = [h.line for h in held_of(view)]
    if held and kept:
        found.append(
            Finding(
                "caution",
                "A solubiliser binds preservative",
                f"{names_of(held)} takes {names_of(kept)} into its micelles, where it does not work: "
                "parabens above "
                "all, benzyl and phenethyl alcohol too.",
                f"{math.fsum(x.active for x in held) / max(total(kept), 1e-9):.3g} g of solubiliser "
                "to 1 g of "
                "preservative",
                preservation.STUDY_SOURCES,
                TEST,
            )
        )
    return found
