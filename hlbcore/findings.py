"""A Finding: what stands out, how serious it is, the rule it rests on, and the mend."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from hlbcore._numbers import checked_word

LEVELS = ("stop", "caution", "note")
"""Levels of a finding, the worst first."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that a maker should know.

    Parameters
    ----------
    level : str
        ``"note"``, ``"caution"`` or ``"stop"``.
    title : str
        The matter in a few words.
    detail : str
        What was found, in a sentence or two.
    figure : str
        The number it turns on, with its unit.
    rule : str
        The rule and its source, or ``common practice, no source``.
    mend : str
        What to do.

    Examples
    --------
    >>> Finding("note", "Fragrance is negligible").level
    'note'
    """

    level: str
    title: str
    detail: str = ""
    figure: str = ""
    rule: str = ""
    mend: str = ""

    def __post_init__(self) -> None:
        object.__setattr__(self, "level", checked_word(self.level, LEVELS, "finding, level"))


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings without repeats, the worst level first.

    Parameters
    ----------
    findings : iterable of Finding
        In any order.

    Returns
    -------
    tuple of Finding
        Within a level the order given is kept.

    Examples
    --------
    >>> [f.level for f in worst_first([Finding("note", "a"), Finding("stop", "b")])]
    ['stop', 'note']
    """
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: LEVELS.index(f.level)))


@dataclass(frozen=True, slots=True)
class Changes:
    """What an edit changed in a list of findings.

    Parameters
    ----------
    gone : tuple of Finding
        No longer there.
    new : tuple of Finding
        There now.
    """

    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]

    @property
    def moved(self) -> tuple[str, ...]:
        """Titles that are there before and after, with another figure or detail."""
        before = {f.title for f in self.gone}
        return tuple(dict.fromkeys(f.title for f in self.new if f.title in before))


def changes(before: Iterable[Finding], after: Iterable[Finding]) -> Changes:
    """What differs between two lists of findings.

    Parameters
    ----------
    before, after : iterable of Finding
        The findings before and after an edit.

    Returns
    -------
    Changes
        A finding whose figure moved is both gone and new.

    Examples
    --------
    >>> changes([Finding("note", "a")], [Finding("note", "b")]).new[0].title
    'b'
    """
    first, second = list(before), list(after)
    return Changes(tuple(f for f in first if f not in second), tuple(f for f in second if f not in first))
