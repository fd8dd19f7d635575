"""The emulsifiers that a blend may use, with their figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hlbcore.blending.marks import without_figure
from hlbcore.errors import EmptyPhase, InvalidInput, MissingValue, clipped
from hlbcore.estimate import Estimate, as_estimate
from hlbcore.ingredients import Ingredient, fold
from hlbcore.library import Library, load_library

TRACE = 0.20
"""An emulsifier without a figure below this share of the blend is bounded. [-] Our convention."""

TRACE_BOUNDS = Estimate(10.5, 3.0, 18.0, grade="class range")
"""What such a trace counts as. [HLB] Our convention; the ends are those of nonionics in use."""

NONIONIC_MOST = 20.0
"""Top of Griffin's scale; beyond it only ionics and very long ethoxylates stand. [HLB]"""


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
