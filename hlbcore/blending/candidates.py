"""Which emulsifiers: what marks them, and the choice where the tool is asked to choose."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from hlbcore.blending.evidence import ADDS_UP, EVIDENCE
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, InvalidInput, MissingValue, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.findings import Finding
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import ProductType, product_type
from hlbcore.readings import GRADES

TRACE = 0.20
"""An emulsifier without a figure below this share of the blend is bounded. [-] Our convention."""

TRACE_BOUNDS = Estimate(10.5, 3.0, 18.0, grade="class range")
"""What such a trace counts as. [HLB] Our convention; the ends are those of nonionics in use."""

GAP_LEAST, GAP_MOST = 3.0, 12.0
"""Distance of the two emulsifiers of a default pair. [HLB] Our convention."""

ALONE_LEAST, ALONE_MOST = 13.0, 18.0
"""HLB of a hydrophilic emulsifier used alone, where the usual one is not at hand. [HLB]
Our convention; solubilisers stand at 15 to 18 (raw_source_solubilizing)."""

USUAL_CHAIN = MappingProxyType({"o/w cream": "stearic"})
"""Fatty chain of the pair that the tool chooses: the solid stearates for a cream, the liquid oleates
for lotions and for oils that disperse. common practice, no source."""

NONIONIC_MOST = 20.0
"""Top of Griffin's scale; beyond it only ionics and very long ethoxylates stand. [HLB]"""

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


@dataclass(frozen=True, slots=True)
class Candidate:
    """One emulsifier that a blend may use.

    Parameters
    ----------
    label : str
        As given.
    estimate : Estimate
        Its HLB. [HLB]
    ingredient : Ingredient or None
        None where only a figure was given.
    """

    label: str
    estimate: Estimate
    ingredient: Ingredient | None = None

    @property
    def id(self) -> str:
        """The ingredient's id, or the folded label."""
        return self.ingredient.id if self.ingredient else fold(self.label)


Emulsifiers = Mapping[str, float | str | Estimate] | Sequence[str | Ingredient]
"""Names, ingredients, or a mapping of label to HLB."""


def candidates(emulsifiers: Emulsifiers, library: Library | None = None) -> tuple[Candidate, ...]:
    """The emulsifiers with their figures.

    Parameters
    ----------
    emulsifiers : sequence of str or Ingredient, or mapping of str to float, str or Estimate
        Names of the tables, or labels with an HLB. [HLB]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    tuple of Candidate
        In the order given.

    Raises
    ------
    UnknownIngredient
        For a name that is no emulsifier of the tables.
    MissingValue
        For an emulsifier without a figure.
    InvalidInput
        For one named twice.

    Examples
    --------
    >>> [c.estimate.value for c in candidates(["sorbitan oleate", "polysorbate 80"])]
    [4.3, 15.0]
    """
    library = library or load_library()
    if isinstance(emulsifiers, str):
        emulsifiers = [emulsifiers]
    found: list[Candidate] = []
    if isinstance(emulsifiers, Mapping):
        for label, value in emulsifiers.items():
            estimate = as_estimate(value, f"HLB of '{clipped(label)}'")
            name = fold(label)
            known = library.ingredients.get(library.names.get(name, ""))
            found.append(Candidate(str(label), estimate, known))
    else:
        for entry in emulsifiers:
            ingredient = entry if isinstance(entry, Ingredient) else library.emulsifier(entry)
            if ingredient.hlb is None:
                raise MissingValue(
                    [ingredient.common_name],
                    "HLB",
                    f"{without_figure(ingredient)} Give its HLB as {{name: value}}, or leave it out.",
                )
            label = ingredient.common_name if isinstance(entry, Ingredient) else str(entry).strip()
            found.append(Candidate(label, ingredient.hlb, ingredient))
    if not found:
        raise EmptyPhase("The list of emulsifiers", "Name at least one emulsifier.")
    seen: dict[str, str] = {}
    for c in found:
        if c.id in seen:
            raise InvalidInput(
                f"emulsifier '{clipped(c.label)}'",
                f"it is '{clipped(seen[c.id])}' again",
                "Keep one of the two lines.",
            )
        seen[c.id] = c.label
    return tuple(found)


SOLUBILITY = Finding(
    "caution",
    "A matched HLB does not keep an emulsifier dissolved",
    "Without water the emulsifier must stay dissolved in the oil: 20 % polysorbate 80 "
    "sank out of almond, olive and mineral oil, and a matched pair in about a week.",
    rule="forum_bath_oil_41595 (one forum thread)",
    mend="Jar test: keep a sample for weeks, cold and warm, before judging the HLB.",
)
"""The caution of every anhydrous product."""

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


@dataclass(frozen=True, slots=True)
class Choice:
    """Emulsifiers that the tool chose, and why.

    Parameters
    ----------
    names : tuple of str
        Common names; empty where no emulsifier is called for.
    reason : str
        The reason in words.
    """

    names: tuple[str, ...]
    reason: str


def _plain(ingredient: Ingredient, *, ionics: bool) -> bool:
    """Whether the tool may choose it: a figure that sources agree on, and a plain nonionic."""
    estimate = ingredient.hlb
    if estimate is None or ingredient.convention == "all_in_one" or estimate.alternatives:
        return False
    if ionics:
        return ingredient.family not in ("soap", "polymer", "lactylate", "lecithin")
    return not mark(ingredient) and estimate.value <= NONIONIC_MOST


def choose_emulsifiers(
    target: float | Estimate | RequiredHlb,
    product: str | ProductType = "o/w cream",
    *,
    shelf: Sequence[str] | None = None,
    at_hand: Sequence[str] = (),
    ionics: bool = False,
    library: Library | None = None,
) -> Choice:
    """The emulsifiers to start with, where the user asks the tool to choose.

    Parameters
    ----------
    target : float, Estimate or RequiredHlb
        HLB wanted. [HLB]
    product : str or ProductType
        Product type; the choice follows the role of HLB.
    shelf : sequence of str, optional
        Choose among these only.
    at_hand : sequence of str
        Take from these first: both of them, else one and one more, else as without.
    ionics : bool
        Whether ionic emulsifiers and those above HLB 20 may be chosen.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Choice
        One below and one above the target for emulsions; one hydrophilic emulsifier where
        dispersal under the tap is the aim; a solubiliser for clear products.

    Examples
    --------
    >>> choose_emulsifiers(10.0).names
    ('sorbitan stearate', 'polysorbate 60')
    >>> choose_emulsifiers(10.0, at_hand=["sorbitan oleate", "polysorbate 80"]).names
    ('sorbitan oleate', 'polysorbate 80')
    """
    library = library or load_library()
    kind = product_type(product)
    held = {library.key(n) for n in at_hand}
    value = (
        target.value if isinstance(target, Estimate | RequiredHlb) else (as_estimate(target, "target").value)
    )
    among = [library.emulsifier(n) for n in shelf] if shelf is not None else library.emulsifiers
    where = "on the shelf" if shelf is not None else "in the tables"
    plain = [(i, e) for i in among if _plain(i, ionics=ionics) and (e := i.hlb) is not None]
    if kind.role == "none" and not kind.alone:
        return Choice((), f"{kind.reason} {kind.decides}")
    if kind.alone:
        return _one(plain, kind, held)
    ranked = []
    for (low, a), (high, b) in itertools.permutations(plain, 2):
        order = pair_order(low, a, high, b, value, kind)
        if order is not None:
            missing = sum(i.id not in held for i in (low, high)) if held else 0
            ranked.append((missing, order, low.id, high.id, low, high))
    if not ranked:
        return Choice(
            (),
            f"no pair {where} stands on both sides of HLB {value:.1f} with {GAP_LEAST:g} to "
            f"{GAP_MOST:g} between them" + ("" if ionics else "; ionics were not allowed"),
        )
    _, order, *_, low, high = min(ranked, key=lambda r: r[:4])
    chain = f"of the same fatty chain ({low.chain})" if not order[0] else "of different fatty chains"
    allowed = "ionics allowed" if ionics else "nonionic"
    return Choice(
        (low.common_name, high.common_name),
        f"one below and one above HLB {value:.1f}, {chain}, {allowed}, {where}" + _at_hand((low, high), held),
    )


def _at_hand(chosen: Sequence[Ingredient], held: Collection[str]) -> str:
    """Which of the chosen ones are at hand, in words; blank where nothing was said to be."""
    missing = [i.common_name for i in chosen if i.id not in held]
    if not held:
        return ""
    if not missing:
        return "; on your shelf"
    if len(missing) < len(chosen):
        return f"; {missing[0]} is not on your shelf: one more to get"
    return f"; not on your shelf: {' and '.join(missing)}"


def pair_order(
    low: Ingredient, a: Estimate, high: Ingredient, b: Estimate, target: float, kind: ProductType
) -> tuple[bool, bool, bool, int, int] | None:
    """How early a pair stands in the order of preference; None for one that is not chosen unasked.

    Parameters
    ----------
    low, high : Ingredient
        One at or below the target, one above it, `GAP_LEAST` to `GAP_MOST` apart.
    a, b : Estimate
        Their figures. [HLB]
    target : float
        HLB wanted. [HLB]
    kind : ProductType
        Product type, for its usual fatty chain.

    Returns
    -------
    tuple or None
        The same fatty chain first, a sorbitan ester with a polysorbate, the usual chain, firm
        figures, many sources.
    """
    if not a.value <= target < b.value or not GAP_LEAST <= b.value - a.value <= GAP_MOST:
        return None
    same = bool(low.chain) and low.chain == high.chain
    usual = low.family == "sorbitan ester" and high.family == "polysorbate"
    other = low.chain != USUAL_CHAIN.get(kind.name, "oleic")
    weak = max(GRADES.index(a.grade), GRADES.index(b.grade))
    return not same, not usual, other, weak, -min(len(a.sources), len(b.sources))


def _one(plain: Sequence[tuple[Ingredient, Estimate]], kind: ProductType, held: Collection[str]) -> Choice:
    """One hydrophilic emulsifier: the usual one of the product type, or the nearest to it."""
    reason = f"{kind.alone_reason} ({kind.alone_source})"
    fitting = [i for i, e in plain if ALONE_LEAST <= e.value <= ALONE_MOST]
    usual = [i for i, _ in plain if i.common_name == kind.alone]
    if not usual and not fitting:
        return Choice((), f"none stands at HLB {ALONE_LEAST:g} to {ALONE_MOST:g}; {reason}")
    best = usual or sorted(fitting, key=lambda i: (i.family != "polysorbate", i.id))
    best.sort(key=lambda i: i.id not in held)
    if best[0].id not in held:  # another one that is at hand, if it is as hydrophilic
        at_hand = [i for i in fitting if i.id in held]
        best = sorted(at_hand, key=lambda i: (i.family != "polysorbate", i.id)) or best
    return Choice((best[0].common_name,), reason + _at_hand(best[:1], held))


def openers(
    target: float,
    hlbs: Sequence[float],
    library: Library,
    *,
    allowed: Callable[[Candidate], bool] = lambda candidate: True,
) -> tuple[str, ...]:
    """Plain nonionics of the tables on the side where these emulsifiers do not reach."""
    upward = target > max(hlbs)
    found = []
    for i in library.emulsifiers:
        e = i.hlb
        if e is None or e.alternatives or mark(i) or e.value > NONIONIC_MOST:
            continue
        if not allowed(Candidate(i.common_name, e, i)):
            continue
        if (e.value > target) if upward else (e.value < target):
            found.append(
                (
                    i.family not in ("polysorbate", "sorbitan ester", "ethoxylated alcohol"),
                    e.grade == "memory",
                    abs(e.value - target),
                    i.common_name,
                    e.value,
                )
            )
    return tuple(f"{name} ({value:.1f})" for *_, name, value in sorted(found)[:4])
