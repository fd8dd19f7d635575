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

import math

from hlbcore.blending.candidates import choose_emulsifiers
from hlbcore.blending.work_out import solved
from hlbcore.blending.worked import Worked, total
from hlbcore.errors import HlbError
from hlbcore.findings import Finding


def emulsifier(view: Worked) -> list[Finding]:
    """The verdict and the dose as findings.

    Parameters
    ----------
    view : Worked
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
    verdict = view.verdict
    if view.required.soap > 0 and not view.emulsifiers:
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
            _mend(view) if level == "caution" else "",
        )
    ]
    if view.product.role == "none":
        return [*found, *verdict.findings]
    if verdict.dose is not None:
        found.append(verdict.dose)
    return [*found, *_without_value(view), *verdict.findings, *view.required.cautions]


def _without_value(view: Worked) -> list[Finding]:
    """Lines of the oil phase that nobody knows: they count nowhere in HLB and dose."""
    held = [
        s
        for s in view.lines
        if s.is_fat and s.estimate is None and s.ingredient is None and not s.is_emulsifier and s.pct > 0
    ]
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


def _mend(view: Worked) -> str:
    held = view.emulsifiers
    if view.required is None or not held:
        return "Add emulsifiers, or let the tool choose them."
    if any(x.estimate is None for x in held):
        return ""
    total_pct = math.fsum(x.active for x in held)
    try:
        blend = solved(
            held,
            view.required,
            view.product,
            view.formula,
            goal="closest",
            dose=(total_pct, total_pct),
            library=view.library,
        )
    except HlbError:
        choice = choose_emulsifiers(view.required, view.product, library=view.library)
        pair = " with ".join(choice.names)
        return f"These alone do not reach it. To start from: {pair}, {choice.reason}."
    parts = ", ".join(f"{n} {m:.2f} %" for n, m in zip(blend.labels, blend.masses, strict=True))
    return f"At the same total: {parts}, HLB {blend.hlb:.1f}."
