"""Emulsifier system and dose, by the rule that judges.

=========  ====================================================================================
inputs     oil phase and emulsifiers [% of formula], product type
rule       the verdict (`verdict.judge_system`): HLB, the supplier's rate, or none
source     as named by the verdict and by the product type
levels     outside by HLB: caution; all other verdicts: note; anionic with cationic: stop
mend       the blend of the same emulsifiers at the same total that comes nearest
=========  ====================================================================================
"""

from __future__ import annotations

import math

from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.blending.judging import HLB, RATE
from hlbcore.blending.solution import solved
from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError
from hlbcore.findings import Finding
from hlbcore.product_types import PRACTICE

SAME = 0.005
"""Amounts that differ by less are the same on paper. [% of formula]"""

RULES = {
    HLB: "window of the product type; HLB adds up for nonionics (pasquali_2008)",
    RATE: "the supplier's rate governs what is sold ready",
}


def emulsifier(view: Worked) -> list[Finding]:
    """The verdict, the dose, and what counting and blending found.

    Parameters
    ----------
    view : Worked
        A finished product.

    Returns
    -------
    list of Finding
        Verdict first.
    """
    if not any(s.is_fat for s in view.lines):
        return []
    verdict = view.verdict
    outside = verdict.rule == HLB and verdict.word == "outside"
    found = Finding(
        "caution" if outside else "note",
        f"Emulsifiers: {verdict.word}",
        verdict.sentence,
        verdict.figure or (f"{view.emulsifier_pct:.3g} % of the formula" if view.emulsifiers else ""),
        RULES.get(verdict.rule, PRACTICE),
        _mend(view) if outside else "",
        aside=not view.emulsifiers,
    )
    return [found, *view.findings]


def _mend(view: Worked) -> str:
    held = view.emulsifiers
    if view.required is None or not held or any(x.estimate is None for x in held):
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
        choice = choose_emulsifiers(view.required, view.product, at_hand=view.shelf, library=view.library)
        pair = " with ".join(choice.names)
        return f"These alone do not reach it. To start from: {pair}, {choice.reason}." if pair else ""
    now = {x.label: x.active for x in held}
    masses = list(zip(blend.labels, blend.masses, strict=True))
    if all(abs(m - now.get(n, 0.0)) < SAME for n, m in masses):
        return ""
    parts = ", ".join(f"{m:.2f} % {n}" for n, m in masses)
    return f"At the same total: {parts}, HLB {blend.hlb:.1f}."
