"""What is asked of a screen: the emulsifiers that HLB may judge, with their limits, as arrays."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from hlbcore._numbers import checked
from hlbcore.blending.candidates import Candidate, Emulsifiers, candidates
from hlbcore.blending.marks import mark, without_figure
from hlbcore.blending.problem import Array
from hlbcore.blending.request import Group, Request, total_ends
from hlbcore.counting.required import RequiredHlb
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.estimate import HLB_MAX, Estimate, as_estimate
from hlbcore.ingredients import Ingredient
from hlbcore.library import Library
from hlbcore.limits import SYSTEMS_MOST
from hlbcore.shelf.closed import Flags

SIZES = (1, 2, 3)
"""Emulsifiers of one system. [-]"""

PALM = "palm"
"""The exclusion of what is named after the palm; of all else the tables do not know the origin."""


@dataclass(frozen=True, slots=True)
class Beside:
    """A ready emulsifier: a system of its own that its supplier's rate judges.

    Parameters
    ----------
    name : str
        As given.
    rate : str
        Its supplier's rate in words; "no rate known" where the tables hold none.
    low_pct, high_pct : float or None
        The rate; None at an end that is not stated. [% of `basis`]
    basis : str
        ``formula``, ``oil phase`` or ``water phase``.
    reason : str
        Why HLB does not judge it.
    source : str
        Key in ``data/sources.csv``; blank where no rate is known.
    """

    name: str
    rate: str
    low_pct: float | None = None
    high_pct: float | None = None
    basis: str = "formula"
    reason: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True)
class Shelf:
    """The emulsifiers of a list by the rule that judges them.

    Parameters
    ----------
    held : tuple of Candidate
        Those that HLB may judge, in order of id.
    ready : tuple of Beside
        Those that their supplier's rate judges.
    left_out : tuple of str
        What was left out, a sentence each.
    """

    held: tuple[Candidate, ...]
    ready: tuple[Beside, ...] = ()
    left_out: tuple[str, ...] = ()


def beside(name: str, ingredient: Ingredient, library: Library) -> Beside:
    """A ready emulsifier with its supplier's rate."""
    row = library.ready(name) or library.ready(ingredient.common_name)
    reason = mark(ingredient) or without_figure(ingredient).rstrip(".")
    if row is None:
        return Beside(name, "no rate known", reason=reason)
    own = (row.low_pct, row.high_pct) if row.has_rate else (None, None)
    return Beside(name, row.rate, *own, row.basis or "formula", reason, row.source)


def sorted_shelf(emulsifiers: Emulsifiers, exclude: Sequence[str], library: Library) -> Shelf:
    """The emulsifiers by the rule that judges them; a figure typed by the user is judged by HLB."""
    if isinstance(emulsifiers, str):
        emulsifiers = [emulsifiers]
    typed = isinstance(emulsifiers, Mapping)
    if not emulsifiers:
        raise EmptyPhase("The shelf", "Name at least one emulsifier that you have.")
    given: list[Candidate] = []
    ready: list[Beside] = []
    if typed:
        given = list(candidates(emulsifiers, library))
    else:
        judged: list[str | Ingredient] = []
        for entry in emulsifiers:
            i = entry if isinstance(entry, Ingredient) else library.emulsifier(entry)
            if i.hlb is None or not i.hlb_judges:
                name = i.common_name if isinstance(entry, Ingredient) else str(entry).strip()
                ready.append(beside(name, i, library))
            else:
                judged.append(entry)
        given = list(candidates(judged, library)) if judged else []
    shut = [(word, _excluded(word)) for word in exclude]
    held, left_out = [], []
    for c in sorted(given, key=lambda c: c.id):
        words = [word for word, group in shut if group.holds(c)]
        if words:
            left_out.append(f"{clipped(c.label)}: left out, {' and '.join(words)}")
        else:
            held.append(c)
    for word, group in shut:
        unknown = [c for c in held if c.ingredient is None]
        if unknown and not group.members:
            said = ", ".join(clipped(c.label) for c in unknown[:3])
            left_out.append(f"{said}: kept, whether {word} is unknown")
        if group.name.casefold() == PALM and held:
            left_out.append(
                "palm: only names that say so are left out; the origin of all others is unknown, ask "
                "your supplier"
            )
    ready = [b for b in ready if not any(g.holds(_candidate(library, b.name)) for _, g in shut)]
    return Shelf(tuple(held), tuple(sorted(ready, key=lambda b: b.name.casefold())), tuple(left_out))


def _candidate(library: Library, name: str) -> Candidate:
    return Candidate(name, Estimate.exactly(10.0), library.find(name))


class _Palm(Group):
    def holds(self, candidate: Candidate) -> bool:
        i = candidate.ingredient
        names = (candidate.label, *((i.inci, i.common_name, *i.aliases) if i else ()))
        return any(
            w.startswith("palm") and not w.startswith("palmit") for n in names for w in n.casefold().split()
        )


def _excluded(word: str) -> Group:
    if str(word).strip().casefold() == PALM:
        return _Palm(PALM)
    return Group(str(word))


@dataclass(frozen=True, slots=True)
class Asked:
    """A screen as arrays, in the order of the ids.

    Parameters
    ----------
    shelf : Shelf
        The emulsifiers.
    target : Estimate
        HLB wanted. [HLB]
    window : float
        Half width. [HLB]
    total : tuple of float
        Low and high end of all emulsifiers together. [% of formula]
    sizes : tuple of int
        Emulsifiers of one system. [-]
    min_share : float
        Least share of each member in the blend. [-]
    hlb, low, high : ndarray
        Figures and their ranges. Shape (m,). [HLB]
    lower, upper : ndarray
        Limits of the amounts. Shape (m,). [% of formula]
    price : ndarray
        NaN where none is given. Shape (m,). [price unit/kg]
    charge : ndarray
        -1 anionic, 1 cationic, 0 the others. Shape (m,). [-]
    groups : tuple
        Name, members, low and high end of each group. [% of formula]
    """

    shelf: Shelf
    target: Estimate
    window: float
    total: tuple[float, float]
    sizes: tuple[int, ...]
    min_share: float
    hlb: Array
    low: Array
    high: Array
    lower: Array
    upper: Array
    price: Array
    charge: Array
    groups: tuple[tuple[str, Flags, float, float], ...] = ()

    @property
    def edges(self) -> tuple[float, float]:
        """Ends of the window. [HLB]"""
        return self.target.value - self.window, self.target.value + self.window

    @property
    def limited(self) -> bool:
        """Whether anything but the least share bounds an amount."""
        return bool(self.groups) or bool(np.any(self.lower > 0) or np.any(np.isfinite(self.upper)))

    @property
    def has_floors(self) -> bool:
        """Whether an amount has a lower limit, so that the least total need not be the best."""
        return bool(np.any(self.lower > 0)) or any(low > 0 for _, _, low, _ in self.groups)


def asked_of(
    emulsifiers: Emulsifiers,
    target: float | str | Estimate | RequiredHlb,
    *,
    total: float | str | tuple[float, float],
    window: float,
    sizes: int | Sequence[int],
    min_share: float,
    limits: Mapping[str, tuple[float, float]],
    groups: Sequence[Group],
    exclude: Sequence[str],
    cost: Mapping[str, float],
    library: Library,
) -> Asked:
    """Everything asked of a screen, checked, as arrays."""
    wanted = target.estimate if isinstance(target, RequiredHlb) else as_estimate(target, "target")
    half = checked(window, "window", low=0, high=HLB_MAX, unit="HLB")
    ends = total_ends(total)
    least = checked(min_share, "min_share", low=0, high=1)
    how_many = _sizes(sizes)
    check_systems(len(emulsifiers), how_many)
    exclude = [exclude] if isinstance(exclude, str) else list(exclude)
    shelf = sorted_shelf(emulsifiers, exclude, library)
    held = shelf.held
    gone = _gone(emulsifiers, shelf, library)
    limits = {n: v for n, v in limits.items() if library.key(n) not in gone}
    cost = {n: checked(v, f"price of '{clipped(n)}'", low=0) for n, v in cost.items() if v is not None}
    cost = {n: v for n, v in cost.items() if library.key(n) not in gone}
    if not held:
        no = np.zeros(0)
        return Asked(shelf, wanted, half, ends, how_many, least, no, no, no, no, no, no, no)
    request = Request(held, wanted, half, ends, limits, _kept_groups(groups, held), 0.0, None, library)
    charges = {"anionic": -1.0, "cationic": 1.0}
    p = request.problem
    return Asked(
        shelf,
        wanted,
        half,
        ends,
        how_many,
        least,
        p.hlb,
        p.hlb_low,
        p.hlb_high,
        request.lower,
        request.upper,
        request.in_order(cost, "price", math.nan),
        np.array([charges.get(c.ingredient.charge, 0.0) if c.ingredient else 0.0 for c in held]),
        tuple(
            (name, row > 0, float(low) * request.scale, float(high) * request.scale)
            for name, row, low, high in zip(request.row_names, p.rows, p.row_low, p.row_high, strict=True)
        ),
    )


def _kept_groups(groups: Sequence[Group], held: Sequence[Candidate]) -> list[Group]:
    """The groups that hold any of the emulsifiers; the tables' own ones may hold none."""
    return [
        g
        for g in groups
        if not isinstance(g, Group) or g.members or g.low > 0 or any(g.holds(c) for c in held)
    ]


def _gone(emulsifiers: Emulsifiers, shelf: Shelf, library: Library) -> set[str]:
    """Keys of what was given and takes no part."""
    names = [e.common_name if isinstance(e, Ingredient) else str(e) for e in emulsifiers]
    held = {c.id for c in shelf.held} | {library.key(c.label) for c in shelf.held}
    return {key for n in names if (key := library.key(n)) not in held}


def _sizes(sizes: int | Sequence[int]) -> tuple[int, ...]:
    given = (sizes,) if isinstance(sizes, int) else tuple(sizes)
    for size in given:
        if size not in SIZES:
            raise InvalidInput("sizes", f"{clipped(size)} is not possible", "Use 1, 2 or 3 emulsifiers.")
    if not given:
        raise InvalidInput("sizes", "none is given", "Use 1, 2 or 3 emulsifiers.")
    return tuple(sorted(set(given)))


def check_systems(count: int, sizes: Sequence[int]) -> None:
    """Refuse more systems than are worked out in a few seconds.

    Parameters
    ----------
    count : int
        Emulsifiers. [-]
    sizes : sequence of int
        Emulsifiers of one system. [-]

    Raises
    ------
    InvalidInput
        If there are more than `SYSTEMS_MOST`.
    """
    systems = sum(math.comb(count, size) for size in sizes)
    if systems > SYSTEMS_MOST:
        raise InvalidInput(
            "The shelf",
            f"{count:,} emulsifiers make {systems:,} systems, more than {SYSTEMS_MOST:,}",
            "Leave some emulsifiers out, or ask for smaller systems: sizes=(1, 2).",
        )
