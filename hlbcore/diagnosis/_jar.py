"""Measures of the jar: grains that settle or cake, fats that harden, melt or do not go together."""

from __future__ import annotations

from hlbcore.blending.worked import Worked, total
from hlbcore.diagnosis._measures import Look, alcohols, names_of
from hlbcore.rules.hard_share import hard_share
from hlbcore.rules.jar.families import SOS_BUTTERS
from hlbcore.rules.jar.grains import PACKED, SINKS
from hlbcore.rules.jar.phases import TRY_IT
from hlbcore.rules.jar.sheet import Jar, work_out_jar


def _jar(view: Worked) -> Jar | None:
    held = work_out_jar(view)
    return held if held.grains is not None else None


def loose_grains(view: Worked) -> Look | None:
    """Whether the grains are too few to hold each other up, or more than a measured yield stress holds."""
    held = _jar(view)
    if held is None or held.grains is None:
        return None
    g = held.grains
    share = "volume share not known" if g.share is None else f"{100 * g.share[0]:.0f} % of the volume"
    hold = "" if g.hold is None else f", yield number {g.hold.number:.2g}"
    need = "" if g.hold is None else f"{g.hold.sure_pa:.2g} Pa would hold them."
    return Look(f"{share}{hold}: {g.word}", g.word == SINKS, need)


def warm_grains(view: Worked) -> Look | None:
    """Whether the fat that held the grains is melted in a warm jar."""
    held = _jar(view)
    if held is None or held.warm_grains is None or held.softness is None or held.warm_grains.outer == "water":
        return None
    warm = held.softness.at("in a warm jar", 40.0)
    points = held.warm_grains.word not in (PACKED,) and warm.low < 3.0
    return Look(f"{warm.low:.0f} to {warm.high:.0f} % of the fat is solid at 40 °C", points)


def gum_inside(view: Worked) -> Look | None:
    """Whether the gum may lie in the inner phase, where it holds nothing."""
    held = _jar(view)
    gums = view.of_kind("gum")
    if held is None or held.grains is None or not gums:
        return None
    names = ", ".join(dict.fromkeys(x.name for x in gums))
    outer = held.grains.outer
    if outer == "water":
        return Look(f"{names}; water is outside", False)
    return Look(f"{names}; {'oil is outside' if outer else 'what is outside was not tried'}", True, TRY_IT)


def softer_together(view: Worked) -> Look | None:
    """Whether fats stand together that are softer than either."""
    if not view.product.anhydrous:
        return None
    pairs = work_out_jar(view).pairs
    if not pairs:
        return None
    keys = {k for _, held in pairs for k in held}
    names = ", ".join(dict.fromkeys(f"{x.pct:.3g} % {x.name}" for x in view.lines if x.key in keys))
    return Look(names, True)


def water_in(view: Worked) -> Look | None:
    if not view.product.anhydrous:
        return None
    return Look(f"{view.water_pct:.3g} % of the formula", view.water_pct == 0)


def one_alcohol(view: Worked) -> Look | None:
    held = alcohols(view)
    mixed = any(s.ingredient and s.ingredient.id == "cetearyl_alcohol" for s in held)
    return Look(names_of(held), len(held) == 1 and not mixed) if held else None


def solid_mix(view: Worked) -> Look | None:
    share = hard_share(view)
    if not share.parts:
        return None
    kinds = {p.kind for p in share.parts}
    groups = ({"fatty acid", "fatty alcohol"}, {"butter"}, {"emulsifier", "emulsifying wax", "wax"})
    return Look(f"{share.of_fat_pct:.3g} % of the fat base: {share.text}", all(kinds & g for g in groups))


def soft(view: Worked) -> Look | None:
    if not view.product.anhydrous:
        return None
    share = hard_share(view)
    # a jar that is too soft holds too little that is solid, whatever the figure is
    return Look(f"{share.of_fat_pct:.3g} % of the fat base: {share.text}", True)


def melted(view: Worked) -> Look | None:
    if not view.product.anhydrous or view.water_pct > 0:
        return None
    share = hard_share(view)
    top = share.highest_melting
    at = f"; {top.name} melts at {top.melts_c:.3g} °C" if top and top.melts_c is not None else ""
    return Look(f"{share.of_fat_pct:.3g} % of the fat base is hard{at}", bool(share.parts))


def undissolved(view: Worked) -> Look | None:
    if not view.product.anhydrous:
        return None
    held = [
        s
        for s in view.emulsifiers
        if s.ingredient
        and s.ingredient.form != "solid"
        and s.ingredient.hlb is not None
        and s.ingredient.hlb.value > 10
    ]
    return Look(names_of(held), True) if held else None


def wet_grains(view: Worked) -> Look | None:
    if view.solids_pct <= 0:
        return None
    water = view.water_pct
    return Look(f"{water:.3g} % water beside {view.solids_pct:.3g} % grains", water > 0)


def butters(view: Worked) -> Look | None:
    held = view.of_id(*SOS_BUTTERS)
    if not held:
        return None
    return Look(f"{names_of(held)} = {100 * total(held) / view.fat_base_pct:.3g} % of the fat base", True)
