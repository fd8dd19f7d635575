"""Gum: share on each basis, wetting, hydration, and why it is weighed.

=========  ====================================================================================
inputs     lines [% of formula], their phases
rule       shares by plain arithmetic; wetted before water; hydrated before sugar and salt;
           spoon to gram by bulk density (`thickening.spoon_grams`)
source     forum threads of chemists; pmc8233982 for bulk densities; else common practice
levels     gum without water: caution; the rest: note. No limit: no use range has a source here
mend       what to wet it with, in what order, how many grams
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.worked import Worked, total
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules import thickening

WORTH = 1.0
"""Sugar, salt and grains below this are not worth a line. [% of formula] Our convention."""

BATCH_G = 100.0  # [g] the batch that spoons are told for


def gum(view: Worked) -> list[Finding]:
    """Shares of the gum and the order of its making.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        None without a gum.
    """
    gums = view.of_kind("gum")
    pct = math.fsum(s.active for s in gums)
    if pct <= 0:
        return []
    names = ", ".join(s.name for s in gums)
    wetters = [
        s for s in view.of_kind("humectant") if s.ingredient is not None and s.ingredient.form != "solid"
    ]
    return [
        _share(view, names, pct),
        _wetting(names, pct, [s.name for s in wetters], total(wetters)),
        *_order(view, names),
        _spoon(names, pct),
    ]


def _share(view: Worked, names: str, pct: float) -> Finding:
    water, humectant = view.water_pct, total(view.of_kind("humectant"))
    if water <= 0:
        return Finding(
            "caution",
            "Gum without water",
            f"{names}, {pct:.3g} % of the jar: a gum thickens by taking up water, and none is entered.",
            f"{pct:.3g} % of the jar",
            PRACTICE,
            "Enter the water, or thicken the fat with wax, butter or silica.",
        )
    said = f"{pct:.3g} % of the jar = {100 * pct / water:.3g} % of the water"
    if humectant > 0:
        said += f" = {100 * pct / (water + humectant):.3g} % of water and humectant"
    return Finding(
        "note",
        f"{names}: share",
        f"{said}.",
        f"{pct:.3g} % of the jar",
        "the same mass on each basis; plain arithmetic",
        "Compare with the supplier's rate on the same basis; try a ladder of three amounts.",
        aside=True,
    )


def _wetting(names: str, pct: float, wetters: list[str], amount: float) -> Finding:
    if wetters:
        text = f"{amount / pct:.3g} g of {', '.join(wetters)} to 1 g of gum."
        mend = f"Stir the gum into the {wetters[0]} to a smooth slurry, then into the water."
    else:
        text = "No liquid humectant or glycol to wet it with."
        mend = "Wet it with glycerin or a glycol taken from the water, or stir it into the warm oil."
    return Finding(
        "note",
        "Gum: wet it before the water",
        f"{names} straight into water makes lumps. {text}",
        f"{amount / pct:.3g} g/g",
        "chemists_forum_3808_xanthan; chemists_forum_7657_froth",
        f"{mend} No high shear afterwards: it froths.",
        aside=True,
    )


def _order(view: Worked, names: str) -> list[Finding]:
    rest = [
        s
        for s in view.lines
        if s.pct > 0 and s.kind != "gum" and (s.kind in ("sugar", "salt") or s.line.phase == "solids")
    ]
    if total(rest) < WORTH:
        return []
    listed = ", ".join(f"{s.pct:.3g} % {s.name}" for s in rest)
    return [
        Finding(
            "note",
            "Gum: hydrate it before sugar and salt",
            f"{listed}: what dissolves takes the water that {names} needs to swell.",
            f"{total(rest):.3g} % of the jar",
            PRACTICE,
            "Let the gum swell fully in the water first, then add grains, sugar and salt.",
            aside=True,
        )
    ]


def _spoon(names: str, pct: float) -> Finding:
    grams = BATCH_G * pct / 100
    fewest, most = thickening.spoons_for(grams)
    spoon = thickening.spoon_grams(1.0)
    low, high = thickening.REAL_SPOONS_ML
    return Finding(
        "note",
        "Gum: weigh it",
        f"{BATCH_G:g} g of product take {grams:.3g} g of {names}, which may be {fewest:.2g} to "
        f"{most:.2g} US teaspoons: a level one holds {spoon.low_g:.2g} to {spoon.high_g:.2g} g of "
        f"gum powder (plus or minus {spoon.error_pct:.0f} %), and household spoons hold {low:g} to "
        f"{high:g} mL. Bulk densities are those of other gums; none was found for xanthan.",
        f"{grams:.3g} g in {BATCH_G:g} g",
        "pmc8233982, Table 3; alanskitchen_teaspoon",
        f"Weigh {grams:.3g} g for each {BATCH_G:g} g on a scale that shows 0.01 g.",
        aside=True,
    )
