"""A line of a formula with its ingredient, and how it counts."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.errors import UnknownIngredient
from hlbcore.formula.lines import Line
from hlbcore.ingredients import Ingredient
from hlbcore.library import EMULSIFIER_SIDE, OIL_SIDE, Library


@dataclass(frozen=True, slots=True)
class Seen:
    """A line with its ingredient.

    Parameters
    ----------
    line : Line
        As written.
    ingredient : Ingredient or None
        None for a name that nobody knows.
    """

    line: Line
    ingredient: Ingredient | None

    @property
    def name(self) -> str:
        """Name as written."""
        return self.line.name

    @property
    def pct(self) -> float:
        """As bought. [% of formula]"""
        return self.line.pct

    @property
    def kind(self) -> str:
        """Kind in the tables; blank for a name that nobody knows."""
        return self.ingredient.kind if self.ingredient else ""

    @property
    def is_emulsifier(self) -> bool:
        """Whether it counts among the emulsifiers."""
        if self.ingredient is None:
            return self.line.role == "emulsifier"
        side = self.ingredient.convention
        if "_or_" in side:
            chosen = self.line.role if self.line.role != "auto" else side.partition("_or_")[0]
            return chosen == "emulsifier"
        return side in EMULSIFIER_SIDE

    @property
    def is_whole_wax(self) -> bool:
        """Whether it is a ready wax without its parts: counted whole, it counts too much."""
        return self.ingredient is not None and self.ingredient.convention == "all_in_one"

    @property
    def is_fat(self) -> bool:
        """Whether it belongs to the fat base: oil side or emulsifier."""
        if self.ingredient is None:
            return self.line.phase == "oil" or self.is_emulsifier
        side = self.ingredient.convention
        return side in OIL_SIDE or side in EMULSIFIER_SIDE


def see(line: Line, library: Library) -> Seen:
    """A line with its ingredient.

    Parameters
    ----------
    line : Line
        Any line.
    library : Library
        The tables.

    Returns
    -------
    Seen
        Without ingredient for a name that nobody knows.
    """
    try:
        return Seen(line, library.find(line.name))
    except UnknownIngredient:
        return Seen(line, None)
