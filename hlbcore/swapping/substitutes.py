"""Substitutes for an oil or an emulsifier, ranked by how little they differ, each with its reason.

A distance is a mean of differences, each from 0 (equal) to 1 (as far as counts), weighted by
constants that the user may move. A missing figure never counts as equal.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore._numbers import checked, checked_word
from hlbcore.blending.marks import mark
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.ingredients import EMULSIONS, Ingredient
from hlbcore.library import EMULSIFIER_SIDE, OIL_SIDE, Library, load_library
from hlbcore.rules import safety
from hlbcore.rules.fat_figures import composition_of, density_of, property_of, solids_of
from hlbcore.rules.fats import TEMPERATURES_C
from hlbcore.rules.hard_share import melting_c

OIL_WEIGHTS: Mapping[str, float] = {
    "required HLB": 3.0,
    "fatty acids": 2.0,
    "triacylglycerols": 1.0,
    "melting": 2.0,
    "solids": 2.0,
    "density": 0.5,
    "iodine value": 1.0,
    "kind": 1.0,
    "form": 1.0,
}
"""How much each difference counts among oils. [-] Our convention."""

EMULSIFIER_WEIGHTS: Mapping[str, float] = {
    "HLB": 3.0,
    "charge": 3.0,
    "form": 1.0,
    "family": 1.0,
    "chain": 1.0,
    "PEG-based": 1.0,
}
"""How much each difference counts among emulsifiers. [-] Our convention."""

FULL = {
    "required HLB": 3.0,  # [HLB]
    "HLB": 5.0,  # [HLB]
    "melting": 20.0,  # [°C]
    "solids": 50.0,  # [points of % by mass]
    "density": 0.05,  # [g/cm³]
    "iodine value": 50.0,  # [g I2/100 g]
}
"""Differences that count in full. Our convention."""

MISSING = 0.75
"""What a missing figure counts, of a full difference: more than most known ones. [-]
Our convention."""

FORMS = ("liquid", "paste", "solid")

SUBSTITUTE_COLUMNS = {
    "rank": "1 is the nearest",
    "ingredient": "common name",
    "distance": "weighted mean of the differences, 0 to 1",
    "hlb": "required HLB of an oil, HLB of an emulsifier; blank where unknown",
    "reason": "what is alike and what differs, in words",
    "unknown": "what could not be compared",
    "caution": "allergens, sources and marks; blank where none is known",
}
"""Columns of `rank_substitutes` with unit or meaning."""


def is_peg_based(ingredient: Ingredient) -> bool:
    """Whether it holds oxyethylene, as the tables say."""
    return ingredient.peg_based is True


def allergen_of(ingredient: Ingredient) -> str:
    """The food allergen behind an ingredient; blank where none is known."""
    return safety.allergen_word(ingredient.common_name, ingredient.note)


def is_nut(ingredient: Ingredient) -> bool:
    """Whether it comes of a nut: by its note, or by a word in its name."""
    word = allergen_of(ingredient)
    nuts = ("tree nut", *(w for w in safety.ALLERGENIC if w not in safety.NO_NUTS))
    return word in nuts or "nut origin" in ingredient.note


def is_animal(ingredient: Ingredient) -> bool:
    """Whether it comes of an animal, as kind, name or note say."""
    return (
        ingredient.kind in ("lanolin", "animal fat")
        or "lanolin" in ingredient.family
        or "animal origin" in ingredient.note
        or ingredient.id in ("beeswax", "honey", "milk", "goat_milk", "milk_powder")
    )


WISHES: Mapping[str, Callable[[Ingredient], bool]] = {
    "PEG-free": is_peg_based,
    "no nut oils": is_nut,
    "no soy": lambda i: "soy" in allergen_of(i),
    "no food allergens": lambda i: bool(allergen_of(i)),
    "no lanolin": lambda i: i.kind == "lanolin" or "lanolin" in i.family,
    "nothing of animals": is_animal,
}
"""Wishes for a whole list, and what each shuts out."""


def shut_out(wishes: str | Sequence[str]) -> Callable[[Ingredient], bool]:
    """Whether a wish shuts an ingredient out.

    Parameters
    ----------
    wishes : str or sequence of str
        Of `WISHES`.

    Returns
    -------
    callable
        True for what must not be there.

    Examples
    --------
    >>> shut_out("PEG-free")(load_library().find("polysorbate 80"))
    True
    """
    names = [wishes] if isinstance(wishes, str) else list(wishes)
    held = [WISHES[checked_word(w, tuple(WISHES), "wish")] for w in names]
    return lambda ingredient: any(out(ingredient) for out in held)


def origin_notes(ingredient: Ingredient) -> str:
    """Allergens, origin and marks of one ingredient in words.

    Parameters
    ----------
    ingredient : Ingredient
        Any.

    Returns
    -------
    str
        Blank where none is known, which is no promise that there is none.

    Examples
    --------
    >>> origin_notes(load_library().find("peanut oil"))
    'food allergen: peanut'
    """
    said = []
    if word := allergen_of(ingredient):
        said.append(f"food allergen: {word}")
    elif is_nut(ingredient):
        said.append("nut origin")
    if "shea" in ingredient.id:
        said.append("shea: a tree nut on some lists")
    if ingredient.kind == "lanolin" or "lanolin" in ingredient.family:
        said.append("lanolin: a contact allergen for some")
    if is_animal(ingredient):
        said.append("animal origin")
    if ingredient.convention in EMULSIFIER_SIDE and (marked := mark(ingredient)):
        said.append(marked)
    return "; ".join(said)


@dataclass(frozen=True, slots=True)
class _Difference:
    """One compared property: 0 equal, 1 full; None where a figure is missing."""

    name: str
    size: float | None
    said: str = ""


def _number(name: str, a: float | None, b: float | None, unit: str, digits: str) -> _Difference:
    if a is None or b is None:
        return _Difference(name, None)
    gap = abs(a - b)
    said = (
        f"same {name} ({b:{digits}}{unit})"
        if f"{a:{digits}}" == f"{b:{digits}}"
        else f"{name} {b:{digits}} against {a:{digits}}{unit}"
    )
    return _Difference(name, min(gap / FULL[name], 1.0), said)


def _word(name: str, a: object, b: object) -> _Difference:
    if a in ("", None) or b in ("", None):
        return _Difference(name, None)
    if name == "form":
        gap = abs(FORMS.index(str(a)) - FORMS.index(str(b))) / (len(FORMS) - 1)
    else:
        gap = float(a != b)
    title = "" if name == "PEG-based" else f"{name} "
    return _Difference(name, gap, f"same {title}{b}" if a == b else f"{title}{b}, not {a}")


def _profile(name: str, what: str, a: Ingredient, b: Ingredient) -> _Difference:
    """One less the overlap: what is not listed on either side overlaps with nothing."""
    first, second = composition_of(a, what), composition_of(b, what)
    if not first or not second:
        return _Difference(name, None)
    common = math.fsum(min(first[n][0], second[n][0]) for n in first if n in second) / 100
    common = min(common, 1.0)
    return _Difference(name, 1 - common, f"{name} overlap by {100 * common:.0f} %")


def _oil_differences(a: Ingredient, b: Ingredient, emulsion: str) -> list[_Difference]:
    r1, r2 = (None if e is None else e.value for e in (a.required_hlb(emulsion), b.required_hlb(emulsion)))
    gaps = []
    for t in TEMPERATURES_C:
        s1, s2 = solids_of(a, t).value, solids_of(b, t).value
        if s1 is not None and s2 is not None and (s1 > 0 or s2 > 0):
            gaps.append((abs(s1 - s2), f"solids at {t:g} °C {s2:.0f} against {s1:.0f} %"))
    if gaps:
        mean = math.fsum(g for g, _ in gaps) / len(gaps)
        solids = _Difference("solids", min(mean / FULL["solids"], 1.0), max(gaps)[1])
    elif a.form == "liquid" and b.form == "liquid":
        solids = _Difference("solids", 0.0, "no solids at room temperature, both are liquid")
    else:
        solids = _Difference("solids", None)
    iodine = [property_of(i, "iodine_value", "").value for i in (a, b)]
    return [
        _number("required HLB", r1, r2, "", ".1f"),
        _profile("fatty acids", "fatty_acid", a, b),
        _profile("triacylglycerols", "triacylglycerol", a, b),
        _number("melting", melting_c(a), melting_c(b), " °C", ".3g"),
        solids,
        _number("density", density_of(a).value, density_of(b).value, " g/cm³", ".3f"),
        _number("iodine value", iodine[0], iodine[1], "", ".0f"),
        _word("kind", a.kind, b.kind),
        _word("form", a.form, b.form),
    ]


def _emulsifier_differences(a: Ingredient, b: Ingredient) -> list[_Difference]:
    h1, h2 = (None if e is None else e.value for e in (a.hlb, b.hlb))
    peg = [{True: "PEG-based", False: "PEG-free", None: ""}[i.peg_based] for i in (a, b)]
    return [
        _number("HLB", h1, h2, "", ".1f"),
        _word("charge", a.charge, b.charge),
        _word("form", a.form, b.form),
        _word("family", a.family, b.family),
        _word("chain", a.chain, b.chain),
        _word("PEG-based", *peg),
    ]


def rank_substitutes(
    name: str,
    *,
    side: str = "auto",
    emulsion: str = "o/w",
    weights: Mapping[str, float] | None = None,
    missing: float = MISSING,
    among: Sequence[str] | None = None,
    wishes: str | Sequence[str] = (),
    top: int = 10,
    library: Library | None = None,
) -> pd.DataFrame:
    """Substitutes for an oil or an emulsifier, the nearest first, each with its reason.

    Parameters
    ----------
    name : str
        What goes out.
    side : str
        ``"oil"`` or ``"emulsifier"`` for a two-sided ingredient; ``"auto"`` follows the tables.
    emulsion : str
        Emulsion type whose required HLB is compared.
    weights : mapping of str to float, optional
        How much each difference counts; the names of `OIL_WEIGHTS` or `EMULSIFIER_WEIGHTS`, others
        keep their weight. [-]
    missing : float
        What a missing figure of a candidate counts, above 0 and up to 1. [-]
    among : sequence of str, optional
        Only these, for example what is on the shelf.
    wishes : str or sequence of str
        What must not be in it, of `WISHES`.
    top : int
        How many rows. [-]

    Returns
    -------
    DataFrame
        Columns as in `SUBSTITUTE_COLUMNS`; ties by id. What the one that goes out has no figure
        for is compared with nobody and named as unknown in every row.

    Raises
    ------
    UnknownIngredient
        If the tables do not hold it.
    InvalidInput
        For a weight or a wish that there is not.

    Examples
    --------
    >>> rank_substitutes("sorbitan stearate", top=1)["ingredient"][0]
    'sorbitan distearate'
    >>> rank_substitutes("cocoa butter", among=["jojoba oil", "mango butter"])["ingredient"][0]
    'mango butter'
    """
    library = library or load_library()
    emulsion = checked_word(emulsion, EMULSIONS, "emulsion")
    gone = library.find(name)
    side = checked_word(side, ("auto", "oil", "emulsifier"), "side")
    if side == "auto":
        side = (
            "emulsifier"
            if gone.convention in ("emulsifier", "all_in_one")
            else (gone.convention.partition("_or_")[0])
        )
    sides = {"oil": OIL_SIDE, "emulsifier": EMULSIFIER_SIDE}
    if side not in sides or gone.convention not in sides[side]:
        raise InvalidInput(
            f"substitutes for '{clipped(name)}'",
            f"it is of kind {gone.kind} and no {side if side in sides else 'oil or emulsifier'}",
            "Substitutes are ranked for oils and emulsifiers.",
        )
    usual = OIL_WEIGHTS if side == "oil" else EMULSIFIER_WEIGHTS
    held = dict(usual)
    for what, weight in (weights or {}).items():
        word = checked_word(what, tuple(usual), "weight")
        held[word] = checked(weight, f"weight of '{word}'", low=0, high=1e6)
    blank = checked(missing, "missing figure", above=0, high=1)
    rows = int(checked(top, "rows", low=1, high=1e6))
    barred = shut_out(wishes)
    pool = [library.find(n) for n in among] if among is not None else list(library)
    ranked = []
    for i in {c.id: c for c in pool}.values():
        if i.id == gone.id or i.convention not in sides[side] or barred(i):
            continue
        if side == "emulsifier" and i.convention == "oil_or_emulsifier":
            continue  # a fatty alcohol or acid is an emulsifier by choice only
        ranked.append(_compared(gone, i, side, emulsion, held, blank))
    if not ranked:
        raise EmptyPhase("The list of substitutes", "Name others, or drop a wish.")
    ranked.sort(key=lambda row: (round(row[0], 12), row[1].id))
    return pd.DataFrame(
        [
            (n, i.common_name, distance, hlb, reason, unknown, origin_notes(i))
            for n, (distance, i, hlb, reason, unknown) in enumerate(ranked[:rows], 1)
        ],
        columns=list(SUBSTITUTE_COLUMNS),
    )


def _compared(
    gone: Ingredient,
    other: Ingredient,
    side: str,
    emulsion: str,
    weights: Mapping[str, float],
    missing: float,
) -> tuple[float, Ingredient, float, str, str]:
    """Distance, ingredient, HLB, reason and what is unknown."""
    if side == "oil":
        found, itself = (_oil_differences(gone, other, emulsion), _oil_differences(gone, gone, emulsion))
        estimate = other.required_hlb(emulsion)
    else:
        found, itself = _emulsifier_differences(gone, other), _emulsifier_differences(gone, gone)
        estimate = other.hlb
    sums, whole, unknown = 0.0, 0.0, []
    said: list[tuple[float, str]] = []
    for d, own in zip(found, itself, strict=True):
        weight = weights[d.name]
        if d.size is None:
            unknown.append(d.name)
            if own.size is None or weight == 0:
                continue  # nobody can be compared with it
        elif weight > 0:
            said.append((weight * d.size, d.said))
        sums += weight * (missing if d.size is None else d.size)
        whole += weight
    said.sort(key=lambda pair: -pair[0])
    differs = [s for size, s in said if size > 0]
    alike = [s for size, s in said if size == 0]
    reason = "; ".join([*alike, *differs]) or "nothing could be compared"
    distance = sums / whole if whole > 0 else 1.0
    hlb = math.nan if estimate is None else estimate.value
    return distance, other, hlb, reason, ", ".join(unknown)
