"""Which emulsifier to buy: what each of the tables would open on a shelf."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
import pandas as pd

from hlbcore._numbers import checked
from hlbcore.blending.candidates import NONIONIC_MOST, Emulsifiers
from hlbcore.blending.marks import mark
from hlbcore.blending.problem import Array
from hlbcore.blending.request import Group
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library, load_library
from hlbcore.shelf.asked import Asked, asked_of
from hlbcore.shelf.closed import ON_EDGE, dot, filled, meets
from hlbcore.shelf.solving import Index, bounds, combinations, ranked
from hlbcore.shelf.targets import Target, Targets, targets_of

AXIS = (4.0, 18.0)
"""Ends of the HLB axis whose length counts: from the lipophilic emulsifiers of creams to the
solubilisers. [HLB] Our convention."""

BUY_COLUMNS = {
    "emulsifier": "common name",
    "hlb": "its own HLB",
    "family": "chemical family",
    "opens": "targets that it would open",
    "which": "their names",
    "reached": "targets reached with it",
    "axis_added": "length of the HLB axis from 4 to 18 that it would add, HLB",
    "axis": "length reached with it, HLB",
    "low": "lowest HLB of a blend with it",
    "high": "highest HLB of a blend with it",
    "price": "price unit/kg; blank where none is known",
}
"""Columns of `what_to_buy` with unit or meaning."""


@dataclass(frozen=True, eq=False)
class Reach:
    """What a shelf reaches.

    Parameters
    ----------
    spans : ndarray
        Low and high HLB of every system, windows left out. Shape (2, n). [HLB]
    window : float
        Half width. [HLB]
    """

    spans: Array
    window: float

    def with_more(self, spans: Array) -> Reach:
        """The same with further systems."""
        return Reach(np.hstack([self.spans, spans]), self.window)

    def holds(self, hlb: float) -> bool:
        """Whether a blend lies within the window round a target."""
        low, high = self.spans
        half = self.window + ON_EDGE
        return bool(np.any((low <= hlb + half) & (high >= hlb - half)))

    @property
    def ends(self) -> tuple[float, float] | None:
        """Lowest and highest HLB of a blend; None where there is none. [HLB]"""
        if not self.spans.shape[1]:
            return None
        return float(self.spans[0].min()), float(self.spans[1].max())

    @property
    def parts(self) -> tuple[tuple[float, float], ...]:
        """The targets on the axis that lie within the window of a blend, as spans. [HLB]"""
        low, high = np.clip(self.spans[0] - self.window, *AXIS), np.clip(self.spans[1] + self.window, *AXIS)
        found: list[tuple[float, float]] = []
        for n in np.argsort(low, kind="stable"):
            a, b = float(low[n]), float(high[n])
            if found and a <= found[-1][1]:
                found[-1] = (found[-1][0], max(found[-1][1], b))
            elif b > a:
                found.append((a, b))
        return tuple(found)

    @cached_property
    def length(self) -> float:
        """Length of the axis that is reached. [HLB]"""
        return math.fsum(b - a for a, b in self.parts)


def spans_of(asked: Asked, members: tuple[Index, ...]) -> Array:
    """Low and high HLB of these systems, within all limits. Shape (2, n). [HLB]"""
    rank = ranked(asked.hlb)
    ranks = tuple(rank[m] for m in members)
    hlb = tuple(asked.hlb[m] for m in members)
    found = []
    totals = sorted(set(asked.total)) if asked.has_floors else [asked.total[0]]
    for total in totals:  # without lower limits the least total leaves most room
        least, most, fine = bounds(asked, members, np.full(len(members[0]), 1 / total))
        ends = [dot(hlb, filled(r, least, most)) for r in (ranks, tuple(-x for x in ranks))]
        possible = np.broadcast_to(meets(least, most) & fine, ends[0].shape)
        found.append(np.array(ends)[:, possible])
    return np.hstack(found)


def _together(asked: Asked, members: tuple[Index, ...]) -> tuple[Index, ...]:
    """Those whose charges go together and that hold what must be used."""
    keep = np.ones(len(members[0]), dtype=bool)
    for must in np.flatnonzero(asked.lower > 0):
        keep &= np.any([m == must for m in members], axis=0)
    charges = np.array([asked.charge[m] for m in members])
    if charges.size:
        keep &= ~((charges.min(axis=0) < 0) & (charges.max(axis=0) > 0))
    return tuple(m[keep] for m in members)


@dataclass(frozen=True, slots=True)
class Buying:
    """What a shelf reaches now, and what each emulsifier more would open.

    Parameters
    ----------
    now : Reach
        Of the shelf.
    targets : tuple of Target
        What it is to reach.
    offers : tuple of (Ingredient, Reach)
        What the shelf reaches with one emulsifier more, best first.
    prices : mapping of str to float
        By id. [price unit/kg]
    notes : tuple of str
        Targets without a figure, and what was left out.
    """

    now: Reach
    targets: tuple[Target, ...]
    offers: tuple[tuple[Ingredient, Reach], ...]
    prices: Mapping[str, float]
    notes: tuple[str, ...]

    @property
    def reached(self) -> tuple[Target, ...]:
        """The targets that the shelf reaches."""
        return tuple(t for t in self.targets if self.now.holds(t.hlb))

    @property
    def table(self) -> pd.DataFrame:
        """One row an emulsifier; columns as in `BUY_COLUMNS`."""
        rows = []
        open_ones = [t for t in self.targets if not self.now.holds(t.hlb)]
        for i, reach in self.offers:
            opened = [t.name for t in open_ones if reach.holds(t.hlb)]
            low, high = reach.ends or (math.nan, math.nan)
            assert i.hlb is not None
            rows.append(
                (
                    i.common_name,
                    i.hlb.value,
                    i.family,
                    len(opened),
                    ", ".join(opened),
                    len(self.reached) + len(opened),
                    max(0.0, reach.length - self.now.length),
                    reach.length,
                    low,
                    high,
                    self.prices.get(i.id, math.nan),
                )
            )
        made = pd.DataFrame(rows, columns=list(BUY_COLUMNS))
        numbers = ["hlb", "axis_added", "axis", "low", "high", "price"]
        made = made.astype({**dict.fromkeys(numbers, float), "opens": int, "reached": int})
        made.attrs["notes"] = self.notes
        return made


def buying(
    shelf: Emulsifiers,
    targets: Targets,
    *,
    total: float | str | tuple[float, float] = 5.0,
    window: float = 1.0,
    sizes: int | Sequence[int] = (2, 3),
    min_share: float = 0.1,
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    exclude: str | Sequence[str] = (),
    cost: Mapping[str, float] | None = None,
    library: Library | None = None,
) -> Buying:
    """All that `what_to_buy` finds, with what the shelf reaches now; see there."""
    library = library or load_library()
    wanted, without = targets_of(targets, library)
    prices = {library.key(n): checked(v, f"price of '{clipped(n)}'", low=0) for n, v in (cost or {}).items()}
    key = (
        tuple(shelf.items()) if isinstance(shelf, Mapping) else tuple(shelf),
        isinstance(shelf, Mapping),
        total,
        window,
        sizes if isinstance(sizes, int) else tuple(sizes),
        min_share,
        tuple((limits or {}).items()),
        tuple(groups),
        (exclude,) if isinstance(exclude, str) else tuple(exclude),
        library,
    )
    try:
        now, reaches, left_out = _reaches(*key)
    except TypeError:  # a list somewhere cannot be a key
        now, reaches, left_out = _reaches.__wrapped__(*key)
    open_ones = [t for t in wanted if not now.holds(t.hlb)]

    def order(offer: tuple[Ingredient, Reach]) -> tuple[float, ...]:
        i, reach = offer
        opened = sum(reach.holds(t.hlb) for t in open_ones)
        known = len(i.hlb.sources) if i.hlb else 0
        return -opened, -round(reach.length, 9), prices.get(i.id, math.inf), -known

    return Buying(now, wanted, tuple(sorted(reaches, key=order)), prices, (*without, *left_out))


@lru_cache(8)  # another target moves nothing of it
def _reaches(
    shelf: tuple[Any, ...],
    with_figures: bool,
    total: Any,
    window: float,
    sizes: int | tuple[int, ...],
    min_share: float,
    limits: tuple[tuple[str, tuple[float, float]], ...],
    groups: tuple[Group, ...],
    exclude: tuple[str, ...],
    library: Library,
) -> tuple[Reach, tuple[tuple[Ingredient, Reach], ...], tuple[str, ...]]:
    """What the shelf reaches, what it reaches with each emulsifier more, and what was left out."""

    def asked(emulsifiers: Emulsifiers) -> Asked:
        return asked_of(
            emulsifiers,
            10.0,
            total=total,
            window=window,
            sizes=sizes,
            min_share=min_share,
            limits=dict(limits),
            groups=groups,
            exclude=list(exclude),
            cost={},
            library=library,
        )

    here = asked(dict(shelf) if with_figures else shelf)
    held = {c.id for c in here.shelf.held} | {library.key(b.name) for b in here.shelf.ready}
    more = [
        i
        for i in library.emulsifiers
        if i.id not in held and i.hlb_judges and not mark(i) and i.hlb and i.hlb.value <= NONIONIC_MOST
    ]
    figures: dict[str, str | float | Estimate] = {c.label: c.estimate for c in here.shelf.held}
    both = asked({**figures, **{i.common_name: i.hlb for i in more if i.hlb}})
    position = {c.id: n for n, c in enumerate(both.shelf.held)}
    own = np.array([position[c.id] for c in here.shelf.held], dtype=np.intp)
    now = Reach(np.zeros((2, 0)), here.window)
    for size in here.sizes:
        now = now.with_more(_spans(both, tuple(own[m] for m in combinations(len(own), size))))
    offers = []
    for i in more:
        if i.id not in position:  # excluded
            continue
        reach = now
        for size in here.sizes:
            rest = tuple(own[m] for m in combinations(len(own), size - 1)) if size > 1 else ()
            count = len(rest[0]) if rest else 1
            reach = reach.with_more(_spans(both, (*rest, np.full(count, position[i.id]))))
        offers.append((i, reach))
    return now, tuple(offers), tuple(here.shelf.left_out)


def _spans(asked: Asked, members: tuple[Index, ...]) -> Array:
    kept = _together(asked, members)
    return spans_of(asked, kept) if len(kept[0]) else np.zeros((2, 0))


def what_to_buy(
    shelf: Emulsifiers,
    targets: Targets,
    *,
    total: float | str | tuple[float, float] = 5.0,
    window: float = 1.0,
    sizes: int | Sequence[int] = (2, 3),
    min_share: float = 0.1,
    limits: Mapping[str, tuple[float, float]] | None = None,
    groups: Sequence[Group] = (),
    exclude: str | Sequence[str] = (),
    cost: Mapping[str, float] | None = None,
    library: Library | None = None,
) -> pd.DataFrame:
    """Emulsifiers of the tables by what one of them more would open on a shelf, best first.

    Parameters
    ----------
    shelf : sequence of names or Ingredients, or mapping of label to HLB
        What is there. [HLB]
    targets : float, Estimate, RequiredHlb, Formula, oil phase, or several of them
        What is to be reached; several in a list, or by name. An oil phase is a mapping of name to
        mass. May be empty. [HLB, g]
    total : float or tuple of float
        All emulsifiers together. [% of formula]
    window : float
        Half width of the window. [HLB]
    sizes : int or sequence of int
        Emulsifiers of one system; one alone gets no verdict by HLB. [-, 1 to 3]
    min_share : float
        Least share of each member in the blend. [-, 0 to 1]
    limits : mapping of str to tuple of float, optional
        Low and high limit. [% of formula]
    groups : sequence of Group
        Limits on several emulsifiers together.
    exclude : str or sequence of str
        As in `screen`.
    cost : mapping of str to float, optional
        Prices where known. [price unit/kg]
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    DataFrame
        Columns as in `BUY_COLUMNS`: emulsifier, hlb [HLB], family, opens (targets that are out of
        reach without it), which, reached, axis_added and axis (length of the axis from HLB 4 to 18)
        [HLB], low and high (reach with it) [HLB], price [price unit/kg]. Ordered by opens, axis,
        price, number of sources, id. ``.attrs["notes"]`` names targets without a figure.

    Raises
    ------
    EmptyPhase
        For an empty shelf.
    UnknownIngredient, InvalidInput
        As in `screen`.

    Notes
    -----
    A target is reached where a system of the shelf lies within the window round it: the reach of a
    system is filled up from its lowest HLB and from its highest, within all limits.

    Examples
    --------
    >>> table = what_to_buy(["sorbitan oleate", "sorbitan stearate"], [9.0, 12.0])
    >>> table["emulsifier"][0], int(table["opens"][0])
    ('PEG-100 stearate', 2)
    """
    return buying(
        shelf,
        targets,
        total=total,
        window=window,
        sizes=sizes,
        min_share=min_share,
        limits=limits,
        groups=groups,
        exclude=exclude,
        cost=cost,
        library=library,
    ).table
