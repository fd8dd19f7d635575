"""Classes of oils with a first range, for what has no figure of its own."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from hlbcore.estimate import Estimate
from hlbcore.ingredients import Ingredient

CLASS_LEAST = 3
"""Ingredients of a kind with a figure that the spread of a kind needs. [-] Our convention."""


@dataclass(frozen=True, slots=True)
class ClassRange:
    """The range that a class of oils starts from: for a bench ladder, never for "outside".

    Parameters
    ----------
    name : str
        The class in words.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    kinds, ids : tuple of str
        Kinds that belong to it, and single ingredients; an id leads over a kind.
    value : float, optional
        Figure to start from; None where sources contradict each other. [HLB]
    low, high : float
        The range. [HLB]
    sources : tuple of str
        Keys in ``data/sources.csv``.
    where, note : str
        What it rests on.
    """

    name: str
    emulsion: str
    kinds: tuple[str, ...]
    ids: tuple[str, ...]
    value: float | None
    low: float
    high: float
    sources: tuple[str, ...] = ()
    where: str = ""
    note: str = ""

    @property
    def estimate(self) -> Estimate:
        """The range as an estimate, graded ``class range``. [HLB]"""
        value = (self.low + self.high) / 2 if self.value is None else self.value
        return Estimate(value, self.low, self.high, self.sources, "class range", weak=self.value is None)


def figures_of(oils: Iterable[Ingredient], kind: str, emulsion: str) -> list[Estimate]:
    """The required HLB of all oils of a kind that have one.

    Parameters
    ----------
    oils : iterable of Ingredient
        What can stand in the oil phase.
    kind : str
        For example ``"wax"``.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.

    Returns
    -------
    list of Estimate
        One an ingredient. [HLB]
    """
    return [e for i in oils if i.kind == kind and (e := i.required_hlb(emulsion)) is not None]


def spread_of(figures: Sequence[Estimate]) -> Estimate:
    """Median and whole range of several figures, as a class range.

    Parameters
    ----------
    figures : sequence of Estimate
        One or more. [HLB]

    Returns
    -------
    Estimate
        Graded ``class range``. [HLB]

    Examples
    --------
    >>> spread_of([Estimate(6, 5, 7), Estimate(9, 8, 10), Estimate(7, 6, 8)])
    7.0 (5.0 to 10.0)
    """
    return Estimate(
        median([e.value for e in figures]),
        min(e.low for e in figures),
        max(e.high for e in figures),
        tuple(dict.fromkeys(s for e in figures for s in e.sources)),
        "class range",
        roots=tuple(dict.fromkeys(r for e in figures for r in e.roots)),
    )
