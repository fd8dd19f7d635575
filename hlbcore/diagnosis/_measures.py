"""The figures that a diagnosis looks at in one formula, those of the jar left aside.

A measure takes the view of a formula and returns the figure in words with whether it points at the
cause, or None where the cause cannot apply.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from hlbcore.blending.dose import LOW_END, dose_finding
from hlbcore.blending.judging import HLB, system_of
from hlbcore.blending.words import MUCH_OIL
from hlbcore.blending.worked import Worked, total
from hlbcore.counting.counted import Counted
from hlbcore.rules.electrolytes import SALT_PCT
from hlbcore.rules.hard_share import HardPart, is_hard, melting_c

MELT_MARGIN_C = 10.0
"""How far above the highest melting point to work. [°C] chemists_scale_up"""

FRAGRANCE_MOST_PCT = 1.0
"""Top of what an own emulsifier pair is said to bear of fragrance. [% of formula]
forum_6114_essential_oils"""

HUMECTANT_MOST_PCT = 3.0
"""Top of the humectant total that is said not to stick. [% of formula] forum_sticky_residue"""

ACID_PH = 5.0
"""Salt-sensitive emulsifiers turned watery at pH 4.5 to this. [-] forum_lactic_acid"""

LATE_OIL_PCT = 2.0
"""More oil than this in the cool-down is no addition any more. [% of formula] Our convention."""

SOLUBILISER_USUAL = 2.0
"""Median of what print shows, parts to one part of scent. [-] data/dose_evidence.csv"""

WAX_SHARE = 0.2
"""From this share on waxes, fatty alcohols and silicones leave a film. [-] Our convention."""

STICKY_FATS = ("castor_oil", "lanolin", "honey", "hydrogenated_castor_oil", "polybutene")
"""Heavy or sticky ingredients, by id. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Look:
    """A figure in one formula: in words, whether it points at the cause, and the computed mend."""

    value: str
    points: bool
    mend: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One cause as the trade tells it."""

    cause: str
    figure: str
    measure: Callable[[Worked], Look | None]
    test: str
    mend: str
    trade_off: str
    rule: str


def names_of(lines: list[Counted] | tuple[Counted, ...]) -> str:
    """Names with their amounts."""
    return ", ".join(f"{s.pct:.3g} % {s.name}" for s in lines)


def _oil_pct(view: Worked) -> float:
    if view.required is not None:
        return view.required.mass
    return total(s for s in view.lines if s.is_fat and not s.is_emulsifier)


def _is_emulsion(view: Worked) -> bool:
    return view.water_pct > 0 and (view.product.role == "governs" or view.product.emulsion == "w/o")


def _melting(view: Worked) -> HardPart | None:
    """The fat with the highest melting figure, hard or not."""
    held = [
        HardPart(s.name, s.kind, s.pct, c)
        for s in view.lines
        if s.is_fat and s.pct > 0 and s.ingredient and (c := melting_c(s.ingredient)) is not None
    ]
    return max(held, key=lambda p: p.melts_c or 0.0) if held else None


def dose(view: Worked, word: str) -> Look | None:
    oil = _oil_pct(view)
    if oil <= 0 or not (view.product.emulsion or view.product.dose_low is not None):
        return None
    pct = view.emulsifier_pct
    value = f"{pct:.3g} % of the formula = {100 * pct / oil:.3g} % of the oil phase"
    if view.product.dose_basis == "perfume oil":
        return Look(value, False)
    found = dose_finding(min(pct, 100.0), min(oil, 100.0), view.product)
    points = found.title == f"Dose is {word}"
    much = next((f for f in view.verdict.findings if f.title.startswith(MUCH_OIL)), None)
    if word == "low" and not points and (much is not None or found.title.endswith(LOW_END)):
        seen = found if much is None else much
        return Look(value if much is None else f"{value}; {much.figure}", True, seen.mend)
    return Look(value, points, found.mend if points else "")


def _gap(view: Worked) -> tuple[float, str] | None:
    """Blend HLB less required HLB, and in words."""
    if view.required is None or not view.emulsifiers:
        return None
    blend = view.blend
    if blend is None:
        return None
    gap = blend.value - view.required.value
    return gap, f"HLB {blend.value:.1f} against {view.required.value:.1f} required: {gap:+.1f}"


def hlb_off(view: Worked) -> Look | None:
    if not _is_emulsion(view):
        return None
    gap = _gap(view)
    if gap is None:
        return Look("not computed for these emulsifiers", False)
    judged = view.verdict.rule == HLB and view.verdict.word == "outside"
    return Look(gap[1], judged)


def rinse_hlb(view: Worked) -> Look | None:
    gap = _gap(view)
    if gap is None:
        return Look("no HLB of the emulsifiers", False) if view.emulsifiers else None
    return Look(gap[1], gap[0] < -view.product.window)


def half(view: Worked) -> Look | None:
    if not _is_emulsion(view):
        return None
    held = view.emulsifiers
    if not held:
        return Look("no emulsifier", True)
    gap = _gap(view)
    griffin = system_of(held).griffin
    alone = len({x.key for x in griffin}) == 1 == len(held)
    return Look(names_of(held), alone and gap is not None and abs(gap[0]) > view.product.window)


def charge(view: Worked) -> Look | None:
    charges = {s.ingredient.charge for s in view.lines if s.ingredient and s.pct > 0}
    both = {"anionic", "cationic"} <= charges
    return Look("anionic with cationic", True) if both else None


def fragrance(view: Worked) -> Look | None:
    pct = total(view.of_kind("fragrance", "essential oil"))
    if pct <= 0 or not _is_emulsion(view):
        return None
    over = pct > FRAGRANCE_MOST_PCT
    mend = f"Take {pct - FRAGRANCE_MOST_PCT:.2g} points off." if over else ""
    return Look(f"{pct:.3g} % of the formula", over, mend)


def heat(view: Worked) -> Look | None:
    top = _melting(view)
    if top is None or top.melts_c is None:
        return None
    wanted = top.melts_c + MELT_MARGIN_C
    value = f"{top.name} melts at {top.melts_c:.3g} °C"
    hottest = view.facts.hottest_c
    if hottest is None:
        return Look(f"{value}; hottest temperature not given", False, f"Work at {wanted:.0f} °C or more.")
    return Look(
        f"{value}, hottest {hottest:g} °C",
        hottest < wanted,
        f"Work at {wanted:.0f} °C or more." if hottest < wanted else "",
    )


def cold(view: Worked) -> Look | None:
    top = _melting(view)
    added = [s for s in view.lines if s.line.phase == "cool-down" and s.pct > 0]
    if top is None or not added:
        return None
    c = view.facts.cool_down_c
    at = "temperature not given" if c is None else f"at {c:g} °C"
    return Look(f"{total(added):.3g} % goes in {at}; {top.name} melts at {top.melts_c:.3g} °C", False)


def _salts(view: Worked) -> tuple[Counted, ...]:
    return tuple(
        s
        for s in (*view.of_kind("salt"), *view.of_id("sodium_lactate", "sodium_pca"))
        if s.line.phase != "solids"
    )


def salt(view: Worked) -> Look | None:
    held = _salts(view)
    if not held or not _is_emulsion(view) or view.product.emulsion != "o/w":
        return None
    return Look(names_of(held), total(held) >= SALT_PCT)


def no_salt(view: Worked) -> Look | None:
    if not _is_emulsion(view) or view.product.emulsion != "w/o":
        return None
    held = _salts(view)
    return Look(names_of(held) or "no salt", not held)


def acid(view: Worked) -> Look | None:
    if not _is_emulsion(view):
        return None
    if view.facts.ph is None:
        acids = view.of_kind("acid")
        return Look(f"pH not measured; {names_of(acids) or 'no acid in it'}", False)
    return Look(f"pH {view.facts.ph:g}", view.facts.ph <= ACID_PH)


def not_in_formula(text: str) -> Callable[[Worked], Look | None]:
    return lambda view: Look(text, False)


def shear(view: Worked) -> Look | None:
    return Look("not in the formula: see the batch record", False) if view.water_pct > 0 else None


def evaporated(view: Worked) -> Look | None:
    if view.water_pct <= 0:
        return None
    return Look(f"{view.water_pct:.3g} % water planned; what boiled off is not known", False)


def alcohols(view: Worked) -> list[Counted]:
    """The fatty alcohols that are solid."""
    return [s for s in view.of_kind("fatty alcohol") if s.ingredient and is_hard(s.ingredient)]


def thickeners(view: Worked) -> Look | None:
    if view.water_pct <= 0:
        return None
    held = [s for s in view.of_kind("fatty alcohol", "fatty acid") if s.ingredient and is_hard(s.ingredient)]
    held += view.of_kind("gum", "emulsifying wax")
    return Look(names_of(held) or "none", not held)


def oil_late(view: Worked) -> Look | None:
    held = [s for s in view.lines if s.is_fat and not s.is_emulsifier and s.line.phase == "cool-down"]
    held = [s for s in held if s.kind not in ("fragrance", "essential oil") and s.pct > 0]
    if not held or not _is_emulsion(view):
        return None
    return Look(names_of(held), total(held) > LATE_OIL_PCT)


def solubiliser(view: Worked) -> Look | None:
    oil = _oil_pct(view)
    if oil <= 0 or view.product.dose_basis != "perfume oil":
        return None
    parts = view.emulsifier_pct / oil
    return Look(f"{parts:.3g} parts to 1 part of scent", parts < SOLUBILISER_USUAL)


def salt_haze(view: Worked) -> Look | None:
    held = (*_salts(view), *view.of_kind("acid"))
    return Look(names_of(held), True) if held else None


def early(view: Worked) -> Look | None:
    held = alcohols(view)
    return Look(names_of(held), True) if held and view.water_pct > 0 else None


def creaming(view: Worked) -> Look | None:
    if not _is_emulsion(view) or view.product.emulsion != "o/w":
        return None
    gum = view.of_kind("gum")
    return Look(names_of(gum) or "no gum", not gum)


def powder(view: Worked) -> Look | None:
    held = [s for s in view.of_kind("powder", "colour") if s.line.phase != "solids"]
    return Look(names_of(held), True) if held else None


def white_powder(view: Worked) -> Look | None:
    held = view.of_id("titanium_dioxide", "zinc_oxide", "talc", "kaolin", "magnesium_carbonate")
    return Look(names_of(held), True) if held else None


def soap(view: Worked) -> Look | None:
    held = [
        s
        for s in view.lines
        if s.ingredient
        and s.pct > 0
        and (
            s.ingredient.id == "stearic_acid"
            or s.ingredient.convention == "base"
            or "soap" in s.ingredient.family
            or s.ingredient.family == "lactylate"
        )
    ]
    return Look(names_of(held) or "none", bool(held))


def waxy_alone(view: Worked) -> Look | None:
    held = view.emulsifiers
    solid = [s for s in held if s.ingredient and s.ingredient.form == "solid"]
    return Look(names_of(held), len(held) == 1) if solid else None


def humectants(view: Worked) -> Look | None:
    held = view.of_kind("humectant")
    if not held:
        return None
    over = total(held) - HUMECTANT_MOST_PCT
    return Look(
        f"{total(held):.3g} % of the formula: {names_of(held)}",
        over > 0,
        f"Take {over:.2g} points off." if over > 0 else "",
    )


def gum(view: Worked) -> Look | None:
    held = view.of_kind("gum")
    if not held:
        return None
    of = f" = {100 * total(held) / view.water_pct:.3g} % of the water" if view.water_pct else ""
    return Look(f"{names_of(held)}{of}", True)


def gum_wetting(view: Worked) -> Look | None:
    gum = view.of_kind("gum")
    if not gum:
        return None
    wet = view.of_kind("humectant")
    return Look(f"{names_of(gum)}; to wet it: {names_of(wet) or 'nothing'}", not wet)


def sticky_fats(view: Worked) -> Look | None:
    held = view.of_id(*STICKY_FATS)
    return Look(names_of(held), True) if held else None


def oils(view: Worked) -> Look | None:
    oil = _oil_pct(view)
    if oil <= 0 or view.product.leave_on:
        return None
    return Look(f"{oil:.3g} % oil phase, {view.emulsifier_pct:.3g} % emulsifiers", True)


def waxes(view: Worked) -> Look | None:
    held = view.of_kind("wax", "fatty alcohol", "fatty acid", "emulsifying wax", "silicone")
    held = tuple(s for s in held if s.is_fat)
    if not held:
        return None
    share = math.fsum(s.pct for s in held) / view.fat_base_pct
    return Look(f"{names_of(held)} = {100 * share:.3g} % of the fat base", share >= WAX_SHARE)
