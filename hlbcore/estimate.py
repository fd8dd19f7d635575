"""A value with its doubt: how readings become one figure, and how doubts add.

An estimate is a two-piece uniform: half its mass lies evenly on [low, value], half on [value, high],
so the value stays the median when the range is skew.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from hlbcore._numbers import checked, read_range
from hlbcore.errors import EmptyPhase, InvalidInput
from hlbcore.readings import GRADES, Reading, weigh

REQUIRED_HLB_FLOOR = 1.0
"""Least half width of a required HLB from tables, since lists copy each other. [HLB]
Our convention."""

EMULSIFIER_FLOOR = 1.0
"""Least half width of an emulsifier's HLB from tables. [HLB] Our convention."""

DEFINED_FLOOR = 0.5
"""Least half width where the maker defined the figure: sorbitan esters, polysorbates, ethoxylates
with a stated number of units. [HLB] Our convention."""

HLB_MAX = 40.0
"""Top of the HLB scale, sodium lauryl sulfate (Davies 1957). [HLB]"""

NO_FIGURE = (4.0, 17.0)
"""Bounds of what has neither a figure nor a class with one. [HLB] Our convention; the required
HLB of nearly all oils printed lie between them."""


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure with its range and where it comes from.

    Parameters
    ----------
    value : float
        Best figure to start from; the median. [HLB]
    low, high : float
        Ends of the range. [HLB]
    sources : tuple of str
        Keys in ``data/sources.csv``.
    grade : str
        Grade of the reading that the value rests on; ``"own"`` for a figure typed by the user.
    alternatives : tuple of float
        The lowest and the highest root where roots lie more than 3 apart; else empty. [HLB]
    roots : tuple of str
        Independent roots of the sources; lists that copy each other are one.
    also_printed : tuple of tuple of float and str
        Readings outside the range, with their sources. [HLB]
    weak : bool
        Whether the value is only the middle of its range: no source prints it as a figure to
        start from.

    Examples
    --------
    >>> Estimate(8, 7, 10)
    8.0 (7.0 to 10.0)
    """

    value: float
    low: float
    high: float
    sources: tuple[str, ...] = ()
    grade: str = "own"
    alternatives: tuple[float, ...] = ()
    roots: tuple[str, ...] = ()
    also_printed: tuple[tuple[float, str], ...] = ()
    weak: bool = False

    def __post_init__(self) -> None:
        for name in ("low", "value", "high"):
            number = checked(getattr(self, name), f"estimate, {name}", low=0, high=HLB_MAX)
            object.__setattr__(self, name, number)
        if not self.low <= self.value <= self.high:
            raise InvalidInput(
                f"estimate {self.value:g} ({self.low:g} to {self.high:g})",
                "the value lies outside its range",
                "Enter the low end, the value and the high end in rising order.",
            )
        object.__setattr__(self, "sources", tuple(self.sources))
        object.__setattr__(self, "alternatives", tuple(self.alternatives))
        # files hold lists where values hold tuples
        printed = tuple((float(value), source) for value, source in self.also_printed)
        object.__setattr__(self, "also_printed", printed)
        # a source whose root nobody judged stands for itself
        object.__setattr__(self, "roots", tuple(self.roots) or self.sources)

    @classmethod
    def exactly(cls, value: float) -> Estimate:
        """A figure taken as it is, without a range.

        Parameters
        ----------
        value : float
            The figure. [HLB]

        Returns
        -------
        Estimate
            With low and high equal to the value.

        Examples
        --------
        >>> Estimate.exactly(15)
        15.0
        """
        return cls(value, value, value)

    @classmethod
    def from_readings(cls, readings: Iterable[Reading], *, floor: float, lone_floor: float = 0.0) -> Estimate:
        """The one figure that several readings make.

        Parameters
        ----------
        readings : iterable of Reading
            All readings of one ingredient and one quantity.
        floor : float
            Least half width of the range. [HLB]
        lone_floor : float
            Least half width where one craft or memory root stands alone; 0 for no such rule. [HLB]

        Returns
        -------
        Estimate
            One vote a root, by its most primary reading. The value is the median over the roots of
            the best grade present (measured, primary, published, craft, memory), as one of them
            prints it; one ladder votes beside primary and published ones, two or more lead. The
            range spans the roots of the two best grades and is never narrower than the floor; one
            ladder alone has at least 1.5 each way, two may reach 0.5. Where roots lie more than 3
            apart, `alternatives` holds the lowest and the highest, the range spans all, and the
            value is the most primary one; where none is, the middle of the range, marked weak.

        Raises
        ------
        EmptyPhase
            If there is no reading.

        Examples
        --------
        >>> Estimate.from_readings(
        ...     [Reading(6, "published", "a"), Reading(7, "published", "b"),
        ...      Reading(7, "craft", "c", root="b")], floor=1.0)
        6.0 (5.0 to 7.0; 2 independent roots (3 pages))
        """
        rows = tuple(readings)
        if not rows:
            raise EmptyPhase("The list of readings", "Give at least one reading.")
        return _weighed(rows, floor, lone_floor)

    @property
    def support(self) -> str:
        """What it rests on, in words: ``2 independent roots (15 pages)``; blank where on nothing."""
        if not self.sources:
            return ""
        roots = len(self.roots)
        voices = "1 root" if roots == 1 else f"{roots} independent roots"
        return f"{voices} ({len(self.sources)} page{'s' if len(self.sources) > 1 else ''})"

    def widened(self, low: float, high: float) -> Estimate:
        """The same figure with a range that holds another one too.

        Parameters
        ----------
        low, high : float
            Ends of the other range. [HLB]

        Returns
        -------
        Estimate
            Never narrower than before.

        Examples
        --------
        >>> Estimate(8, 7, 9).widened(5, 9)
        8.0 (5.0 to 9.0)
        """
        low, high = min(low, self.low), max(high, self.high)
        left = tuple(p for p in self.also_printed if not low <= p[0] <= high)
        return replace(self, low=low, high=high, also_printed=left)

    @property
    def mean(self) -> float:
        """Mean of the two-piece uniform. [HLB]"""
        return self.value + (self.high - 2 * self.value + self.low) / 4

    @property
    def variance(self) -> float:
        """Variance of the two-piece uniform. [HLB²]"""
        a, b = self.value - self.low, self.high - self.value
        return (a * a + b * b) / 6 - ((b - a) / 4) ** 2

    @property
    def sd(self) -> float:
        """Standard deviation of the two-piece uniform. [HLB]"""
        return math.sqrt(self.variance)

    @property
    def spread(self) -> float:
        """Width of the range. [HLB]"""
        return self.high - self.low

    def choose(self, value: float) -> Estimate:
        """The same range with another of its readings as the value.

        Parameters
        ----------
        value : float
            The reading chosen; must lie inside the range. [HLB]

        Returns
        -------
        Estimate
            With the alternatives kept, so that the choice stays visible.

        Examples
        --------
        >>> Estimate(9, 5, 10, alternatives=(5.0, 9.5)).choose(5)
        5.0 (5.0 to 10.0; readings disagree: 5.0 and 9.5)
        """
        return replace(self, value=value, weak=False)

    def __repr__(self) -> str:
        if not self.spread and not self.sources:
            return f"{self.value:.1f}"
        text = f"{self.value:.1f} ({self.low:.1f} to {self.high:.1f}"
        if self.sources:
            text += f"; {self.support}"
        if self.alternatives:
            text += "; readings disagree: {:.1f} and {:.1f}".format(*self.alternatives)
        if self.weak:
            text += "; weak: the middle of the range, no source prints it"
        return text + ")"


@lru_cache(maxsize=4096)  # a page asks for the same ingredients again and again
def _weighed(rows: tuple[Reading, ...], floor: float, lone_floor: float) -> Estimate:
    made = weigh(rows, floor=floor, lone_floor=lone_floor)
    return Estimate(
        made.value,
        max(made.low, 0.0),
        min(made.high, HLB_MAX),
        made.sources,
        made.grade,
        made.alternatives,
        made.roots,
        made.also_printed,
        made.weak,
    )


def bounded() -> Estimate:
    """The bounds of an oil that nobody knows, as an estimate.

    Returns
    -------
    Estimate
        Graded ``bounds``; its value is the middle and marked weak. [HLB]

    Examples
    --------
    >>> bounded().low, bounded().high, bounded().grade
    (4.0, 17.0, 'bounds')
    """
    low, high = NO_FIGURE
    return Estimate((low + high) / 2, low, high, grade="bounds", weak=True)


def as_estimate(value: float | str | Estimate, item: str) -> Estimate:
    """An Estimate as it is; a number typed by the user as exact; a range with its middle.

    Parameters
    ----------
    value : float, str or Estimate
        The figure, or text such as ``"10,5"`` or ``"7 to 9"``. [HLB, 0 to 40]
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    Estimate
        The figure with its range.

    Examples
    --------
    >>> as_estimate("10,5", "my oil"), as_estimate("7 to 9", "my oil")
    (10.5, 8.0 (7.0 to 9.0))
    """
    if isinstance(value, Estimate):
        return value
    if isinstance(value, str):
        low, high = (checked(e, item, low=0, high=HLB_MAX) for e in read_range(value, item, "HLB"))
        return Estimate((low + high) / 2, low, high)
    return Estimate.exactly(checked(value, item, low=0, high=HLB_MAX))


@dataclass(frozen=True, slots=True)
class Mixture:
    """A weighted sum of estimates: the required HLB of a phase, or the HLB of a blend.

    Parameters
    ----------
    fractions : tuple of float
        Mass fraction of each part; they add to 1. [-]
    parts : tuple of Estimate
        The figure of each part. [HLB]
    """

    fractions: tuple[float, ...]
    parts: tuple[Estimate, ...]

    @classmethod
    def by_mass(cls, masses: Sequence[float], parts: Sequence[Estimate]) -> Mixture:
        """The mixture of parts with the masses given.

        Parameters
        ----------
        masses : sequence of float
            Mass of each part, 0 or more. [any one unit]
        parts : sequence of Estimate
            The figure of each part. [HLB]

        Returns
        -------
        Mixture
            With the masses as fractions.

        Examples
        --------
        >>> Mixture.by_mass([1, 3], [Estimate.exactly(4), Estimate.exactly(8)]).total
        7.0
        """
        largest = max(masses, default=0.0)
        if largest <= 0:
            raise EmptyPhase("The mixture", "Give at least one amount above 0.")
        scaled = [m / largest for m in masses]  # so that 1e308 twice does not overflow
        whole = math.fsum(scaled)
        return cls(tuple(m / whole for m in scaled), tuple(parts))

    @property
    def total(self) -> Estimate:
        """The sum where all doubts move together, since tables share their sources. [HLB]"""
        ends = [
            math.fsum(f * v for f, v in zip(self.fractions, values, strict=True))
            for values in zip(*((p.low, p.value, p.high) for p in self.parts), strict=True)
        ]
        bounds = [
            v for p, f in zip(self.parts, self.fractions, strict=True) if f for v in (p.low, p.value, p.high)
        ]
        low, value, high = (min(max(e, min(bounds)), max(bounds)) for e in ends)
        held = [p for p, f in zip(self.parts, self.fractions, strict=True) if f]
        sources = tuple(dict.fromkeys(s for p in held for s in p.sources))
        roots = tuple(dict.fromkeys(r for p in held for r in p.roots))
        grade = max((p.grade for p in held), key=GRADES.index)
        return Estimate(value, min(low, value), max(high, value), sources, grade, (), roots)

    @property
    def sd_independent(self) -> float:
        """Standard deviation if the doubts of the parts had nothing in common. [HLB]"""
        return math.sqrt(
            math.fsum(f * f * p.variance for f, p in zip(self.fractions, self.parts, strict=True))
        )
