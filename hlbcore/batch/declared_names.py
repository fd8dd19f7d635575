"""Names as a label prints them: INCI in the EU, common or usual names in the US.

- Order of authorities in the US: 21 CFR 701.3(c); `cfr_701_3`. Latin alone, a Colour Index number
  alone or a foreign word alone is no common or usual name there; such a word may stand in brackets
  behind it: `fda_ingredient_names`.
- Plants in the US: Latin name, common name in brackets, part and form. In the EU without the common
  name. Which common name stands with which plant: `data/label_names.csv`.
- Certified colours in the US: "FD&C", "D&C", "No." and the metal of a lake may be left out, "Ext."
  stays; `fda_colour_letter_1999`. Colours in the EU: Colour Index number, Reg. (EC) 1223/2009
  Art. 19(1)(g); `eu_1223_2009`.
- Praise, grade and purpose are no part of a name: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from hlbcore._numbers import checked_text, checked_word
from hlbcore._tables import _rows, _word
from hlbcore.errors import InvalidInput, TableError
from hlbcore.folders import data_folder
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library
from hlbcore.limits import check_length
from hlbcore.rules.allergens import allergen_named
from hlbcore.rules.colour_table import Colour
from hlbcore.rules.colours import us_colours

MARKETS = ("us", "eu")
"""Where a list of ingredients can be drafted for."""

FILE = "label_names.csv"
COLUMNS = ("latin", "english", "kind", "source", "where")

CI = re.compile(r"\bC\.?I\.? ?(\d{5}(?::\d)?)\b", re.I)
"""A Colour Index number in a name."""

_NANO = re.compile(r"[\s,]*\(?\bnano\b\)?", re.I)
_LAKE = re.compile(r"\blake\b", re.I)
_FLAVOUR = re.compile(r"\b(flavou?rs?|aroma)\b", re.I)
_PRAISE = re.compile(
    r"\b(purified|distilled|deioni[sz]ed|demineralized|organic|kosher|halal|natural|pure|raw|fresh|"
    r"refined|unrefined|virgin|extra virgin|cold[- ]pressed|cosmetic grade|food grade|usp|bp|ph ?eur)\b",
    re.I,
)


@dataclass(frozen=True, slots=True)
class LabelName:
    """A name as it is printed.

    Parameters
    ----------
    base : str
        The name itself; equal for what is one ingredient on the label.
    also : tuple of str
        What stands in brackets behind it.
    question : str
        What only the supplier can tell of it; blank where nothing is open.
    """

    base: str
    also: tuple[str, ...] = ()
    question: str = ""

    def __str__(self) -> str:
        return f"{self.base} ({', '.join(self.also)})" if self.also else self.base


def merged(names: Iterable[LabelName]) -> LabelName:
    """Names of one base as one, with all that stands in brackets."""
    held = list(names)
    also = dict.fromkeys(a for n in held for a in n.also)
    return LabelName(held[0].base, tuple(also), next((n.question for n in held if n.question), ""))


def by_base(names: Iterable[LabelName]) -> tuple[LabelName, ...]:
    """Names, each base once, in the order given."""
    held: dict[str, list[LabelName]] = {}
    for name in names:
        held.setdefault(fold(name.base), []).append(name)
    return tuple(map(merged, held.values()))


def checked_market(market: str, markets: tuple[str, ...] = MARKETS) -> str:
    """The market in lower case; InvalidInput names those that are known."""
    text = market.strip().casefold() if isinstance(market, str) else market
    return checked_word(text, markets, "market")


@cache
def label_names() -> Mapping[str, tuple[str, str, str]]:
    """Latin words and plants of label names: folded Latin to Latin, English and kind.

    Returns
    -------
    mapping of str to tuple of str
        English is blank where the plant stands by its Latin name alone.
    """
    found: dict[str, tuple[str, str, str]] = {}
    for line, row in _rows(data_folder(), FILE, COLUMNS):
        key = fold(row["latin"])
        if key in found:
            raise TableError(FILE, line, "latin", "it stands twice")
        kind = _word(row, "kind", ("trivial", "plant"), FILE, line)
        _word(row, "source", load_library().sources, FILE, line)
        found[key] = (row["latin"], row["english"], kind)
    return MappingProxyType(found)


@cache
def _latin_of() -> Mapping[str, tuple[str, str]]:
    """Latin and English by the folded word of either tongue, for words that are no plants."""
    trivial = [(latin, english) for latin, english, kind in label_names().values() if kind == "trivial"]
    held: dict[str, tuple[str, str]] = {}
    for latin, english in trivial:
        held[fold(latin)] = (latin, english)
        held.setdefault(fold(english), (latin, english))
    return MappingProxyType(held)


def tidy(name: str) -> str:
    """A typed name without praise, grade and purpose; a plant's common name in brackets stays.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    str
        In one line.

    Examples
    --------
    >>> tidy("Olea Europaea (Olive) Oil (Grade A Extra Virgin)"), tidy("purified water")
    ('Olea Europaea (Olive) Oil', 'water')
    """
    text = " ".join(name.split())
    bare = re.sub(r"\s*\([^()]*\)\s*$", "", text) if not re.search(r"\((and|nano)\)", text, re.I) else text
    kept = " ".join(_PRAISE.sub(" ", bare).split()).strip(" ,;")
    return kept or text


def titled(name: str) -> str:
    """A name with capitals as a label has them, where it was typed in small or in large letters alone."""
    if name == name.upper():  # PEG and C12-15 stay
        name = re.sub(r"[A-Z]{4,}", lambda m: m[0].capitalize(), name)
    return name if name != name.lower() else re.sub(r"(?<![\w'])[a-z]", lambda m: m[0].upper(), name)


def label_name(
    typed: str,
    market: str,
    *,
    colour: bool = False,
    scent: bool = False,
    ingredient: Ingredient | None = None,
    library: Library | None = None,
) -> LabelName:
    """The name of one ingredient as a label prints it.

    Parameters
    ----------
    typed : str
        Any of its names; an INCI name that was typed stays.
    market : str
        One of `MARKETS`.
    colour : bool
        Whether it is there for its colour.
    scent : bool
        Whether it is there for its scent alone, and is called fragrance.
    ingredient : Ingredient, optional
        Looked up by the name if left out.

    Returns
    -------
    LabelName
        With what stands in brackets.

    Raises
    ------
    InvalidInput
        For a blank name.

    Examples
    --------
    >>> print(label_name("shea butter", "us"), "/", label_name("shea butter", "eu"))
    Butyrospermum Parkii (Shea) Butter / Butyrospermum Parkii Butter
    >>> print(label_name("Aqua", "us"), "/", label_name("CI 77491", "us", colour=True))
    Water (Aqua) / Iron Oxides (CI 77491)
    """
    place = checked_market(market)
    check_length(checked_text(typed, "ingredient, name"), "ingredient, name")
    nano = bool(_NANO.search(typed))
    text = tidy(_NANO.sub("", typed))
    if not fold(text):
        raise InvalidInput("ingredient", "it has no name", "Name it.")
    held = ingredient or (library or load_library()).known(text)
    named = _named(text, typed, place, held, colour=colour, scent=scent)
    if nano and place == "eu":
        return LabelName(f"{named.base} (nano)", named.also, named.question)
    return named


def _named(
    text: str, typed: str, market: str, held: Ingredient | None, *, colour: bool, scent: bool
) -> LabelName:
    if scent or (held is not None and held.kind == "fragrance"):
        return _scent(typed, market)
    if colour or CI.search(text):
        return _colour(text, market, held)
    inci = held.inci if held is not None and "(and)" not in held.inci else ""
    several = {_latin_of().get(fold(p)) for p in text.split("/")}  # aqua/water
    words = several.pop() if len(several) == 1 else None
    words = words or _latin_of().get(fold(inci))
    if words is not None:
        return _of_two(words, typed, market)
    if _plant(text) is not None:
        inci = text  # an INCI name typed stays
    return LabelName(_plant_name(inci or titled(text), market))


def _of_two(words: tuple[str, str], typed: str, market: str) -> LabelName:
    """A word that both tongues have: the other one stands in brackets where it was typed."""
    latin, english = words
    base, other = (english, latin) if market == "us" else (latin, english)
    inner = re.findall(r"[^()/]+", typed)
    said = [fold(p) for p in inner]
    # a common name alone is not written again behind the INCI name
    both = fold(other) in said and (market == "us" or len(said) > 1)
    return LabelName(base, (other,) if both else ())


def _scent(typed: str, market: str) -> LabelName:
    flavour = _FLAVOUR.search(typed) is not None
    return _of_two(("Aroma", "Flavor") if flavour else ("Parfum", "Fragrance"), typed, market)


def _plant(name: str) -> tuple[str, str, str] | None:
    """The Latin name that a name begins with, the longest; its English name; what follows."""
    words = re.sub(r"\s*\([^()]*\)\s*", " ", name).split()
    for n in range(min(len(words), 4), 1, -1):
        found = label_names().get(fold(" ".join(words[:n])))
        if found is not None and found[2] == "plant":
            return found[0], found[1], " ".join(words[n:])
    return None


def _plant_name(name: str, market: str) -> str:
    found = _plant(name)
    if found is None:
        return name
    latin, english, rest = found
    inner = [p for p in re.findall(r"\(([^()]*)\)", name) if fold(p)]
    rest = titled(rest.lower()) if rest in (rest.lower(), rest.upper()) else rest
    if market == "eu":
        return f"{latin} {rest}".strip()
    if rest.endswith("Cera"):
        rest = rest.removesuffix("Cera") + "Wax"
    common = titled(inner[0]) if inner else english
    return " ".join(filter(None, (latin, f"({common})" if common else "", rest)))


def is_label_name(name: str) -> bool:
    """Whether a name is one of a label beside the tables: a plant's, a Latin word, an allergen's.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    bool
        False for most INCI names: the tables of ingredients hold these.
    """
    text = tidy(name)
    allergen = allergen_named(text)
    named = allergen is not None and fold(allergen.name) == fold(text)
    return named or _plant(text) is not None or fold(text) in _latin_of()


def _rows_of(text: str, held: Ingredient | None) -> tuple[Colour, ...]:
    us = us_colours()
    row = us.of_ingredient(held.id) if held is not None else None
    return (row,) if row is not None else us.find(text)


def _colour(text: str, market: str, held: Ingredient | None) -> LabelName:
    """A colour: Colour Index number in the EU, name of the listing in the US."""
    number = CI.search(text)
    rows = _rows_of(text, held)
    if market == "us":
        if not rows:
            return LabelName(titled(text))
        return LabelName(_us_colour(rows[0].name, text, held), (f"CI {number[1]}",) if number else ())
    if number:
        return LabelName(f"CI {number[1]}")
    numbers = rows[0].numbers if rows else ()
    if len(numbers) == 1:
        mica = rows[0].ids == ("mica",)  # often printed by its name
        return LabelName(f"CI {numbers[0]}", ("Mica",) if mica else ())
    name = held.inci if held is not None and held.inci else titled(text)
    question = f"'{name}': the Colour Index number of its supplier is needed"
    if numbers:
        question += f", one or more of {', '.join(numbers)}"
    return LabelName(name, (), f"{question}.")


def _us_colour(listed: str, typed: str, held: Ingredient | None) -> str:
    name = re.sub(r"\s*\(.*", "", listed)
    if held is not None and fold(held.inci) == fold(name):
        return held.inci
    short = re.sub(r"\s+", " ", re.sub(r"\b(?:FD&C|D&C|No\.)\s*", "", name)).strip()
    if short != name:
        return short + (" Lake" if _LAKE.search(typed) else "")
    return " ".join(w[:1].upper() + w[1:] for w in name.split())
