"""Allergens that the standing cautions name, and the search of lines by words."""

from __future__ import annotations

from hlbcore.blending.worked import Worked, total
from hlbcore.counting.counted import Counted
from hlbcore.findings import Finding
from hlbcore.rules import safety
from hlbcore.rules.safety import MEMORY


def names_of(lines: list[Counted] | tuple[Counted, ...]) -> str:
    """Names as written, each once."""
    return ", ".join(dict.fromkeys(s.name for s in lines))


def holding(view: Worked, *words: str) -> list[Counted]:
    """Lines whose name, or INCI name, holds one of the words."""
    found = []
    for s in view.lines:
        text = s.name.casefold()
        if s.ingredient:
            text += f" {s.ingredient.id} {s.ingredient.common_name} {s.ingredient.inci}".casefold()
        if s.pct > 0 and any(w in text for w in words):
            found.append(s)
    return found


def allergens(view: Worked) -> list[Finding]:
    """Foods that people are allergic to, shea and lanolin."""
    told: dict[str, list[str]] = {}
    for s in view.lines:
        if s.pct <= 0:
            continue
        note = s.ingredient.note if s.ingredient else ""
        common = s.ingredient.common_name if s.ingredient else ""
        word = safety.allergen_word(f"{s.name} {common}", note)
        if word:
            told.setdefault(s.name, []).append(word)
    found = []
    if told:
        said = ", ".join(f"{n} ({w[0]})" if w[0] not in n else n for n, w in told.items())
        found.append(
            Finding(
                "note",
                "Food allergens: name them clearly",
                f"{said}. A refined grade holds less protein, not none.",
                f"{len(told)} of {sum(s.pct > 0 for s in view.lines)} lines",
                safety.ALLERGEN_RULE,
                "Name them on the label in plain words; ask the supplier for refined grades and "
                "protein. A patch test at home is no safety test.",
            )
        )
    for words, rule, what in (
        (("peanut", "arachis"), safety.PEANUT_RULE, "peanut protein of the lot in ppm"),
        (("hydrolyzed wheat", "hydrolysed wheat"), safety.WHEAT_RULE, "peptide size in kDa"),
    ):
        if held := holding(view, *words):
            found.append(
                Finding(
                    "caution",
                    f"{held[0].name}: a figure of the supplier is missing",
                    f"The law sets a limit that only the supplier's figure can answer: {what}.",
                    f"{total(held):.3g} % of the formula",
                    rule,
                    f"Ask for the {what}.",
                )
            )
    if held := holding(view, "shea"):
        found.append(
            Finding(
                "note",
                "Shea: counted as a tree nut on some lists",
                f"{names_of(held)}: very few reactions are recorded, yet some US lists count it as "
                "a tree nut.",
                f"{total(held):.3g} % of the formula",
                safety.SHEA_RULE,
                "Name it; do not claim that the product is free of nuts.",
                aside=True,
            )
        )
    if held := holding(view, "lanolin"):
        found.append(
            Finding(
                "note",
                "Lanolin: a known contact allergen for some",
                f"{names_of(held)}: some people with eczema react to it.",
                f"{total(held):.3g} % of the formula",
                MEMORY,
                "Name it clearly.",
                aside=True,
            )
        )
    return found
