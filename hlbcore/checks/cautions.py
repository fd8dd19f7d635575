"""Standing cautions by ingredient and product type.

=========  ====================================================================================
inputs     lines [% of formula], product type, area, cleansing, hottest temperature [°C],
           1,4-dioxane of the supplier [ppm]
rule       sums of `safety` against its limits; the rest fires on an ingredient or a product type
source     law with section and date in `safety`; what was not read says `from memory`
levels     not permitted: stop; over a limit, missing figure or hazard: caution; else note
mend       amount or supplier's figure that meets the limit, or what to ask and write
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.worked import Worked, total
from hlbcore.checks._allergens import allergens, holding, names_of
from hlbcore.checks.preserving import WET_HANDS
from hlbcore.counting.soap import LYE
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE
from hlbcore.rules import safety
from hlbcore.rules.safety import MEMORY

WAXY = ("wax", "butter", "fatty alcohol", "fatty acid", "emulsifying wax")
"""Kinds that are melted before use."""

FATTY = ("oil", "butter", "ester", "hydrocarbon", "silicone", "animal fat", "lanolin", "ether")
"""Kinds that leave an oily film."""

SLIPPERY_PCT = 5.0
"""Less oil in a product that is rinsed off is not worth the warning. [% of formula] Our convention."""


def cautions(view: Worked) -> list[Finding]:
    """What applies to this formula among the standing cautions, and who to ask.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        The last one is the note on who to ask.
    """
    present = [s for s in view.lines if s.pct > 0]
    if not present:
        return []
    found = [
        *_dioxane(view),
        *_amines(view),
        *_cyclic(view),
        *_microplastics(view),
        *_lye(view),
        *allergens(view),
        *_slip(view),
        *_hot(view),
        *_grains(view),
    ]
    return [*found, _who(view)]


def _ppm(value: float) -> str:
    return f"{value:.0f} ppm" if value >= 100 else f"{value:.3g} ppm"


def _dioxane(view: Worked) -> list[Finding]:
    held = [s for s in view.lines if s.ingredient and s.ingredient.peg_based and s.pct > 0]
    if not held:
        return []
    pct = total(held)
    cleansing = view.facts.cleansing
    limits = {
        True: (("cleansing product", safety.DIOXANE_CLEANSING_PPM),),
        False: (("cosmetic that does not cleanse", safety.DIOXANE_COSMETIC_PPM),),
        None: (
            ("cleansing product", safety.DIOXANE_CLEANSING_PPM),
            ("cosmetic that does not cleanse", safety.DIOXANE_COSMETIC_PPM),
        ),
    }[cleansing]
    said = "; ".join(
        f"{name}: {limit:g} ppm, met with a supplier's figure up to "
        f"{_ppm(safety.dioxane_allowed(pct, limit))}"
        for name, limit in limits
    )
    upto = "up to " if any(s.is_whole_wax for s in held) else ""
    unsaid = " Say whether it claims to cleanse: that decides the limit." if cleansing is None else ""
    if view.facts.dioxane_ppm is None:
        return [
            Finding(
                "note",
                "1,4-dioxane is not known",
                f"{names_of(held)}: {upto}{pct:.3g} % ethoxylated. Limits in New York: {said}.",
                f"{upto}{pct:.3g} % of the formula ethoxylated",
                safety.DIOXANE_RULE,
                f"Ask the supplier for 1,4-dioxane and ethylene oxide in ppm.{unsaid}",
                always=True,
            )
        ]
    ppm = safety.dioxane_in_product(pct, view.facts.dioxane_ppm)
    over = [(name, limit) for name, limit in limits if ppm > limit]
    mend = unsaid.strip()
    if over:
        _, limit = over[0]
        least = safety.dioxane_allowed(pct, limit)
        most = 100 * limit / view.facts.dioxane_ppm
        mend = (
            f"Ask for a grade of at most {_ppm(least)}, or bring the ethoxylated part to "
            f"{most:.3g} % of the formula.{unsaid}"
        )
    where = " and ".join(f"the limit of a {name}" for name, _ in over)
    return [
        Finding(
            "caution" if over else "note",
            f"1,4-dioxane is over {where}" if over else "1,4-dioxane is under the limit shown",
            f"{pct:.3g} % × {view.facts.dioxane_ppm:g} ppm = {ppm:.3g} ppm in the product. Limits "
            f"in New York: {said}.",
            f"{ppm:.3g} ppm",
            safety.DIOXANE_RULE,
            mend,
            aside=not over,
        )
    ]


def _amines(view: Worked) -> list[Finding]:
    amines = list({id(s): s for s in (*view.of_id(*safety.AMINES), *holding(view, "ethanolamine"))}.values())
    if not amines:
        return []
    found = []
    partners = [*view.of_id(*safety.NITROSATING), *holding(view, "nitrite")]
    if partners:
        found.append(
            Finding(
                "stop",
                "An amine with a nitrosating partner",
                f"{names_of(amines)} with {names_of(partners)}: nitrosamines can form.",
                f"{total(amines):.3g} % with {total(partners):.3g} % of the formula",
                safety.NITROSAMINE_RULE,
                f"Take out {names_of(partners)} and choose another preservative, or replace "
                f"{names_of(amines)}.",
            )
        )
    most = safety.TRIETHANOLAMINE_MAX_PCT
    tea = math.fsum(s.active for s in view.of_id("triethanolamine"))
    if view.product.leave_on and tea > most:
        found.append(
            Finding(
                "caution",
                "Triethanolamine is over the limit for products left on",
                f"{tea:.3g} % of the formula; at most {most:g} %.",
                f"{tea - most:.3g} points over",
                safety.AMINE_RULE,
                f"Bring it to {most:g} % or less, and the fatty acid with it.",
            )
        )
    found.append(
        Finding(
            "note",
            "Alkanolamines: purity from the supplier",
            f"{names_of(amines)}: the law asks for purity, secondary amine and nitrosamine.",
            f"{total(amines):.3g} % of the formula",
            safety.AMINE_RULE,
            "Keep the supplier's certificate with these three figures.",
            aside=True,
        )
    )
    return found


def _cyclic(view: Worked) -> list[Finding]:
    found = []
    for word, since in safety.CYCLIC_SILICONES.items():
        held = holding(view, word)
        pct = total(held)
        if not held:
            continue
        stop = since == "prohibited"
        over = pct >= safety.CYCLIC_MAX_PCT
        found.append(
            Finding(
                "stop" if stop else "caution" if over else "note",
                f"Cyclic silicone: {word}",
                f"{pct:.3g} % of the formula. EU limit: {since}"
                + ("." if stop else f"; below {safety.CYCLIC_MAX_PCT:g} %."),
                f"{pct:.3g} % of the formula",
                safety.CYCLIC_RULE,
                "Ask the supplier for D4, D5 and D6 in per cent, or replace it by a light ester or "
                "a volatile alkane; check the date for your product and market."
                if over or stop
                else "",
            )
        )
    return found


def _microplastics(view: Worked) -> list[Finding]:
    held = holding(view, *safety.MICROPLASTICS)
    glitter = [s for s in holding(view, "glitter") if s not in held]
    rinsed = not view.product.leave_on
    scrub = rinsed and view.solids_pct > 0
    melted = [s for s in held if s.line.phase == "oil"]
    grains = [s for s in held if s not in melted]
    found = []
    if grains:
        found.append(
            Finding(
                "stop" if scrub else "caution",
                "Microplastic",
                f"{names_of(grains)}: synthetic polymer particles"
                + (" in a scrub that is rinsed off." if scrub else ": dates by product type."),
                f"{total(grains):.3g} % of the formula",
                safety.MICROPLASTIC_RULE,
                "Take sugar, salt, jojoba beads, starch or a mineral powder instead.",
            )
        )
    if melted or glitter:
        asked = [*melted, *glitter]
        found.append(
            Finding(
                "note",
                "Microplastic? Ask the supplier",
                f"{names_of(asked)}: melted into fat a polymer wax is no bead, and glitter may be "
                "plastic or not; only the supplier can say.",
                f"{total(asked):.3g} % of the formula",
                safety.MICROPLASTIC_RULE,
                "Ask for the polymer, the particle size and a statement on the regulation.",
            )
        )
    return found


def _lye(view: Worked) -> list[Finding]:
    pct = math.fsum(s.active for s in view.of_id(*LYE))
    if pct <= safety.LYE_MAX_PCT:
        return []
    return [
        Finding(
            "stop",
            "Lye beyond setting a pH",
            f"{names_of(view.of_id(*LYE))}: {pct:.3g} % of the formula. This tool knows "
            "nothing of soap-making. If it is a solution, type its strength: only the active part counts.",
            f"{pct:.3g} % of the formula",
            safety.LYE_RULE,
            f"Bring it to {safety.LYE_MAX_PCT:g} % or less; for soap, learn soap-making with its "
            "eye and skin protection.",
        )
    ]


def _slip(view: Worked) -> list[Finding]:
    if view.product.leave_on:
        return []
    found = []
    oils = [s for s in view.lines if s.kind in FATTY and s.is_fat and s.pct > 0]
    if total(oils) >= SLIPPERY_PCT:
        found.append(
            Finding(
                "note",
                "Slippery tub and floor",
                f"{total(oils):.3g} % oils in a product that is rinsed off; an emulsifier makes it "
                "rinse better, it still slips.",
                f"{total(oils):.3g} % of the formula",
                safety.SLIP_RULE,
                "Write on the label, in words of your own: surfaces may become slippery; rinse "
                "tub and shower after use.",
                always=True,
            )
        )
    found.append(
        Finding(
            "note",
            "Package: no glass in the shower",
            "The package is not known here; wet hands drop glass.",
            rule=f"{PRACTICE}, {MEMORY}",
            mend="Take plastic or metal.",
            always=True,
        )
    )
    return found


def _hot(view: Worked) -> list[Finding]:
    waxy = view.of_kind(*WAXY)
    hottest = view.facts.hottest_c
    if not waxy and (hottest is None or hottest < safety.HOT_C):
        return []
    given = "hottest temperature not given" if hottest is None else f"{hottest:g} °C at the hottest"
    melted = f"{names_of(waxy)} must be melted. " if waxy else ""
    return [
        Finding(
            "note",
            "Hot fat burns",
            f"{melted}{given[0].upper()}{given[1:]}.",
            given,
            safety.HOT_RULE,
            "Heat in a water bath with a thermometer, never alone; lid and class B extinguisher at "
            "hand, no water on burning wax; in a microwave only short bursts with stirring.",
            always=True,
        )
    ]


def _grains(view: Worked) -> list[Finding]:
    grains = [s for s in view.lines if s.line.phase == "solids" and s.pct > 0]
    rinsed = not view.product.leave_on
    found = []
    sharp = [s for s in view.of_id(*safety.SHARP_GRAINS) if rinsed]
    area = view.facts.area
    if rinsed and grains and (sharp or area != "body"):
        why = [f"{names_of(sharp)} may have sharp edges"] if sharp else []
        why += [f"the product is for {area}"] if area != "body" else []
        found.append(
            Finding(
                "caution",
                "Scrub grains: body only",
                f"{' and '.join(why)[:1].upper()}{' and '.join(why)[1:]}.",
                f"{view.solids_pct:.3g} % of the formula",
                f"{PRACTICE}, {MEMORY}",
                "Use it on the body only, not on broken skin, not near eyes; not for children or "
                "the intimate area.",
            )
        )
    stings = [s for s in grains if s.kind == "salt"] if rinsed else []
    acids = [s for s in view.of_id(*safety.ALPHA_HYDROXY_ACIDS) if grains and rinsed]
    if stings or acids:
        found.append(
            Finding(
                "note",
                "Stings on shaved or broken skin",
                f"{names_of([*stings, *acids])} in a scrub.",
                f"{total([*stings, *acids]):.3g} % of the formula",
                MEMORY,
                "Say so on the label."
                + (" With alpha hydroxy acids, add a caution on sun." if acids else ""),
            )
        )
    return found


def _who(view: Worked) -> Finding:
    reasons = []
    if view.water_pct > 0:
        reasons.append("it holds water")
    if view.product.name in WET_HANDS:
        reasons.append("wet hands bring water into it")
    if germs := view.of_id(*safety.GERM_BEARING):
        reasons.append(f"{names_of(germs)} can carry germs")
    if len(view.emulsifiers) > 1:
        reasons.append("the emulsifier pair is your own")
    if any(s.ingredient and s.ingredient.peg_based for s in view.emulsifiers):
        reasons.append("a limit on 1,4-dioxane is in play")
    lab = f"Send it to a laboratory, since {'; '.join(reasons)}. " if reasons else ""
    return Finding(
        "note",
        "Who to ask",
        lab + safety.NOTICE,
        rule=safety.WHO_RULE,
        mend="Sale in the EU or UK: a qualified safety assessor, a responsible person, a product "
        "file and a notice before the sale. Children under 3, pregnancy, intimate area, eyes, "
        "broken skin, a past reaction: a doctor or toxicologist.",
        always=True,
    )
