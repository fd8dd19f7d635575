"""A Finding: what stands out, how serious it is, the rule it rests on, and the mend."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

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
    aside : bool
        Whether it is background, shown on demand: how a figure was counted, what a material is.
    always : bool
        Whether it stands for a whole product type or for every formula; shown once, in a block of
        its own.

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
    aside: bool = False
    always: bool = False

    def __post_init__(self) -> None:
        object.__setattr__(self, "level", checked_word(self.level, LEVELS, "finding, level"))


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings without repeats: the worst level first, then what is background, then what always stands.

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
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: (f.always, f.aside, LEVELS.index(f.level))))


def first_screen(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What is shown at once: neither background nor what always stands.

    Parameters
    ----------
    findings : iterable of Finding
        As `hlbcore.check` gives them.

    Returns
    -------
    tuple of Finding
        In the order given.

    Examples
    --------
    >>> first_screen([Finding("stop", "a"), Finding("note", "b", always=True)])[0].title
    'a'
    """
    return tuple(f for f in findings if not f.aside and not f.always)


def background(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The same findings as notes in the background; stops stay what they are.

    Parameters
    ----------
    findings : iterable of Finding
        What does not decide here.

    Returns
    -------
    tuple of Finding
        In the order given.
    """
    return tuple(f if f.level == "stop" else replace(f, level="note", aside=True) for f in findings)


def merged(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings of one title as one, with all that they say.

    Parameters
    ----------
    findings : iterable of Finding
        A title may stand more than once, with other figures.

    Returns
    -------
    tuple of Finding
        One a title, the worst level of all, in the order of the first.

    Examples
    --------
    >>> merged([Finding("note", "a", "One."), Finding("caution", "a", "Two.")])[0].detail
    'One. Two.'
    """
    held: dict[str, list[Finding]] = {}
    for finding in findings:
        held.setdefault(finding.title, []).append(finding)
    return tuple(_as_one(same) if len(same) > 1 else same[0] for same in held.values())


def _as_one(same: list[Finding]) -> Finding:
    def joined(texts: Iterable[str], mark: str) -> str:
        return mark.join(dict.fromkeys(filter(None, texts)))

    return Finding(
        min((f.level for f in same), key=LEVELS.index),
        same[0].title,
        joined((f.detail for f in same), " "),
        joined((f.figure for f in same), "; "),
        joined((f.rule for f in same), "; "),
        joined((f.mend for f in same), " "),
        all(f.aside for f in same),
        all(f.always for f in same),
    )


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
