"""A lesson as an object: its text, rules and limits."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit or a criticism, with what it rests on.

    Parameters
    ----------
    text : str
        The limit in a sentence or two.
    source : str
        Keys in ``data/sources.csv``, or how it is known.
    """

    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Lesson:
    """One short lesson.

    Parameters
    ----------
    key : str
        Short name; exercises carry it.
    title : str
        Heading.
    aim : str
        What the reader can do afterwards.
    paragraphs : tuple of str
        The lesson.
    rules : tuple of (str, str, str)
        Formulas with their meaning, and the source or how it is known.
    limits : tuple of Limit
        Where it ends.
    levels : tuple of str
        Levels of exercises that belong to it.
    """

    key: str
    title: str
    aim: str
    paragraphs: tuple[str, ...]
    rules: tuple[tuple[str, str, str], ...]
    limits: tuple[Limit, ...]
    levels: tuple[str, ...]

    @property
    def text(self) -> str:
        """The lesson as plain text."""
        rules = [f"{rule}   ({meaning}) [{source}]" for rule, meaning, source in self.rules]
        limits = [f"- {limit.text} [{limit.source}]" for limit in self.limits]
        return "\n\n".join([self.title, self.aim, *self.paragraphs, *rules, "\n".join(limits)])
