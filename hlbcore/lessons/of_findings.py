"""Which lesson explains the rule of a finding."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hlbcore.findings import Finding

EXPLAINED: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "what": (
            "No emulsifier but ",
            "Only emulsifiers of the other type",
            "Only half of an emulsifier system",
            "The swap changes sides",
        ),
        "limits": (
            "What HLB leaves out",
            "HLB says little about",
            "an emulsifier whose roots lie more than 3 apart",
            "A matched HLB does not keep",
            "may not stay dissolved in the oil",
            "the supplier's rate governs",
            "Outside the supplier's range",
            "Much oil for this much",
            "is taken as it is",
            "No solubiliser",
            "Solubiliser to oil",
            "The emulsifier is soap",
            "A soap forms",
            "soap emulsifier",
            "a lactylate",
            "Salt in an o/w emulsion",
            "Divalent salt in an o/w emulsion",
            "A w/o emulsion without salt",
            "Active cationic",
            "Who to ask",
        ),
        "required": (
            "No required HLB is known for",
            "Sources disagree on",
            "has no figure",
            "stands on both sides",
            "Fragrance is negligible here",
            "emulsifiers are left out of the required HLB",
        ),
        "ladder": (
            "Vials without a reading",
            "Several vials are as good",
            "A result is never more precise than the ladder",
            "Steps blur into each other",
            "How often so many vials answer",
            "How often such a ladder answers",
            "Where the next vials tell most",
            "Provisional",
            "The value is provisional",
            "The best vial moves with time",
            "the optimum differs",
            "is an emulsifier in every vial",
            "is a small part of the oil phase",
            "most of the doubt comes from",
            "does not agree with the others",
        ),
        "blend": (
            "window of the product type",
            "No HLB is known for",
            "counts as a trace",
            "The ratio does not matter here",
            "The pair does not reach",
            "the reach of a blend ends at its members",
            "differ in their fatty chain",
        ),
        "amount": (
            "Dose is ",
            "No usual dose",
            "The dose can follow the oil phase",
            "is little for this scale",
            "weighed in a premix",
            "Small amounts for this scale",
            "Rounding takes the blend out of its window",
            "the same mass on each basis",
            "are no weights",
        ),
        "swap": ("Texture: ",),
    }
)
"""Words of a title or a rule, by the lesson that explains what the finding rests on."""


def lesson_of(finding: Finding) -> str:
    """The lesson that explains the rule of a finding.

    Parameters
    ----------
    finding : Finding
        Any.

    Returns
    -------
    str
        Key of the lesson; blank where none explains it.

    Examples
    --------
    >>> lesson_of(Finding("note", "Dose is high")), lesson_of(Finding("note", "Hot fat burns"))
    ('amount', '')
    """
    said = f"{finding.title}\n{finding.rule}"
    return next((key for key, words in EXPLAINED.items() if any(w in said for w in words)), "")
