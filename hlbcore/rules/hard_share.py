"""The hard share of a fat base: what is solid in it, beside a formula that the maker knows."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library

HIGH_MELTING_C = 30.0
"""A fat with a melting figure from here up counts as hard. [°C]
Our convention: it stays solid in a warm room; cocoa butter counts, coconut oil does not."""

MELTING = ("melting_point", "slip_melting_point", "clear_melting_point", "congealing_point", "drop_point")
"""Properties that say where a fat melts."""

FATS = ("butter", "oil", "animal fat")
"""Kinds whose form says little: they melt over a range, so the melting figure decides."""

NO_THRESHOLD = (
    "No threshold of 'too hard' is published; the figure only says something beside a formula that you know."
)
"""Why there is no verdict on hardness."""


@dataclass(frozen=True, slots=True)
class HardPart:
    """One line of the fat base that is solid, or of which that is not known.

    Parameters
    ----------
    name : str
        As written.
    kind : str
        Kind in the tables; blank for a name that nobody knows.
    pct : float
        As bought. [% of formula]
    melts_c : float or None
        Highest melting figure in the tables. [°C]
    """

    name: str
    kind: str
    pct: float
    melts_c: float | None


@dataclass(frozen=True, slots=True)
class HardShare:
    """How much of a fat base is solid.

    Parameters
    ----------
    parts : tuple of HardPart
        What counts as hard, the largest first.
    unknown : tuple of HardPart
        Lines without a form or melting figure; they count nowhere.
    fat_base_pct : float
        Oil side and emulsifiers, with the unknown ones. [% of formula]

    Examples
    --------
    >>> from hlbcore.formula.lines import Line
    >>> f = Formula("Scrub", "wash-off scrub", (Line("sunflower oil", 30), Line("beeswax", 10),
    ...                                         Line("sugar", 60, phase="solids")))
    >>> hard_share(f).of_fat_pct, hard_share(f).of_jar_pct
    (25.0, 10.0)
    """

    parts: tuple[HardPart, ...]
    unknown: tuple[HardPart, ...]
    fat_base_pct: float

    @property
    def of_jar_pct(self) -> float:
        """Hard share. [% of formula]"""
        return math.fsum(p.pct for p in self.parts)

    @property
    def of_fat_pct(self) -> float:
        """Hard share; 0 without a fat base. [% of the fat base]"""
        return 100 * self.of_jar_pct / self.fat_base_pct if self.fat_base_pct > 0 else 0.0

    @property
    def unknown_pct(self) -> float:
        """What is not known to be hard or soft. [% of formula]"""
        return math.fsum(p.pct for p in self.unknown)

    @property
    def of_fat_high_pct(self) -> float:
        """Hard share if all that is unknown were hard. [% of the fat base]"""
        if self.fat_base_pct <= 0:
            return 0.0
        return 100 * (self.of_jar_pct + self.unknown_pct) / self.fat_base_pct

    @property
    def highest_melting(self) -> HardPart | None:
        """The hard part with the highest melting figure; None where no figure is known."""
        held = [p for p in self.parts if p.melts_c is not None]
        return max(held, key=lambda p: p.melts_c or 0.0) if held else None

    @property
    def text(self) -> str:
        """The parts in words."""
        said = ", ".join(f"{p.pct:.3g} % {p.name}" for p in self.parts) or "nothing"
        if self.unknown:
            said += f"; not known: {', '.join(p.name for p in self.unknown)}"
        return said


@dataclass(frozen=True, slots=True)
class HardDifference:
    """Two hard shares beside each other.

    Parameters
    ----------
    formula, reference : HardShare
        This formula, and the one that the maker knows.
    names : tuple of str
        Their names.
    """

    formula: HardShare
    reference: HardShare
    names: tuple[str, str]

    @property
    def points_of_fat(self) -> float:
        """The formula less the reference. [points of % of the fat base]"""
        return self.formula.of_fat_pct - self.reference.of_fat_pct

    @property
    def text(self) -> str:
        """The difference in words."""
        points = self.points_of_fat
        word = "more" if points >= 0 else "less"
        return (
            f"{self.names[0]}: {self.formula.of_fat_pct:.3g} % of the fat base is hard, "
            f"{abs(points):.3g} points {word} than your reference, {self.names[1]} "
            f"({self.reference.of_fat_pct:.3g} %). Of the jar: {self.formula.of_jar_pct:.3g} % "
            f"against {self.reference.of_jar_pct:.3g} %."
        )


def melting_c(ingredient: Ingredient) -> float | None:
    """The highest melting figure in the tables.

    Parameters
    ----------
    ingredient : Ingredient
        Any.

    Returns
    -------
    float or None
        Middle of the reading with the highest middle; None where nothing is known. [°C]

    Examples
    --------
    >>> from hlbcore import load_library
    >>> melting_c(load_library().find("beeswax"))
    63.5
    """
    middles = [p.middle for p in ingredient.properties if p.name in MELTING]
    return max((m for m in middles if m is not None), default=None)


def is_hard(ingredient: Ingredient) -> bool | None:
    """Whether an ingredient of the fat base counts as hard.

    Parameters
    ----------
    ingredient : Ingredient
        Of the oil side or an emulsifier.

    Returns
    -------
    bool or None
        Butters, oils and animal fats by their melting figure, the rest by the form in which they
        are sold, then by melting figure; None where neither is known. A paste is not hard.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> lib = load_library()
    >>> [is_hard(lib.find(n)) for n in ("cetyl alcohol", "cocoa butter", "coconut oil", "lecithin")]
    [True, True, False, None]
    """
    melts = melting_c(ingredient)
    if ingredient.form == "liquid":
        return False
    if ingredient.kind in FATS:
        return None if melts is None else melts >= HIGH_MELTING_C
    if ingredient.form in ("solid", "paste"):
        return ingredient.is_solid
    return None if melts is None else melts >= HIGH_MELTING_C


def hard_share(formula: Formula | Worked, *, library: Library | None = None) -> HardShare:
    """How much of the fat base of a formula is solid.

    Parameters
    ----------
    formula : Formula or Worked
        Bought blends are split; of a formula with portions, the base.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    HardShare
        Per cent of the fat base and of the jar, with what is not known.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> round(hard_share(example_formula("garden_hand_scrub")).of_fat_pct)
    37
    """
    hard, unknown, fat = [], [], 0.0
    for x in work_out(formula, library).base_lines:
        if x.pct <= 0 or not x.is_fat:
            continue
        fat += x.pct
        part = HardPart(x.name, x.kind, x.pct, melting_c(x.ingredient) if x.ingredient else None)
        verdict = None if x.ingredient is None else is_hard(x.ingredient)
        if verdict is None:
            unknown.append(part)
        elif verdict:
            hard.append(part)
    hard.sort(key=lambda p: -p.pct)
    return HardShare(tuple(hard), tuple(unknown), fat)


def compare_hard_share(
    formula: Formula | Worked, reference: Formula | Worked, *, library: Library | None = None
) -> HardDifference:
    """The hard share of a formula beside one that the maker liked or disliked.

    Parameters
    ----------
    formula : Formula or Worked
        The formula.
    reference : Formula or Worked
        The one that the maker knows.

    Returns
    -------
    HardDifference
        Points more or less; no threshold is published, so there is no verdict.

    Examples
    --------
    >>> from hlbcore.formula.lines import Line
    >>> soft = Formula("Soft", "whipped butter", (Line("olive oil", 90), Line("beeswax", 10)))
    >>> firm = Formula("Firm", "whipped butter", (Line("olive oil", 80), Line("beeswax", 20)))
    >>> compare_hard_share(firm, soft).points_of_fat
    10.0
    """
    return HardDifference(
        hard_share(formula, library=library),
        hard_share(reference, library=library),
        tuple(x.formula.name if isinstance(x, Worked) else x.name for x in (formula, reference)),  # type: ignore[arg-type]
    )
