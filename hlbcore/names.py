"""What a name says beyond the list of names: remarks, strengths, parts, and kinds by their ending.

A label name, a recipe and a shop write one material in many ways. What follows is read from the
name alone; no figure is ever made up. Rules of naming are common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import lru_cache

from rapidfuzz import fuzz, process

from hlbcore._name_kinds import KIND_PATTERNS
from hlbcore.ingredients import KINDS, NAME_MAX, Ingredient, fold

NEAR_CUTOFF = 75.0
"""Likeness from which a name is offered as a close match. [%] Our convention."""

SLIP_CUTOFF = 90.0
"""Likeness from which a name counts as a slip of a known one, not as a new material. [%]
Our convention."""

PARTS_MOST = 12
"""Parts of a blend that a name may list. [-] Our convention."""

_REMARKS = re.compile(
    r"\b(extra virgin|pomace|cold[- ]pressed|food grade|cosmetic grade|not named|composition unknown|"
    r"of choice|"
    r"ph ?eur|refined|unrefined|virgin|organic|raw|natural|pure|deodori[sz]ed|winteri[sz]ed|filtered|"
    r"high[- ]oleic|high[- ]linoleic|unspecified|unknown|vegetable|granulated|"
    r"powdered|melted|shredded|grated|softened|"
    r"granules|pellets|pastilles|flakes|beads?|distilled|deioni[sz]ed|demineralized|purified|spring|"
    r"boiled|tap|usp|nf|white|yellow|fine|ground|anhydrous|hemihydrate|monohydrate|dihydrate|"
    r"trihydrate|pentahydrate|hexahydrate|heptahydrate|decahydrate|"
    r"solid|liquid|optional|bio|fresh|warm|hot|cold)\b"
)
_STRENGTH = re.compile(r"(\d+(?:[.,]\d+)?) ?(?:%|per ?cent)")
_STRENGTH_WORDS = re.compile(r"\b(aqueous|solution|sol|active|w/w|in water|gel|dilution|concentrate)\b")
_SHARE = re.compile(r"\((?:about |ca\.? ?)?\d+(?:[.,]\d+)?(?: ?(?:-|to) ?\d+(?:[.,]\d+)?)? ?%?\)")
_SHORT = (
    (re.compile(r"\be\.?o\.?s?(?= blend$|$)"), "essential oil"),
    (re.compile(r"\bvit\.? (?=[a-z]\d*\b)"), "vitamin "),
    (re.compile(r"^ps ?(?=\d\d$)"), "polysorbate "),
    (re.compile(r"^(.*\boil\b).*\b(?:fcf|bergapten[- ]free|furocoumarin[- ]free)$"), r"\1"),
)
"""Words that makers shorten."""
_PARTS = re.compile(r"\s*(?:\(\s*and\s*\)|\band\b|\bwith\b|&|\+|;|,(?!\d))\s*")
_ENDINGS = ("seed oil", "kernel oil", "nut oil", "fruit oil", "germ oil", "bran oil", "oil")

_OIL_KINDS = frozenset(k for k, side in KINDS.items() if side.startswith("oil"))

LookUp = Callable[[str], Ingredient | None]
"""The ingredient with exactly that name, or None."""


def plain(name: str) -> str:
    """A name in lower case, with plain dashes, quotes and single blanks.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    str
        For reading, not for printing.

    Examples
    --------
    >>> plain("  Shea–Butter ")
    'shea-butter'
    """
    text = unicodedata.normalize("NFKC", name).casefold()
    text = re.sub(r"[\u2010-\u2015\u2212]", "-", text)
    return " ".join(text.replace("\u2019", "'").split())


def bare_kind(name: str) -> str:
    """The kind that the last word of a name tells: ``oil``, ``butter`` or ``wax``; blank for others.

    Parameters
    ----------
    name : str
        A name that nobody knows; taken only where its line says that it stands in the oil phase, since a
        bare wax may be an emulsifying one.

    Returns
    -------
    str
        The kind.

    Examples
    --------
    >>> bare_kind("Meadow wax"), bare_kind("meadow milk")
    ('wax', '')
    """
    found = re.search(r"\w+ (oil|butter|wax)$", plain(name))
    return found[1] if found and len(name) <= NAME_MAX else ""


@lru_cache(maxsize=4096)  # a page asks for the same names again and again
def split_parts(name: str) -> tuple[str, ...]:
    """The parts that a name lists: by "(and)", "and", commas, plus signs, semicolons or a lone slash.

    Parameters
    ----------
    name : str
        For example a blend as a shop writes it.

    Returns
    -------
    tuple of str
        In the order written, without shares in brackets; one part where nothing parts them.

    Examples
    --------
    >>> split_parts("Glyceryl Stearate (48-52 %), PEG-100 Stearate")
    ('glyceryl stearate', 'peg-100 stearate')
    """
    text = _SHARE.sub(" ", plain(name))
    parts = tuple(p.strip(" .()") for p in _PARTS.split(text) if p.strip(" .()"))
    if len(parts) == 1 and " / " in text:
        parts = tuple(p.strip() for p in text.split(" / ") if p.strip())
    return parts


def listed_shares(name: str) -> tuple[float, ...]:
    """The single shares that a name gives in brackets.

    Parameters
    ----------
    name : str
        For example a blend as a shop writes it.

    Returns
    -------
    tuple of float
        In the order written; ranges are left out. [%]

    Examples
    --------
    >>> listed_shares("Glyceryl Stearate (60 %), PEG-100 Stearate (30-40 %)")
    (60.0,)
    """
    found = re.findall(r"\((?:about |ca\.? ?)?(\d+(?:[.,]\d+)?) ?%\)", plain(name))
    return tuple(float(n.replace(",", ".")) for n in found)


def close(key: str, keys: Iterable[str], *, most: int = 8) -> list[str]:
    """Folded names that look like the one given, the likest first.

    Parameters
    ----------
    key : str
        A folded name.
    keys : iterable of str
        Folded names to choose from.
    most : int
        How many at most.

    Returns
    -------
    list of str
        Ties by name.
    """
    found = process.extract(key, sorted(keys), scorer=fuzz.ratio, limit=most, score_cutoff=NEAR_CUTOFF)
    return [k for k, _, _ in found]


def is_slip(name: str, of: str) -> bool:
    """Whether a name is another one with a slip of typing.

    Parameters
    ----------
    name, of : str
        As typed, and as it may have been meant.

    Returns
    -------
    bool
        By the letters alone.

    Examples
    --------
    >>> is_slip("beewax", "beeswax"), is_slip("house cream", "heavy cream")
    (True, False)
    """
    return bool(fuzz.ratio(fold(name), fold(of)) >= SLIP_CUTOFF)


def read_name(name: str, known: LookUp, keys: Iterable[str]) -> Ingredient | None:
    """The ingredient that a name stands for though no list holds it.

    Parameters
    ----------
    name : str
        A name that no list holds.
    known : callable
        The ingredient with exactly a name, or None.
    keys : iterable of str
        Ids of all ingredients, so that a slip of one is not taken for a new material.

    Returns
    -------
    Ingredient or None
        An ingredient of the tables, with the active share where the name gives a strength; a blend
        of known parts; one known by its kind alone, without figures; or None.
    """
    if len(name) > NAME_MAX or not fold(name) or re.search(r"[<>{}\n\r]", name):
        return None
    text = plain(name)
    return (
        _varied(text, known)
        or _of_strength(text, name, known, keys)
        or _blend(text, name, known, keys)
        or _by_kind(text, name, keys)
    )


def _forms(text: str) -> list[str]:
    """Other ways to write the same name, the nearest first."""
    bare = " ".join(re.sub(r"\([^()]*\)", " ", text).split())
    inner = re.findall(r"\(([^()]*)\)", text)
    tidy = " ".join(_REMARKS.sub(" ", bare.replace(",", " ")).split())
    forms = [bare, tidy, *(i for i in inner if i != "and")]
    for short, full in _SHORT:
        forms += [short.sub(full, form) for form in (bare, tidy) if short.search(form)]
    for form in (bare, tidy):
        forms += [form.removesuffix("s"), re.sub(r"^(?:l|dl|d)-", "", form)]
        forms.append(re.sub(r" t?\d{2,5}(?: ?cst)?$", "", form))  # a grade, such as carbomer 940
        for ending in _ENDINGS:
            if form.endswith(f" {ending}"):
                stem = form.removesuffix(ending)
                forms += [stem + other for other in _ENDINGS if other != ending]
                break
    return list(dict.fromkeys(f for f in forms if len(fold(f)) > 1 and f != text))


def _varied(text: str, known: LookUp) -> Ingredient | None:
    if "(and)" in text:
        return None
    return next((found for form in _forms(text) if (found := known(form)) is not None), None)


def _of_strength(text: str, name: str, known: LookUp, keys: Iterable[str]) -> Ingredient | None:
    strengths = _STRENGTH.findall(text)
    if len(strengths) != 1 or len(_PARTS.split(text)) > 2:
        return None
    pct = float(strengths[0].replace(",", "."))
    if not 0 < pct <= 100:
        return None
    rest = _STRENGTH.sub(" ", text)
    base = " ".join(_STRENGTH_WORDS.sub(" ", rest).replace(",", " ").split()).strip(" ()-")
    if not fold(base):
        return None
    found = known(" ".join(rest.replace(",", " ").split())) or known(base) or _varied(base, known)
    found = found or _by_kind(base, name, keys)
    return None if found is None else replace(found, active_pct=pct)


def _blend(text: str, name: str, known: LookUp, keys: Iterable[str]) -> Ingredient | None:
    parts = split_parts(text)
    if len(parts) == 1 and "/" in text and all(known(p) for p in text.split("/")):
        parts = tuple(text.split("/"))
    if not 1 < len(parts) <= PARTS_MOST:
        return None
    found = []
    for part in parts:
        held = known(part) or _varied(part, known) or _of_strength(part, part, known, keys)
        held = held or _by_kind(part, part, keys)
        if held is None:
            return None
        found.append(held)
    kind = _blend_kind([f.kind for f in found])
    emulsifiers = [f for f in found if f.convention in ("emulsifier", "all_in_one")]
    charges = {f.charge for f in emulsifiers if f.charge in ("anionic", "cationic")}
    systems = {f.system for f in emulsifiers} - {"", "Griffin"}
    return Ingredient(
        fold(name),
        "",
        " ".join(name.split()),
        kind,
        charge=(charges.pop() if len(charges) == 1 else "nonionic") if emulsifiers else "",
        family="blend" if emulsifiers else "",
        convention=KINDS[kind],
        system=(systems.pop() if len(systems) == 1 else "ready blend") if emulsifiers else "",
        parts=tuple(f.common_name for f in found),
    )


def _blend_kind(kinds: list[str]) -> str:
    """What a blend is by its parts: an emulsifier or a preservative leads, else the first part does."""
    if ("emulsifying wax" in kinds or "emulsifier" in kinds) and kinds[0] != "preservative":
        return "emulsifying wax"
    if "preservative" in kinds:
        return "preservative"
    if "water" in kinds and len(set(kinds)) > 1:  # a solution of the other parts
        kinds = [k for k in kinds if k != "water"]
    return next((k for k in kinds if k in _OIL_KINDS), kinds[0])


def _by_kind(text: str, name: str, keys: Iterable[str]) -> Ingredient | None:
    if "(and)" in text:
        return None
    tidy = " ".join(re.sub(r"\([^()]*\)", " ", text).replace(",", " ").split())
    bare = " ".join(_REMARKS.sub(" ", tidy).split()) or tidy
    for pattern, kind, family, charge, system in KIND_PATTERNS:
        if pattern.search(bare) or pattern.search(tidy):
            if len(fold(bare)) < 3 or any(_is_slip(fold(f), keys) for f in (name, *_forms(bare))):
                return None
            return Ingredient(
                fold(name),
                "",
                " ".join(name.split()),
                kind,
                charge=charge,
                family=family,
                convention=KINDS[kind],
                system=system,
                by_kind=True,
            )
    return None


def _is_slip(key: str, keys: Iterable[str]) -> bool:
    """Whether a name looks like a known one with a letter or two wrong; other digits are no slip."""
    digits = re.sub(r"\D", "", key)
    near = process.extract(key, keys, scorer=fuzz.ratio, limit=3, score_cutoff=SLIP_CUTOFF)
    return any(re.sub(r"\D", "", k) == digits and k != key for k, _, _ in near)
