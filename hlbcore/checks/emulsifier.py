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

from hlbcore.blend import solve_blend
from hlbcore.checks._view import View
from hlbcore.errors import HlbError
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding
from hlbcore.verdict import judge


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
                "caution", "The required HLB cannot be computed", view.reason,
                mend="Mend that line, or give its value.",
            )
        ]  # fmt: skip
    amounts: dict[str, float] = {}
    values: dict[str, Estimate] = {}
    for s in view.emulsifiers:
        assert s.ingredient is not None
        name = s.ingredient.common_name
        amounts[name] = amounts.get(name, 0.0) + s.line.active
        if s.line.own is not None:
            values[name] = s.line.own
    verdict = judge(amounts, view.required, view.product, values=values, library=view.library)
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
    if verdict.dose is not None:
        found.append(verdict.dose)
    return [*found, *verdict.findings, *view.required.cautions]


def _mend(view: View, amounts: dict[str, float]) -> str:
    if view.required is None or not amounts:
        return "Add emulsifiers, or let the tool choose them."
    try:
        blend = solve_blend(
            list(amounts), view.required, window=view.product.window, total=sum(amounts.values()),
            library=view.library,
        )  # fmt: skip
    except HlbError as error:
        return str(error)
    parts = ", ".join(f"{n} {m:.2f} %" for n, m in zip(blend.labels, blend.masses, strict=True))
    return f"At the same total: {parts}, HLB {blend.hlb:.1f}."
