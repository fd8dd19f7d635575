"""The order of a list of ingredients: what comes first, what may stand anywhere, what comes last.

- US: above 1 % in falling order, then up to 1 % in any order, then colours in any order; the second
  group may also be sorted in; 21 CFR 701.3(a), (f), `cfr_701_3`.
- EU: falling order of weight when added, below 1 % in any order behind those of 1 % or more, colours
  last in any order; Reg. (EC) 1223/2009 Art. 19(1)(g), `eu_1223_2009`, second-hand.
- 1.0 % exactly is free in the US and sorted in the EU. All groups are written in falling order here,
  which is right in both.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from hlbcore.batch.declared_names import LabelName, label_name, merged
from hlbcore.batch.declared_parts import Share
from hlbcore.ingredients import fold
from hlbcore.library import Library

LINE_PCT = 1.0
"""Up to this (US) or below it (EU) the order is free. [% of formula] See above."""

EQUAL = 1e-9
"""Two amounts that differ by no more are equal. [% of formula]"""

INCIDENTAL_MOST = 0.1
"""Above this nothing is called insignificant here. [% of formula] Our convention; 21 CFR 701.3(l) gives no
number."""

SORTED, FREE, COLOUR = "sorted", "any order", "colour"
"""Groups of a list."""

PLACES = {SORTED: "in falling order", FREE: "any order among these", COLOUR: "colours, any order"}
"""Groups in words."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One name on the list.

    Parameters
    ----------
    label : LabelName
        As printed.
    pct, low, high : float
        Its amount, and between what it lies by the shares that are known. [% of formula]
    group : str
        ``sorted``, ``any order`` or ``colour``.
    tie : bool
        Whether another entry of its group has the same amount: the two may change places.
    lines : tuple of str
        Lines of the formula that it comes from.
    carried : bool
        Whether it only came within a bought material, as a preservative or antioxidant of that
        material, in a small amount: the US list may leave it out where it has no function.
    allergen : bool
        Whether it is named as an allergen of a fragrance.
    came_within : bool
        Whether it only came within bought materials.
    """

    label: LabelName
    pct: float
    low: float
    high: float
    group: str
    tie: bool = False
    lines: tuple[str, ...] = ()
    carried: bool = False
    allergen: bool = False
    came_within: bool = False

    @property
    def name(self) -> str:
        """As printed, with what stands in brackets."""
        return str(self.label)

    @property
    def base(self) -> str:
        """As printed, without what stands in brackets."""
        return self.label.base

    @property
    def place(self) -> str:
        """Where it stands, in words."""
        words = PLACES[self.group] + ("; allergen" if self.allergen else "")
        return words + ("; tie" if self.tie and self.group == SORTED else "")

    @property
    def span(self) -> str:
        """Its amount in words. [% of formula]"""
        if self.high - self.low <= EQUAL:
            return f"{self.pct:.4g} %"
        return f"{self.low:.3g} to {self.high:.3g} %"


@dataclass
class _Sum:
    names: list[LabelName]
    shares: list[Share]
    extra: float = 0.0
    allergen: bool = False


def entries_of(
    shares: Iterable[Share],
    market: str,
    library: Library,
    *,
    allergens: Iterable[tuple[str, float]] = (),
    leave_out: Callable[[Entry], bool] = lambda entry: False,
) -> tuple[tuple[Entry, ...], tuple[str, ...]]:
    """The list in its order, and questions that names raised.

    Parameters
    ----------
    shares : iterable of Share
        What the lines bring in.
    market : str
        ``"us"`` or ``"eu"``.
    library : Library
        The tables.
    allergens : iterable of (str, float)
        Allergens of a fragrance to name, with their amount. [% of formula]
    leave_out : callable
        Whether an entry shall not stand on the list.

    Returns
    -------
    tuple
        Entries, each name once with the sum of its shares; ties by name.
    """
    sums: dict[str, _Sum] = {}
    for share in shares:
        if share.high <= 0:
            continue
        name = label_name(
            share.name,
            market,
            colour=share.colour,
            scent=share.scent,
            ingredient=share.ingredient,
            library=library,
        )
        held = sums.setdefault(fold(name.base), _Sum([], []))
        held.names.append(name)
        held.shares.append(share)
    for text, pct in allergens:
        held = sums.setdefault(fold(text), _Sum([LabelName(text)], []))
        held.extra += pct
        held.allergen = True
    made = [entry for held in sums.values() if not leave_out(entry := _entry(held, market))]
    questions = tuple(dict.fromkeys(n.question for s in sums.values() for n in s.names if n.question))
    return in_order(made), questions


def _entry(held: _Sum, market: str) -> Entry:
    pct, low, high = (
        math.fsum((*(getattr(s, end) for s in held.shares), held.extra)) for end in ("pct", "low", "high")
    )
    coloured = bool(held.shares) and all(s.colour for s in held.shares)
    group = COLOUR if coloured else group_of(pct, market)
    carried = bool(held.shares) and all(
        s.is_part and not s.in_preservative and s.kind in ("preservative", "antioxidant") for s in held.shares
    )
    return Entry(
        merged(held.names),
        pct,
        low,
        high,
        group,
        lines=tuple(dict.fromkeys(s.line_name for s in held.shares)),
        carried=carried and high <= INCIDENTAL_MOST,
        allergen=held.allergen,
        came_within=bool(held.shares) and all(s.is_part for s in held.shares),
    )


def group_of(pct: float, market: str) -> str:
    """The group of a name that is no colour: sorted, or any order. [% of formula]"""
    above = pct > LINE_PCT + EQUAL if market == "us" else pct >= LINE_PCT - EQUAL
    return SORTED if above else FREE


def in_order(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries in the order of a list, colours last, ties by name and marked."""
    return _with_ties(
        sorted(entries, key=lambda e: (e.group == COLOUR, -round(e.pct, 9), e.name.casefold(), e.name))
    )


def _with_ties(ordered: list[Entry]) -> tuple[Entry, ...]:
    amounts = [(e.group == COLOUR, round(e.pct, 9)) for e in ordered]
    return tuple(replace(e, tie=amounts.count(a) > 1) for e, a in zip(ordered, amounts, strict=True))


def unsettled(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """Entries whose place the known shares do not settle.

    Parameters
    ----------
    entries : iterable of Entry
        In the order of the list.

    Returns
    -------
    tuple of Entry
        Each overlaps another one, and the two do not both stand where any order is allowed. [% of
        formula]
    """
    held = [e for e in entries if e.group != COLOUR]
    found: dict[Entry, None] = {}
    for n, first in enumerate(held):
        if first.low < LINE_PCT - EQUAL and first.high > LINE_PCT + EQUAL:
            found[first] = None
        for second in held[n + 1 :]:
            if second.high > first.low + EQUAL and max(first.high, second.high) > LINE_PCT + EQUAL:
                found |= {first: None, second: None}
    return tuple(e for e in held if e in found and e.high - e.low > EQUAL)
