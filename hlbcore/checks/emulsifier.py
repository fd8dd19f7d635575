"""Emulsifier system and dose, by the role of HLB.

=========  ====================================================================================
inputs     oil phase and emulsifiers [% of formula], product type
rule       window around the required HLB; usual dose (`verdict.judge`, `loading.dose_finding`)
source     as named by the verdict and by the product type
levels     outside or doubtful: caution; no verdict: note; anionic with cationic: stop
mend       the blend of the same emulsifiers at the same total that comes nearest
=========  ====================================================================================
"""

from __future__ import annotations

from hlbcore.blending.candidates import choose_emulsifiers
from hlbcore.blending.solving import solve_blend
from hlbcore.blending.verdict import SupplierRate, judge
from hlbcore.checks._product import View, total
from hlbcore.errors import HlbError
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding


def emulsifier(view: View) -> list[Finding]:
    """The verdict and the dose as findings.

    Parameters
    ----------
    view : View
        A finished product.

    Returns
    -------
    list of Finding
        Verdict first.
    """
    if view.required is None:
        if view.product.role == "none" or not any(s.is_fat for s in view.lines):
            return []
        return [
            Finding(
                "caution",
                "The required HLB cannot be computed",
                view.reason,
                mend="Mend that line, or give its value.",
            )
        ]
    amounts: dict[str, float] = {}
    values: dict[str, Estimate] = {}
    supplier: dict[str, SupplierRate] = {}
    for s in view.emulsifiers:
        name = s.ingredient.common_name if s.ingredient else s.name
        amounts[name] = amounts.get(name, 0.0) + s.line.active
        if s.line.own is not None:
            values[name] = s.line.own
        if s.line.supplier is not None:
            supplier[name] = s.line.supplier
    verdict = judge(
        amounts, view.required, view.product, values=values, supplier=supplier, library=view.library
    )
    if view.required.soap > 0 and not amounts:
        return [
            Finding(
                "note",
                "The emulsifier is soap",
                "It forms from fatty acid and base; there is no HLB verdict on a soap.",
                f"{view.required.soap:.3g} % of the formula turns to soap",
                "HLB adds up for nonionics (pasquali_2008)",
                "Measure the pH, and go by a bench trial.",
            ),
            *view.required.cautions,
        ]
    level = "caution" if verdict.word in ("outside", "doubtful") else "note"
    if verdict.word == "no verdict" and view.product.role == "governs":
        level = "caution"
    found = [
        Finding(
            level,
            f"Emulsifiers: {verdict.word}",
            verdict.sentence,
            "" if verdict.blend is None else f"HLB {verdict.blend.value:.1f}",
            "window of the product type; HLB adds up for nonionics (pasquali_2008)",
            _mend(view, amounts) if level == "caution" else "",
        )
    ]
    if view.product.role == "none":
        return [*found, *verdict.findings]
    if verdict.dose is not None:
        found.append(verdict.dose)
    return [*found, *_without_value(view), *verdict.findings, *view.required.cautions]


def _without_value(view: View) -> list[Finding]:
    """Lines of the oil phase that nobody knows: they count nowhere in HLB and dose."""
    held = [s for s in view.lines if s.ingredient is None and s.line.own is None and s.is_fat and s.pct > 0]
    if not held:
        return []
    return [
        Finding(
            "caution",
            "Not all of the oil phase is counted",
            f"{', '.join(s.name for s in held)}: nobody knows it; left out of the required "
            "HLB and of the dose; both figures above hold without it.",
            f"{total(held):.3g} % of the formula",
            "an ingredient without a value is never skipped in silence",
            "Give it a value, a range, or the range of its kind.",
        )
    ]


def _mend(view: View, amounts: dict[str, float]) -> str:
    if view.required is None or not amounts:
        return "Add emulsifiers, or let the tool choose them."
    try:
        blend = solve_blend(
            list(amounts),
            view.required,
            window=view.product.window,
            total=sum(amounts.values()),
            library=view.library,
        )
    except HlbError:
        choice = choose_emulsifiers(view.required, view.product, library=view.library)
        pair = " with ".join(choice.names)
        return f"These alone do not reach it. To start from: {pair}, {choice.reason}."
    parts = ", ".join(f"{n} {m:.2f} %" for n, m in zip(blend.labels, blend.masses, strict=True))
    return f"At the same total: {parts}, HLB {blend.hlb:.1f}."
