"""What the tables say before any ladder: a figure with its doubt for each oil, and what they share."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from hlbcore.counting.counted import required_of
from hlbcore.estimate import Estimate, bounded
from hlbcore.ingredients import Ingredient
from hlbcore.learning.bench_result import LEARNED
from hlbcore.library import Library
from hlbcore.readings import NO_ROOT, Reading

Array = NDArray[np.float64]

SHARED = 0.25
"""Share of the variance of a figure that belongs to its roots, and so to all figures of these roots.
[-] Our convention."""

BENCH_LADDER = "bench ladder of"
"""First words of the method of an own figure that a ladder gave."""


@dataclass(frozen=True, slots=True)
class Start:
    """What an oil starts from.

    Parameters
    ----------
    id : str
        Its id, or its folded name.
    name : str
        Name to show.
    estimate : Estimate
        By the tables, without what ladders gave. [HLB]
    basis : str
        ``table``, ``class range (...)`` or ``bounds``.
    """

    id: str
    name: str
    estimate: Estimate
    basis: str

    @property
    def roots(self) -> tuple[str, ...]:
        """The roots that it shares with others."""
        return tuple(r for r in self.estimate.roots if r != NO_ROOT)


def start_of(ingredient: Ingredient, emulsion: str, library: Library, told: Iterable[str] = ()) -> Start:
    """What an oil starts from, without what ladders already gave.

    Parameters
    ----------
    ingredient : Ingredient
        Of the library.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    library : Library
        The tables.
    told : iterable of str
        Keys of sources whose ladders are given as ladders: their readings are left out here.

    Returns
    -------
    Start
        A class range where no reading is left, bounds where there is no class.
    """
    kept = tuple(r for r in ingredient.readings(emulsion) if not from_ladders(r, told))
    if len(kept) < len(ingredient.readings(emulsion)):
        if emulsion == "o/w":
            ingredient = replace(ingredient, ow_readings=kept)
        else:
            ingredient = replace(ingredient, wo_readings=kept)
    found, basis = required_of(ingredient, emulsion, library)
    name = ingredient.common_name or ingredient.id
    return Start(ingredient.id, name, found or bounded(), basis if found else "bounds")


@lru_cache(16)
def starts_of(library: Library, emulsion: str, told: frozenset[str]) -> tuple[Start, ...]:
    """What every oil with a figure starts from.

    Parameters
    ----------
    library : Library
        The tables.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    told : frozenset of str
        Keys of sources whose ladders are given as ladders.

    Returns
    -------
    tuple of Start
        In rising order of id.
    """
    return tuple(start_by_id(i.id, emulsion, library, told) for i in library.oils if i.readings(emulsion))


def oil_start(ingredient: Ingredient, emulsion: str, library: Library, told: frozenset[str]) -> Start:
    """What an ingredient starts from, held ready where the library holds it."""
    if library.ingredients.get(ingredient.id) == ingredient:
        return start_by_id(ingredient.id, emulsion, library, told)
    return start_of(ingredient, emulsion, library, told)


@lru_cache(4096)
def start_by_id(key: str, emulsion: str, library: Library, told: frozenset[str]) -> Start:
    """What an ingredient of the library starts from.

    Parameters
    ----------
    key : str
        Its id.
    emulsion : str
        ``"o/w"`` or ``"w/o"``.
    library : Library
        The tables.
    told : frozenset of str
        Keys of sources whose ladders are given as ladders.

    Returns
    -------
    Start
        As `start_of` gives it.
    """
    return start_of(library.ingredients[key], emulsion, library, told)


def from_ladders(reading: Reading, told: Iterable[str] = ()) -> bool:
    """Whether a reading holds what a ladder gave that speaks for itself here.

    Parameters
    ----------
    reading : Reading
        Of the tables or of the user's own.
    told : iterable of str
        Keys of sources whose ladders are given as ladders.

    Returns
    -------
    bool
        True for figures learned here, for own figures from a bench ladder, and for measured
        readings of these sources.
    """
    if reading.grade == "own":
        return LEARNED in reading.note or BENCH_LADDER in reading.note
    return reading.grade == "measured" and reading.source in set(told)


@dataclass(frozen=True, slots=True, eq=False)
class Prior:
    """Oils with mean and covariance, as arrays.

    Parameters
    ----------
    starts : tuple of Start
        One an oil.
    mean : ndarray
        (n,) [HLB]
    own : ndarray
        (n,) variance that belongs to each alone. [HLB²]
    loadings : ndarray
        (n, n_roots) what each root moves by. [HLB]
    roots : tuple of str
        Columns of the loadings.
    """

    starts: tuple[Start, ...]
    mean: Array
    own: Array
    loadings: Array
    roots: tuple[str, ...]

    @classmethod
    def of(cls, starts: Sequence[Start]) -> Prior:
        """The arrays of these oils."""
        roots = tuple(sorted({r for s in starts for r in s.roots}))
        at = {r: n for n, r in enumerate(roots)}
        loadings = np.zeros((len(starts), len(roots)))
        own = np.empty(len(starts))
        for n, s in enumerate(starts):
            shared = SHARED if s.roots else 0.0
            own[n] = (1 - shared) * s.estimate.variance
            for r in s.roots:
                loadings[n, at[r]] = s.estimate.sd * math.sqrt(shared / len(s.roots))
        return cls(tuple(starts), np.array([s.estimate.value for s in starts]), own, loadings, roots)

    @property
    def index(self) -> Mapping[str, int]:
        """Row by id."""
        return {s.id: n for n, s in enumerate(self.starts)}

    @property
    def variance(self) -> Array:
        """(n,) variance of each oil. [HLB²]"""
        return np.asarray(self.own + (self.loadings**2).sum(axis=1))

    def between(self, first: Array, second: Array) -> Array:
        """Covariance of weighted sums of these oils.

        Parameters
        ----------
        first, second : ndarray
            (p, n) and (q, n) weights. [-]

        Returns
        -------
        ndarray
            (p, q) [HLB²]
        """
        together = (first @ self.loadings) @ (second @ self.loadings).T
        return np.asarray((first * self.own) @ second.T + together)
