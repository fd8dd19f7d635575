"""The mark beside a figure that opens its working: steps with the numbers put in, and the lesson on it.

The steps go along with the figure and wait unseen; the browser opens them itself, so that a press costs
no run of the page.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

import streamlit as st
from parts import as_summed, lesson_link, safe, verbatim
from state import library

from hlbcore.lessons import Working


def place(name: str) -> str:
    """The id of a working on its page."""
    return f"how-{re.sub('[^a-z0-9]+', '-', name.lower()).strip('-')}"


def mark(name: str, made: Mapping[str, Working | None], of: str = "") -> str:
    """The mark beside a figure; blank where it has no working. With `of` it opens the working of that one."""
    return "" if made.get(of or name) is None else mark_of(name, of or name)


def mark_of(name: str, of: str) -> str:
    """The mark by its name, for the working of a name."""
    says = safe(f"How: {name}")
    return (
        f'<button type="button" class="how" popovertarget="{place(of)}" aria-label="{says}" '
        f'title="{says}"><i>how</i></button>'
    )


def behind(made: Mapping[str, Working | None]) -> str:
    """The workings that the marks of the same element open."""
    return "".join(working_html(name, held) for name, held in made.items() if held is not None)


def working_html(name: str, made: Working) -> str:
    """The working that the mark opens."""
    at = place(name)
    steps = "".join(
        f"<li>{as_summed(s.text)}{f'<b>{as_summed(s.sum)}</b>' if s.sum else ''}</li>" for s in made.steps
    )
    said = "".join(f"<p>{verbatim(library().cite(remark))}</p>" for remark in made.remarks)
    return (
        f'<div class="working steps" id="{at}" popover role="dialog" aria-label="{safe(made.title)}">'
        f'<strong>{safe(made.title)}</strong><ol>{steps}</ol>{said}<p class="ways">{lesson_link(made.lesson)}'
        f'<button type="button" popovertarget="{at}" popovertargetaction="hide">Close</button></p></div>'
    )


def marks(made: Mapping[str, Working | None]) -> str:
    """A row of marks for figures that stand in a table or a sentence above, each by its name."""
    shown = "".join(f"<li>{safe(name)}{mark(name, made)}</li>" for name, held in made.items() if held)
    return f'<ul class="hows">{shown}</ul>{behind(made)}' if shown else ""


def show_how(made: Mapping[str, Working | None]) -> None:
    """Marks below a table or a sentence."""
    if shown := marks(made):
        st.html(shown)


def again(name: str, of: str) -> None:
    """A mark below a table that opens a working which stands elsewhere on the page, by its name there."""
    st.html(f'<ul class="hows"><li>{safe(name)}{mark_of(name, of)}</li></ul>')
