"""Sentences of the verdict: what can be said of an emulsifier system, and what to do."""

from __future__ import annotations

import math
from collections.abc import Sequence

from hlbcore.blending.evidence import PICKS
from hlbcore.blending.judging import System
from hlbcore.blending.rates import SUPPLIER, Rate
from hlbcore.blending.results import BlendHlb
from hlbcore.counting.counted import Counted
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding
from hlbcore.product_types import ProductType
from hlbcore.shares import share_text
from hlbcore.sheets import span

DOSE_LADDER = "make three vials: this dose, half as much again, and half of it"

ASK_SUPPLIER = (
    "Look for use level, oil limit, pH and HLB on your supplier's sheet and type them beside the "
    f"emulsifier; or {DOSE_LADDER}."
)

MIXTURE = "a mixture of both kinds"
"""Some of the emulsifiers go by HLB and some by their suppliers' rates."""


def names_of(held: Sequence[Counted]) -> str:
    """Their names, one each."""
    return ", ".join(dict.fromkeys(clipped(x.name) for x in held))


def no_emulsifier(kind: ProductType, soap: float, held: Sequence[Counted] = ()) -> str:
    """Where nothing counts as an emulsifier."""
    if soap > 0:
        return "Soap that forms in the pot is the emulsifier; HLB does not judge it. Measure the pH."
    if kind.role == "none" and kind.emulsion != "w/o":
        return f"{kind.reason} {kind.decides}"
    if held:
        return f"No emulsifier has an amount yet: {names_of(held)}."
    return "There is no emulsifier among the lines that are known."


def no_blend(used: Sequence[Counted]) -> str:
    """Where more than a trace of the emulsifiers has no HLB."""
    without = [x for x in used if x.estimate is None]
    pct = 100 * math.fsum(x.active for x in without) / math.fsum(x.active for x in used)
    return (
        f"No HLB is known for {names_of(without)}, {pct:.0f} % of the emulsifiers, so the blend has none. "
        f"Give an HLB of your own, or try it: {DOSE_LADDER}."
    )


def no_role(kind: ProductType) -> str:
    """Where HLB decides nothing."""
    return f"HLB decides nothing in {kind.one}. {kind.reason} {kind.decides}"


def no_target(reason: str) -> str:
    """Where the oil phase has no required HLB."""
    return reason or "The required HLB of the oil phase is missing."


def unknown_phase(required: RequiredHlb) -> str:
    """Where most of the oil phase has no figure."""
    names = ", ".join(dict.fromkeys(clipped(n) for n in required.unknown))
    return (
        f"{100 * required.bounded_share:.0f} % of the oil phase has neither a figure nor a class: {names}. "
        "Say what these are, give a value or a range, or find it with a bench ladder."
    )


def by_hlb(blend: BlendHlb, target: Estimate, window: float, share: float) -> str:
    """The verdict by HLB."""
    return (
        f"The blend has HLB {blend.value:.1f} ({blend.low:.1f} to {blend.high:.1f}), the oil phase "
        f"requires {target.value:.1f} ({target.low:.1f} to {target.high:.1f}), window ±{window:g}; "
        f"{share_text(share)}. A best estimate to start from: {PICKS}."
    )


def by_class(blend: BlendHlb, required: RequiredHlb, window: float) -> str:
    """Where oils without a figure of their own decide between inside and outside."""
    low, high = required.span_by_class
    names = ", ".join(dict.fromkeys(clipped(n) for n in required.unknown))
    return (
        f"The blend has HLB {blend.value:.1f}; the oil phase requires {required.value:.1f}, but {low:.1f} "
        f"to {high:.1f} by the ranges of {names}, window ±{window:g}. Give a figure for these, or find it "
        f"with a bench ladder round {required.value:.1f}."
    )


def by_rate(rate: Rate, system: System) -> tuple[str, str]:
    """Word and sentence where a supplier's rate governs."""
    beside = f" {rate.hlb}." if rate.hlb else ""
    helpers = (*system.griffin, *system.helpers)
    helped = f" Beside it as helper: {names_of(helpers)}." if helpers else ""
    if rate.assumed:
        beside += f" No basis was typed with the rate: it is taken as % of the {rate.basis}."
    if math.isnan(rate.dose):
        return f"cannot say: no {rate.basis} yet", (
            f"The supplier of {rate.name} tells its rate as % of the {rate.basis}, and there is none."
            f"{helped}{beside} Enter the {rate.basis}."
        )
    if rate.once:
        return f"cannot say: seen once at {rate.once}", (
            f"{rate.name}: {rate.dose:.3g} % of the {rate.basis}. One printed formula is no range.{helped}"
            f"{beside} {ASK_SUPPLIER}"
        )
    if not rate.stated:
        return "cannot say: no rate known", (
            f"{rate.name} goes by its supplier's rate, and none is known.{helped}{beside} {ASK_SUPPLIER}"
        )
    others = "".join(
        f" {'Another sheet' if r.who == SUPPLIER else f'A {r.who}'} says {r.sheet}." for r in rate.also
    )
    if rate.disputed:
        told = "; ".join(t for r in (rate, *rate.also) for t in r.outside)
        return "cannot say: its sheets disagree", (
            f"{rate.name}: {told}.{helped}{beside} Ask your own supplier, or try it: {DOSE_LADDER}."
        )
    if rate.outside:
        told = "; ".join(rate.outside)
        return "outside its supplier's range", f"{rate.name}: {told}.{others}{helped}{beside}"
    says = "its supplier says" if rate.who == SUPPLIER else f"a {rate.who} says"
    said = f"{rate.name}: {rate.dose:.3g} % of the {rate.basis}, {says} {span(rate.low, rate.high, ' %')}"
    if rate.oil_high is not None or rate.oil_low is not None:
        said += f" with {span(rate.oil_low, rate.oil_high, ' %')} oil phase"
    return "in its supplier's range", f"{said}.{others}{helped}{beside}"


def rate_figure(rate: Rate) -> str:
    """What a supplier's rate turns on, in one line."""
    if math.isnan(rate.dose):
        return ""
    if rate.disputed:
        return "; ".join(t for r in (rate, *rate.also) for t in r.outside)
    if rate.outside:
        return "; ".join(rate.outside)
    here = f"{rate.dose:.3g} % of the {rate.basis}"
    return f"{here}, the {rate.who} says {span(rate.low, rate.high, ' %')}" if rate.stated else here


def with_soap(system: System, soap: float) -> str:
    """Where soap made in the pot is more than a trace beside other emulsifiers."""
    return (
        f"{soap:.3g} % soap forms from fatty acid and base beside "
        f"{names_of((*system.griffin, *system.rated))}, "
        f"and soap has no place on the scale. Measure the pH, and {DOSE_LADDER}."
    )


def rinse(kind: ProductType, blend: BlendHlb | None, target: Estimate | None, window: float) -> str:
    """Where dispersal under the tap is the aim."""
    if blend is None or target is None:
        return f"The rinse test decides, not the figure. {kind.reason}"
    if blend.value > target.value + window:
        where = "above the window on purpose: such a blend disperses under the tap"
    elif blend.value < target.value - window:
        where = "below the window: expect an oily film, a more hydrophilic emulsifier rinses better"
    else:
        where = "inside the window, which need not mean that it rinses"
    return (
        f"The rinse test decides, not the figure. The blend has HLB {blend.value:.1f}, the fats "
        f"would require {target.value:.1f} in an emulsion; it stands {where}. {kind.reason}"
    )


def neither(
    system: System, rates: Sequence[Rate], blend: BlendHlb | None, target: Estimate | None
) -> tuple[str, str]:
    """Where an o/w emulsion is judged by neither rule."""
    if system.rated and system.griffin:
        held = "; ".join(_said(r) for r in rates)
        figure = "" if blend is None else f" HLB of all together {blend.value:.1f}"
        asked = "" if target is None else f", asked for {target.value:.1f}"
        return f"cannot say: {MIXTURE}", (
            f"{names_of(system.griffin)} by HLB and {names_of(system.rated)} by supplier's rate share the "
            f"work, and neither rule speaks for the mixture. {held}.{figure}{asked}. Try it: {DOSE_LADDER}."
        )
    if system.griffin:
        only = system.griffin[0]  # further lines may hold the same one under another spelling
        name, own = clipped(only.name), only.estimate
        figure = "" if own is None else f" HLB {own.value:.1f}"
        asked = "" if target is None else f", asked for {target.value:.1f}"
        lean = "alone it leans to thin, washable emulsions; a low-HLB partner is usual"
        if own is not None and target is not None and own.value < target.value:
            lean = "alone it leans to w/o; a high-HLB partner is usual"
        return "no verdict: one emulsifier alone", (
            f"{name}:{figure}{asked}. One emulsifier cannot be balanced: {lean}, or a fatty alcohol network "
            "carries the cream. The bench decides."
        )
    return "no verdict: no emulsifier by itself", (
        f"{names_of(system.helpers)} counts with emulsifiers, but is none by itself."
    )


def _said(rate: Rate) -> str:
    if not rate.stated:
        return f"{rate.name}: no rate known"
    return f"{rate.name}: its supplier says {rate.text}"


def rate_findings(rates: Sequence[Rate], main: Rate | None = None) -> list[Finding]:
    """What lies outside a supplier's range, each as a note with both figures.

    Parameters
    ----------
    rates : sequence of Rate
        Of every ready emulsifier.
    main : Rate, optional
        The one that governs: the verdict tells of it. Beside it a helper may be below its own rate.

    Returns
    -------
    list of Finding
        Notes.
    """
    return [
        Finding(
            "note",
            f"Outside the supplier's range of {rate.name}",
            f"{said[0].upper()}{said[1:]}.",
            said,
            rate.source,
            f"Its sheet names: {rate.levers}." if rate.levers else "Ask the supplier, or try it in vials.",
        )
        for rate in rates
        if rate is not main
        for said in (rate.outside if main is None else rate.above)
    ]


MUCH_OIL = "Much oil for this much"
"""How the title of that finding begins."""


def sheet_notes(rates: Sequence[Rate]) -> list[Finding]:
    """What the sheets name beside the rate: partner and electrolyte, as background.

    Parameters
    ----------
    rates : sequence of Rate
        Of every ready emulsifier.

    Returns
    -------
    list of Finding
        One an emulsifier whose sheet names any.
    """
    return [
        Finding("note", f"What the sheet of {r.name} names", f"{r.levers}.", "", r.source, aside=True)
        for r in rates
        if r.levers
    ]


FAR_OVER = 1.5
"""An oil phase above so many times its limit is a caution. [-] Our convention."""


def much_oil(rates: Sequence[Rate]) -> list[Finding]:
    """Too much oil for an emulsifier: above its supplier's limit, or by a rule on the oil phase.

    Parameters
    ----------
    rates : sequence of Rate
        Of every ready emulsifier, in an o/w emulsion.

    Returns
    -------
    list of Finding
        One an emulsifier, with both figures: a note, far above the limit a caution.
    """
    found = []
    for rate in rates:
        held = (rate, *rate.also)
        told = next((r for r in held if r.much_oil), None)
        if told is None or (told is not rate and not rate.outside):
            continue
        limit, oil = told.oil_high, told.oil_pct
        over = limit is not None and oil is not None and oil > limit
        if over and limit is not None and oil is not None:
            far = oil > FAR_OVER * limit
            mend = f"Bring the oil phase to {limit:g} %, or take an emulsifier that is rated for more oil."
        else:
            far = False
            mend = "Where it parts, too little emulsifier is the usual cause: more of it, or less oil."
        found.append(
            Finding(
                "caution" if far else "note",
                f"{MUCH_OIL} {rate.name}",
                f"{told.much_oil[0].upper()}{told.much_oil[1:]}.",
                told.much_oil,
                told.source,
                mend,
            )
        )
    return found
