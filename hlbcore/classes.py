"""Classes of oils with a first range, for what has no figure of its own."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.estimate import Estimate


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
