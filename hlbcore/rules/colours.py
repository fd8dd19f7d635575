"""Colour additives by rule set: where on the body each may be used, limits, certification.

The first rule set is the US list (21 CFR Parts 73, 74 and 82, cosmetics); another is one more table
and one more line in `RULE_SETS`. Each row says what was seen and what is from memory. Rules:

- A colour without its own listing makes the product adulterated, and every colour needs its own:
  FD&C Act 601(e), 721; `fda_colour_fact_sheet`.
- Certified colours and lakes: only from a lot with an FDA certificate; `fda_colour_fact_sheet`,
  `fda_colour_status_list` (21 CFR 81.1 and Part 82).
- Eye area: only where the section names it; `fda_colour_summary_2013`.
- Lips: not where the section says externally applied; 21 CFR 70.3(v), from memory.
- Mixtures: all parts on the label, `supplier_label_guide_mica` (second-hand); the strictest part
  decides, which follows from the rest.
- What makes a colour is its purpose, FD&C Act 201(t); `colour_definition_2010`, second-hand.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from hlbcore.folders import data_folder
from hlbcore.ingredients import fold
from hlbcore.rules.colour_table import USES, Colour, read_colours

SAYS_COLOUR = re.compile(r"\b(colou?r(s|ant|ing)?|pigments?|dyes?|lakes?|mica|pearl|tint)\b", re.I)
"""Words of a name or a note that say that a line is there for its colour."""

SAYS_NEON = re.compile(r"\b(neon|fluorescent|day-?glow|glow in the dark)\b", re.I)
"""Words of a name that mark a neon or fluorescent pigment."""

SAYS_GLITTER = re.compile(r"\bglitter\b", re.I)
"""Word of a name that marks glitter."""

LOT = re.compile(r"\blot\b\W*(?:no\W*|number\W*)?([\w-]*\d[\w-]*)", re.I)
"""A lot number in the note of a line."""

_LAKE = re.compile(r"\b(alumini?um )?lake\b", re.I)
_JOINTS = re.compile(r"\(and\)|\bwith\b|\band\b|[/,+&;](?!c\b)", re.I)


@dataclass(frozen=True, slots=True, eq=False)  # a set is told from others by itself, not by all its rows
class RuleSet:
    """A list of colour additives of one place.

    Parameters
    ----------
    place : str
        Where it holds.
    rule : str
        The law that asks for a listing.
    colours : tuple of Colour
        Its rows.
    """

    place: str
    rule: str
    colours: tuple[Colour, ...]

    def of_ingredient(self, id: str) -> Colour | None:
        """The row of an ingredient.

        Parameters
        ----------
        id : str
            Id in the table of ingredients.

        Returns
        -------
        Colour or None
            None where the list does not hold it.

        Examples
        --------
        >>> us_colours().of_ingredient("ultramarines").lips
        'no'
        """
        return _by_id(self).get(id)

    def find(self, name: str) -> tuple[Colour, ...]:
        """The rows of a name or of a Colour Index number.

        Parameters
        ----------
        name : str
            Case, spacing and punctuation are free; a lake is found under its parent colour.

        Returns
        -------
        tuple of Colour
            Empty where there is none; a number may belong to several colours.

        Examples
        --------
        >>> [c.name for c in us_colours().find("CI 42090")]
        ['FD&C Blue No. 1', 'D&C Blue No. 4']
        >>> [c.name for c in us_colours().find("FD&C Red No. 40 aluminum lake")]
        ['FD&C Red No. 40']
        """
        key = fold(name)
        return _by_name(self).get(key) or _by_name(self).get(fold(_LAKE.sub("", name)), ())

    def parts(self, name: str) -> tuple[Colour, ...]:
        """The listed colours that the name of a mixture holds.

        Parameters
        ----------
        name : str
            Such as an INCI name with ``(and)``.

        Returns
        -------
        tuple of Colour
            In the order of the name; parts that the list does not hold are left out.

        Examples
        --------
        >>> [c.name for c in us_colours().parts("Mica (and) CI 77891 (and) CI 77007")][:2]
        ['Mica', 'Titanium dioxide']
        """
        found: dict[Colour, None] = {}
        for part in _JOINTS.split(name):
            for colour in self.find(part.strip()):
                found[colour] = None
        return tuple(found)


def is_mixture(name: str) -> bool:
    """Whether a name joins several parts.

    Parameters
    ----------
    name : str
        A name as on a label.

    Returns
    -------
    bool
        True for names with ``(and)``.

    Examples
    --------
    >>> is_mixture("Mica (and) Titanium Dioxide"), is_mixture("Mica")
    (True, False)
    """
    return "(and)" in name.casefold()


def strictest(colours: Iterable[Colour], area: str) -> str:
    """What a mixture of colours may be used for: what its strictest part may.

    Parameters
    ----------
    colours : iterable of Colour
        The parts, at least one.
    area : str
        One of `AREAS`.

    Returns
    -------
    str
        One of `USES`.

    Examples
    --------
    >>> us = us_colours()
    >>> strictest(us.parts("Mica (and) CI 77007"), "lips")
    'no'
    """
    return max((c.use(area) for c in colours), key=USES.index)


@cache
def _by_id(rules: RuleSet) -> Mapping[str, Colour]:
    return MappingProxyType({i: c for c in rules.colours for i in c.ids})


@cache
def _by_name(rules: RuleSet) -> Mapping[str, tuple[Colour, ...]]:
    held: dict[str, dict[Colour, None]] = {}
    for colour in rules.colours:
        numbers = [n for number in colour.numbers for n in (number, f"CI {number}")]
        bare = colour.name.partition("(")[0]
        for name in (colour.name, bare, bare.replace("No. ", ""), *colour.ids, *numbers):
            held.setdefault(fold(name), {})[colour] = None
    return MappingProxyType({k: tuple(v) for k, v in held.items()})


@cache
def us_colours() -> RuleSet:
    """The US list of colour additives for cosmetics.

    Returns
    -------
    RuleSet
        As seen or remembered; the current text of the section decides.

    Examples
    --------
    >>> us_colours().find("D&C Orange No. 5")[0].limit_at("lips")
    5.0
    """
    return RuleSet("US", "FD&C Act 601(e), 721", read_colours(data_folder()))


RULE_SETS: tuple[Callable[[], RuleSet], ...] = (us_colours,)
"""Every list of colours that the check goes through."""

EU_RULE = (
    "Reg. (EC) 1223/2009 Art. 14 and Annex IV: a list of its own, by CI number (from memory); eu_1223_2009"
)

PURPOSE_RULE = (
    "FD&C Act 201(t): purpose makes a colour (colour_definition_2010, second-hand); a food listing "
    "does not carry over (cfr_73_contents; absence from the cosmetics part from memory)"
)
CERTIFICATE_RULE = "fda_colour_fact_sheet; lakes: fda_colour_status_list, 21 CFR 81.1 and Part 82"
NEON_RULE = (
    "every colour needs its own listing (fda_colour_fact_sheet); that neon pigments are unlisted "
    "dyes in resin is from memory; glow pigment: 21 CFR 73.2995 (cfr_73_2995)"
)
MIXTURE_RULE = (
    "all parts stand on the label (supplier_label_guide_mica, second-hand); the strictest part "
    "decides, as each part needs its own listing (fda_colour_fact_sheet)"
)
EYE_RULE = "the section must name the eye area (fda_colour_summary_2013)"
LIP_RULE = "externally applied leaves out lips, 21 CFR 70.3(v), from memory"
