"""Words of the lessons, each explained where it is first met. Our wording."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

GLOSSARY: Mapping[str, tuple[tuple[str, str], ...]] = MappingProxyType(
    {
        "what": (
            ("emulsion", "One liquid in drops inside another with which it does not mix."),
            ("o/w", "Oil-in-water: drops of oil in water. It rinses off with water."),
            ("w/o", "Water-in-oil: drops of water in oil. It feels greasier and sheds water."),
            ("HLB", "Hydrophile-lipophile balance of an emulsifier: the higher, the more at home in water."),
            ("required HLB", "What an oil asks for: the HLB of the blend that served it best in a trial."),
            ("nonionic", "Without electric charge, such as sorbitan esters and polysorbates."),
        ),
        "required": (
            ("oil phase", "All that counts as oil: oils, butters, waxes, esters; no emulsifier."),
            ("both sides", "Used as oil by some and as emulsifier by others: fatty alcohols, stearic acid."),
            ("range", "How far the printed figures of one ingredient lie apart."),
        ),
        "blend": (
            ("blend", "Two or more emulsifiers together."),
            ("alligation", "The old rule for the shares of two parts that give a figure between them."),
            ("reach", "From the lowest to the highest HLB that the members of a blend allow."),
        ),
        "amount": (
            ("dose", "All emulsifiers together, in % of the formula or of the oil phase: say which."),
            ("division", "The smallest step that a scale shows."),
            ("tare", "Setting the scale to zero with the vessel on it; the amount is then two readings."),
        ),
        "swap": (("window", "How far the blend may lie from the required HLB, usually 1 each way."),),
        "ladder": (
            ("ladder", "A row of vials, alike in everything but the HLB."),
            ("rung", "One HLB of a ladder."),
            ("blinded", "With codes in place of the HLB, so that nobody sees what is expected."),
            ("scatter", "How far readings of like vials lie apart."),
            ("optimum", "The HLB at which a ladder holds best, for its pair, dose and way of making."),
            ("working back", "The figure of one oil out of the optimum of a mixture."),
        ),
        "limits": (
            ("electrolyte", "What falls into ions in water: salts, acids, bases."),
            ("phase inversion", "An emulsion turns from o/w to w/o or back, by heat, salt or amounts."),
        ),
    }
)
"""Word and meaning, by the lesson that meets it first."""
