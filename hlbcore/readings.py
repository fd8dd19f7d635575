"""Readings and their roots: lists that copy each other are one voice, and how voices make a figure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

TABLE_GRADES = ("measured", "published", "craft", "memory")
"""Grades of a reading in the tables, the firmest first."""

GRADES = (
    "own",
    "measured",
    "primary",
    "primary, recalled",
    "published",
    "craft",
    "memory",
    "class range",
    "bounds",
)
"""All grades of a figure: the user's own leads, the bounds of what nobody knows come last."""

NO_ROOT = "none of its own"
"""Root of pages that quote unnamed sheets: heard only where no other root is."""

LADDER_FLOOR = 0.5
"""Least half width that independent ladders, or the user's own, may reach. [HLB] Our convention."""

LONE_FLOOR = 1.5
"""Least half width of one ladder alone, and of an emulsifier with one craft or memory root. [HLB]
Our convention."""

DISPUTE = 3.0
"""Roots further apart than this get no silent median. [HLB] Our convention."""

_MEASURED, _PRIMARY, _PUBLISHED, _CRAFT = 0, 1, 2, 3


@dataclass(frozen=True, slots=True)
class Reading:
    """One figure in one source.

    Parameters
    ----------
    value : float
        The figure. [HLB]
    grade : str
        One of `TABLE_GRADES`, or ``"own"``. [-]
    source : str
        Key in ``data/sources.csv``.
    low, high : float, optional
        Range that the source prints. [HLB]
    where : str
        Page, table or section.
    note : str
        Method or caution that travels with the figure.
    root : str
        Where the source has the figure from; blank: the source stands for itself.
    place : int
        1 the one who found it, 2 copied, 3 copy of a copy; 0 where that was not judged. [-]
    """

    value: float
    grade: str
    source: str
    low: float | None = None
    high: float | None = None
    where: str = ""
    note: str = ""
    root: str = ""
    place: int = 0

    @property
    def voice(self) -> str:
        """The root that this reading speaks for."""
        return self.root or self.source

    @property
    def level(self) -> int:
        """Rank among readings: measured, primary, published, craft, memory."""
        if self.grade != "measured" and self.place == 1:
            return _PRIMARY
        return (_MEASURED, _PUBLISHED, _CRAFT, _CRAFT + 1)[TABLE_GRADES.index(self.grade)]

    @property
    def standing(self) -> str:
        """The grade in words; a primary source that was not opened says so."""
        if self.level != _PRIMARY:
            return self.grade
        return "primary, recalled" if self.grade == "memory" else "primary"


@dataclass(frozen=True, slots=True)
class Weighed:
    """What readings make together.

    Parameters
    ----------
    value, low, high : float
        Figure and range. [HLB]
    grade : str
        Standing of the reading that gives the figure.
    sources, roots : tuple of str
        Pages, and the independent roots behind them, the firmest first.
    alternatives : tuple of float
        Lowest and highest root where roots lie more than 3 apart; else empty. [HLB]
    also_printed : tuple of tuple of float and str
        Readings outside the range, with their sources. [HLB]
    weak : bool
        Whether no root has a figure to start from: the value is then the middle of the range.
    """

    value: float
    low: float
    high: float
    grade: str
    sources: tuple[str, ...]
    roots: tuple[str, ...]
    alternatives: tuple[float, ...] = ()
    also_printed: tuple[tuple[float, str], ...] = ()
    weak: bool = False


def weigh(readings: Iterable[Reading], *, floor: float, lone_floor: float = 0.0) -> Weighed:
    """What readings of one quantity make together, with one vote a root.

    Parameters
    ----------
    readings : iterable of Reading
        At least one.
    floor : float
        Least half width of the range. [HLB]
    lone_floor : float
        Least half width where one craft or memory root stands alone; 0 for no such rule. [HLB]

    Returns
    -------
    Weighed
        A figure that one of the readings holds, unless `weak`.

    Examples
    --------
    >>> made = weigh([Reading(15, "craft", "b", root="guide"), Reading(15.5, "craft", "c", root="guide"),
    ...               Reading(13, "published", "a")], floor=1.0)
    >>> made.value, made.roots, len(made.sources)
    (13, ('a', 'guide'), 3)
    """
    rows = sorted(readings, key=lambda r: (GRADES.index(r.grade), r.value, r.source))
    own = [r for r in rows if r.grade == "own"]
    if own:
        return _owned(own, rows, min(floor, LADDER_FLOOR))
    votes = _votes(rows)
    measured = [v for v in votes if v.level == _MEASURED]
    if len(measured) == 1:
        handed = [v for v in votes if v.level in (_PRIMARY, _PUBLISHED)]
        best = measured + [v for v in handed if v.level == min(h.level for h in handed)]
        alone = not handed
    else:
        best = [v for v in votes if v.level == votes[0].level]
        alone = False
    chosen = _middle(best, votes)
    value = chosen.value
    if len(measured) > 1:
        floor = min(floor, LADDER_FLOOR)
    elif alone or (len(votes) == 1 and votes[0].level >= _CRAFT and lone_floor):
        floor = max(floor, LONE_FLOOR if alone else lone_floor)

    # pages without a root of their own cannot vote, yet they may show that a name fixes no figure
    heard = [v.value for v in votes] + [r.value for r in rows if r.voice == NO_ROOT]
    disputed = max(heard) - min(heard) > DISPUTE
    levels = sorted({v.level for v in votes})[:2]
    spanned: Sequence[Reading] = rows if disputed else [v for v in votes if v.level in levels]
    weak = disputed and votes[0].level >= _CRAFT
    if disputed:
        chosen = _middle([v for v in votes if v.level == votes[0].level], votes)
        value = chosen.value
    low = min(value - floor, *(r.value if r.low is None else r.low for r in spanned), value)
    high = max(value + floor, *(r.value if r.high is None else r.high for r in spanned), value)
    if weak:  # nobody is nearer to the origin than the others
        low = min(r.value if r.low is None else r.low for r in spanned)
        high = max(r.value if r.high is None else r.high for r in spanned)
        value = (low + high) / 2
    return Weighed(
        value,
        low,
        high,
        chosen.standing,
        tuple(dict.fromkeys(r.source for r in sorted(rows, key=_rank))),
        tuple(v.voice for v in votes),
        (min(heard), max(heard)) if disputed else (),
        tuple((r.value, r.source) for r in rows if not low <= r.value <= high),
        weak,
    )


def _rank(reading: Reading) -> tuple[int, int, float, str]:
    return reading.level, reading.place or 9, reading.value, reading.source


def _owned(own: Sequence[Reading], rows: Sequence[Reading], floor: float) -> Weighed:
    value = median([r.value for r in own])
    low = min(value - floor, *(r.value if r.low is None else r.low for r in own), value)
    high = max(value + floor, *(r.value if r.high is None else r.high for r in own), value)
    sources = tuple(dict.fromkeys(r.source for r in rows))
    return Weighed(value, low, high, "own", sources, tuple(dict.fromkeys(r.voice for r in own)))


def _votes(rows: Sequence[Reading]) -> list[Reading]:
    """The most primary reading of each root, the firmest root first."""
    roots: dict[str, list[Reading]] = {}
    for r in rows:
        roots.setdefault(r.voice, []).append(r)
    if len(roots) > 1:
        roots.pop(NO_ROOT, None)
    return sorted((_vote(held) for held in roots.values()), key=_rank)


def _vote(held: Sequence[Reading]) -> Reading:
    """The most primary reading; of equal ones the nearest to what the head of the root prints."""
    first = min(r.place or 9 for r in held)
    heads = sorted(r.value for r in held if (r.place or 9) == first)
    head = heads[(len(heads) - 1) // 2]
    return min(held, key=lambda r: (r.level, r.place or 9, abs(r.value - head), r.value, r.source))


def _middle(best: Sequence[Reading], votes: Sequence[Reading]) -> Reading:
    """The median of the best roots, as one of them prints it.

    Of two in the middle it is the one nearer to the median of all roots, then the firmer, then
    the lower: a figure between them would be one that nobody prints.
    """
    values = [v.value for v in best]
    inner = sorted(values)[(len(values) - 1) // 2 : len(values) // 2 + 1]
    middle = median([v.value for v in votes])
    near = [v for v in best if v.value in inner]
    return min(near, key=lambda v: (round(abs(v.value - middle), 9), v.level, v.value, v.source))
