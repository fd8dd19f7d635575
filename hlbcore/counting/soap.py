"""Fatty acid that a base turns to soap, by acid values."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hlbcore.counting.counted import Counted
from hlbcore.errors import MissingValue
from hlbcore.findings import Finding
from hlbcore.ingredients import Ingredient

KOH_MG_PER_MOL = 56106.0
"""Potassium hydroxide, for acid values. [mg/mol] From its molar mass."""

LYE = ("sodium_hydroxide", "potassium_hydroxide")
"""Strong bases: left over, they are caustic."""

TAKES_BASE = ("carbomer", "acrylates_c10_30_alkyl_acrylate_crosspolymer")
"""What takes base beside fatty acid and the kind acid, by id. General chemistry, from memory."""

LEFT_OVER, NO_ACID = "More base than fatty acid", "A base without fatty acid"
"""Titles of findings that a measured pH answers."""

WAX_ACID_G_PER_MOL = 396.7
"""Cerotic acid C26H52O2, taken for the free acid of beeswax. [g/mol] From its formula."""


@dataclass(frozen=True, slots=True)
class Neutralised:
    """Fatty acid that a base turns to soap.

    Parameters
    ----------
    masses : mapping of str to float
        By ingredient id, what leaves the oil phase as soap. [unit of the masses given]
    acid_equivalents, base_equivalents : float
        Acid and base in the phase. [mmol per gram unit]
    """

    masses: Mapping[str, float]
    acid_equivalents: float
    base_equivalents: float


def neutralised(
    acids: Sequence[tuple[Ingredient, float]], bases: Sequence[tuple[Ingredient, float]]
) -> Neutralised:
    """How much of the fatty acid a base neutralises, from acid values.

    Parameters
    ----------
    acids : sequence of (Ingredient, float)
        Fatty acids and waxes with free acid, with their masses. [any one unit]
    bases : sequence of (Ingredient, float)
        Bases and their masses. [same unit]

    Returns
    -------
    Neutralised
        The base is shared among the acids in proportion to their equivalents.

    Raises
    ------
    MissingValue
        If an acid value or the molar mass of a base is not known.

    Notes
    -----
    Acid equivalents are ``m AV / 56.106`` mmol for m in g and the acid value AV in mg KOH/g (its
    definition). Of a wax, only the free acid leaves, taken as cerotic acid.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> lib = load_library()
    >>> soap = neutralised([(lib.find("stearic acid"), 4.0)], [(lib.find("sodium hydroxide"), 0.2)])
    >>> round(soap.masses["stearic_acid"], 1)
    1.4
    """
    equivalents = [(a, m, 1000 * m * _middle(a, "acid_value") / KOH_MG_PER_MOL) for a, m in acids]
    acid = math.fsum(e for _, _, e in equivalents)
    base = math.fsum(
        1000 * m * _middle(b, "equivalents_per_mol") / _middle(b, "molar_mass") for b, m in bases
    )
    share = min(1.0, base / acid) if acid > 0 else 0.0
    masses = {
        a.id: share * (m if a.kind == "fatty acid" else min(m, e * WAX_ACID_G_PER_MOL / 1000))
        for a, m, e in equivalents
    }
    return Neutralised(masses, acid, base)


def _middle(ingredient: Ingredient, name: str) -> float:
    middle = ingredient.property_value(name).middle
    assert middle is not None  # property_value returns only readings with a figure
    return middle


def _soap_findings(
    soap: Neutralised, others: Sequence[str], names: Mapping[str, str], *, strong: bool
) -> list[Finding]:
    listed = ", ".join(f"{m:.3g} parts of {names[i]}" for i, m in soap.masses.items() if m > 0)
    found = [
        Finding(
            "note",
            "A soap forms",
            f"The base neutralises {listed}; that share leaves the oil phase and counts as soap, "
            "an anionic emulsifier without an HLB verdict.",
            figure=f"{100 * min(1.0, soap.base_equivalents / soap.acid_equivalents):.0f} % of the "
            "acid neutralised",
            rule="acid value, by definition mg KOH for 1 g",
            mend="Soap emulsions are usually held at a pH of about 8 (common practice, no source), though "
            "tested creams with some soap stand at 5 to 6.5; acids, salts and cationic ingredients work "
            "against soap. Measure the pH.",
            aside=True,
        )
    ]
    if soap.base_equivalents <= soap.acid_equivalents * 1.0001:
        return found
    if others:
        found.append(
            Finding(
                "caution",
                LEFT_OVER,
                f"{', '.join(dict.fromkeys(others))} takes part of the base; what is left over after that "
                "is not computed.",
                figure=f"{soap.base_equivalents / soap.acid_equivalents:.2f} times the fatty acid",
                rule="general chemistry, from memory",
                mend="Measure the pH of the finished product before it touches skin.",
            )
        )
    elif not strong:
        found.append(
            Finding(
                "caution",
                LEFT_OVER,
                "A weak base is left over: it raises the pH.",
                figure=f"{soap.base_equivalents / soap.acid_equivalents:.2f} times the acid",
                rule="acid value, by definition mg KOH for 1 g",
                mend="Measure the pH of the product, and reduce the base where it is too high.",
            )
        )
    else:
        found.append(
            Finding(
                "stop",
                LEFT_OVER,
                "Base is left over after all fatty acid is neutralised: the product is caustic.",
                figure=f"{soap.base_equivalents / soap.acid_equivalents:.2f} times the acid",
                rule="acid value, by definition mg KOH for 1 g",
                mend="Reduce the base. Handling lye needs eye and skin protection and soap-making "
                "training; a qualified safety assessor decides on the product.",
            )
        )
    return found


def turned_to_soap(lines: Sequence[Counted]) -> frozenset[int]:
    """Lines that a base among them turns to soap, with or without an amount, by number.

    Their amount is the base's affair: what solves for an HLB leaves it as typed.
    """
    if not any(_is_base(x.ingredient) and x.active > 0 for x in lines):
        return frozenset()
    return frozenset(x.number for x in lines if _is_acid(x.ingredient))


def _is_base(i: Ingredient | None) -> bool:
    return i is not None and i.convention == "base"


def _is_acid(i: Ingredient | None) -> bool:
    return i is not None and (
        i.kind == "fatty acid" or (i.kind == "wax" and bool(i.property_values("acid_value")))
    )


def soap_of(lines: Sequence[Counted], found: list[Finding]) -> Neutralised | None:
    """The soap that the bases of the phase make; findings are added to the list."""
    held = [(x.ingredient, x.active) for x in lines if x.ingredient and x.active > 0]
    bases = [(i, m) for i, m in held if _is_base(i)]
    acids = [(i, m) for i, m in _summed(held) if _is_acid(i)]
    others = [x.name for x in lines if x.active > 0 and (x.kind == "acid" or x.key in TAKES_BASE)]
    if bases and not acids and not others:
        found.append(
            Finding(
                "caution",
                NO_ACID,
                f"{', '.join(b.common_name for b, _ in bases)} finds no free fatty acid to "
                "neutralise: it turns oil into soap or stays caustic.",
                rule="general chemistry, from memory",
                mend="To set a pH, a trace in the water is enough; soap-making is another craft, "
                "with eye and skin protection and training of its own.",
            )
        )
    if not bases or not acids:
        return None
    try:
        soap = neutralised(acids, bases)
    except MissingValue as error:
        found.append(
            Finding(
                "caution",
                "Soap cannot be computed",
                str(error),
                rule="acid value, by definition mg KOH for 1 g",
                mend="Until then the fatty acid counts in full as an oil.",
            )
        )
        return None
    found += _soap_findings(
        soap, others, {a.id: a.common_name for a, _ in acids}, strong=any(b.id in LYE for b, _ in bases)
    )
    return soap


def _summed(held: Sequence[tuple[Ingredient, float]]) -> list[tuple[Ingredient, float]]:
    """One entry an ingredient, with all its lines together."""
    sums: dict[str, tuple[Ingredient, float]] = {}
    for i, m in held:
        sums[i.id] = (i, sums[i.id][1] + m if i.id in sums else m)
    return list(sums.values())
