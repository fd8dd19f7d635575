"""Lessons on paper and on a projector."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from hlbcore.lessons.glossary import GLOSSARY
from hlbcore.lessons.texts import lesson_text, lesson_texts
from hlbcore.library import Library, load_library
from hlbcore.printed import printed_page

Figures = Mapping[str, tuple[bytes, str]]
"""The figure of a lesson as SVG of this package's own, and its words, by the lesson's short name."""


def hand_out(
    key: str, figures: Figures | None = None, *, paper: str = "A4", library: Library | None = None
) -> str:
    """One lesson as a page to print.

    Parameters
    ----------
    key : str
        Short name of the lesson.
    figures : mapping, optional
        Its figure; left out: no figure.
    paper : str
        ``A4`` or ``Letter``.
    library : Library, optional
        Its sources; the built-in tables if left out.

    Returns
    -------
    str
        HTML.

    Examples
    --------
    >>> "alligation" in hand_out("blend")
    True
    """
    lesson = lesson_text(key)
    held = library or load_library()
    number = [x.key for x in lesson_texts()].index(lesson.key) + 1
    drawn, words = _drawn(lesson.key, figures)
    return printed_page(
        "hand_out.html",
        paper=paper,
        title=lesson.title,
        number=number,
        lesson=lesson,
        figure=drawn,
        words=words,
        cite=held.cite,
        terms=GLOSSARY.get(lesson.key, ()),
    )


def slides(
    keys: Sequence[str] | None = None, figures: Figures | None = None, *, library: Library | None = None
) -> str:
    """Lessons as slides for a projector, one screen each.

    Parameters
    ----------
    keys : sequence of str, optional
        Short names of lessons; all if left out.
    figures : mapping, optional
        Their figures.
    library : Library, optional
        Their sources; the built-in tables if left out.

    Returns
    -------
    str
        HTML that needs nothing else.

    Examples
    --------
    >>> slides(["what"]).count("<section>")
    8
    """
    held = library or load_library()
    chosen = [lesson_text(k) for k in (keys if keys is not None else [x.key for x in lesson_texts()])]
    shown = []
    for lesson in chosen:
        drawn, words = _drawn(lesson.key, figures)
        shown.append({"lesson": lesson, "figure": drawn, "words": words})
    title = "Emulsifiers by the HLB method" if len(chosen) != 1 else chosen[0].title
    return printed_page("slides.html", title=title, lessons=shown, cite=held.cite)


def _drawn(key: str, figures: Figures | None) -> tuple[object, str]:
    """The picture, which our own code drew and which is let through as it is."""
    from markupsafe import Markup

    svg, words = (figures or {}).get(key, (b"", ""))
    text = svg.decode("utf-8")
    return Markup(text[text.find("<svg") :] if text else ""), words
