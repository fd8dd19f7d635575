"""What marks an emulsifier of which HLB says little, and what is said of a system of them."""

from __future__ import annotations

from collections.abc import Iterable

from hlbcore.blending.evidence import ADDS_UP, EVIDENCE
from hlbcore.findings import Finding
from hlbcore.ingredients import Ingredient
from hlbcore.product_types import ProductType, product_type

_MARKS = {
    "soap": "a soap: its HLB figure is not on the scale of nonionics, and acid, hard water and salt break it",
    "lactylate": "a lactylate: its HLB moves with pH and maker",
    "polymer": "a polymer: it holds the oil by thickening and by long chains, which HLB does not describe",
    "poloxamer": "a polymer: its figure is beyond the scale of common nonionics",
    "polymeric ester": "a polymer: it holds water droplets by long chains, which HLB does not describe",
    "silicone emulsifier": "a silicone polyether: HLB was made for hydrocarbon chains",
    "sucrose ester": "a sucrose ester: the name does not fix the HLB, the share of monoester does",
    "quaternary": "cationic: it works by its charge, which HLB does not describe",
    "amidoamine": "cationic once acidified: it works by its charge, which HLB does not describe",
    "sulfate": "an anionic sulfate: its HLB figure is not on the scale of nonionics",
    "phosphate": "an anionic phosphate: its HLB figure is not on the scale of nonionics",
    "glycerol ester with soap": "self-emulsifying by the soap it holds; never a plain nonionic",
    "lecithin": "lecithin: the name does not fix the HLB, ask your supplier",
    "all-in-one": "an all-in-one wax: its supplier's rate and oil limit hold, no HLB verdict",
}

_SYSTEMS = {
    "ready blend": "sold ready: its supplier's rate and oil limit hold, no HLB verdict",
    "lamellar": "a lamellar emulsifier: layers in the water hold the oil, its supplier's rate holds",
    "glucoside": "a glucoside: its figure is not on Griffin's scale, its supplier's rate holds",
    "olivate": "an olive emulsifier: layers in the water hold the oil, its supplier's rate holds",
    "polyglyceryl": "a polyglyceryl ester: its figure differs by maker, the supplier's rate holds",
    "methylglucose": "a methyl glucose ester: its figure differs by maker, the supplier's rate holds",
    "citrate": "a citric ester: its charge moves with pH, its supplier's rate holds",
    "glutamate": "a glutamate: its charge moves with pH, its supplier's rate holds",
    "other": "not on Griffin's scale: its supplier's rate holds",
}


def mark(ingredient: Ingredient) -> str:
    """Why HLB says little about this emulsifier; blank for a plain nonionic.

    Parameters
    ----------
    ingredient : Ingredient
        An emulsifier of the tables.

    Returns
    -------
    str
        The reason in words.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> mark(load_library().emulsifier("sodium stearoyl lactylate"))
    'a lactylate: its HLB moves with pH and maker'
    """
    if ingredient.family in _MARKS:
        return _MARKS[ingredient.family]
    if ingredient.system in _SYSTEMS:
        return _SYSTEMS[ingredient.system]
    if ingredient.charge in ("anionic", "cationic", "amphoteric"):
        return f"{ingredient.charge}: HLB figures add up for nonionics only"
    return ""


LEFT_OUT = Finding(
    "note",
    "What HLB leaves out",
    "Temperature, salt, pH, concentration and process are not in the figure; this is a best estimate to "
    f"start from. {ADDS_UP} {EVIDENCE}",
    rule="pasquali_2008; ohba_1962; printed_formulas_2026",
    mend="A bench ladder shows where your formula really sits.",
    always=True,
)
"""Said once, wherever an HLB is read."""


def charge_clash(ingredients: Iterable[Ingredient], *, soap: bool = False) -> Finding | None:
    """The stop for anionic with cationic.

    Parameters
    ----------
    ingredients : iterable of Ingredient
        Emulsifiers and others that carry a charge.
    soap : bool
        Whether a soap forms in the formula: it is anionic too.

    Returns
    -------
    Finding or None
        None where the charges go together.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> lib = load_library()
    >>> charge_clash([lib.find("cetrimonium chloride")], soap=True).level
    'stop'
    """
    held = list(ingredients)
    anionic = [i.common_name for i in held if i.charge == "anionic"]
    anionic += ["the soap that forms"] if soap else []
    cationic = [i.common_name for i in held if i.charge == "cationic"]
    if not anionic or not cationic:
        return None
    return Finding(
        "stop",
        "Anionic with cationic",
        f"{', '.join(anionic)} and {', '.join(cationic)} carry opposite charges and precipitate each other.",
        rule="general chemistry, from memory",
        mend="Keep one charge; nonionics go with both.",
    )


def emulsifier_findings(
    ingredients: Iterable[Ingredient | None], product: str | ProductType | None = None
) -> tuple[Finding, ...]:
    """What marks these emulsifiers, and what HLB leaves out.

    Parameters
    ----------
    ingredients : iterable of Ingredient or None
        Emulsifiers of the blend; None for one known by a figure only.
    product : str or ProductType, optional
        Product type; an anhydrous one brings the solubility caution.

    Returns
    -------
    tuple of Finding
        Marks, charge conflict, solubility, and what is left out.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> lib = load_library()
    >>> both = [lib.emulsifier("sodium lauryl sulfate"), lib.emulsifier("cetrimonium chloride")]
    >>> emulsifier_findings(both)[0].level
    'stop'
    """
    held = [i for i in ingredients if i is not None]
    found: list[Finding] = []
    if (clash := charge_clash(held)) is not None:
        found.append(clash)
    found += mark_findings(held)
    found += about_findings(held)
    if product is not None and product_type(product).anhydrous:
        found.append(SOLUBILITY)
    found.append(LEFT_OUT)
    return tuple(found)


def mark_findings(held: Iterable[Ingredient]) -> list[Finding]:
    """Emulsifiers of which HLB says little, and those whose sources disagree."""
    found = []
    for ingredient in held:
        if reason := mark(ingredient):
            found.append(
                Finding(
                    "caution",
                    f"HLB says little about {ingredient.common_name}",
                    f"It is {reason}. A figure is used where one is listed, and is marked.",
                    rule="HLB adds up for nonionics (griffin_1949_recalled, pasquali_2008)",
                    mend="Go by its supplier's rate and by a bench trial.",
                )
            )
        elif ingredient.hlb_printed is not None:
            low, high = ingredient.hlb_printed
            found.append(
                Finding(
                    "caution",
                    f"Sources disagree on {ingredient.common_name}",
                    f"Readings run from {low:g} to {high:g}: its name fixes no figure.",
                    figure=f"{high - low:g} HLB apart",
                    rule="an emulsifier whose roots lie more than 3 apart has no figure; our convention",
                    mend="Ask your supplier for the figure of the grade and give it as a value.",
                )
            )
    return found


def about_findings(held: Iterable[Ingredient]) -> list[Finding]:
    """The remarks of the tables."""
    return [Finding("note", f"About {i.common_name}", i.note, aside=True) for i in held if i.note]


def without_figure(ingredient: Ingredient) -> str:
    """Why an emulsifier has no figure, as a sentence."""
    if reason := mark(ingredient):
        return f"It is {reason}."
    if ingredient.kind in ("fatty alcohol", "fatty acid"):
        return f"A {ingredient.kind} is no emulsifier by itself; it counts with the others only."
    if (printed := ingredient.hlb_printed) is not None:
        low, high = printed
        return f"Figures under its name run from {low:g} to {high:g}: the sheet of your grade decides."
    return "No reading of its HLB is in the tables."


SANK = "20 % polysorbate 80 sank out of almond, olive and mineral oil, and a matched pair in about a week"
"""forum_bath_oil_41595."""

SOLUBILITY = Finding(
    "caution",
    "A matched HLB does not keep an emulsifier dissolved",
    f"Without water the emulsifier must stay dissolved in the oil: {SANK}.",
    rule="forum_bath_oil_41595 (one forum thread)",
    mend="Jar test: keep a sample for weeks, cold and warm, before judging the HLB.",
)
"""The caution of every anhydrous product."""
