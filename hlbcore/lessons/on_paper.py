"""Workings on paper: the same steps as the pages open."""

from __future__ import annotations

from collections.abc import Mapping

from hlbcore.lessons._steps import Working
from hlbcore.printed import printed_page


def workings_page(name: str, made: Mapping[str, Working], *, paper: str = "A4") -> str:
    """How figures come about, as a page to print.

    Parameters
    ----------
    name : str
        What they belong to.
    made : mapping of str to Working
        Figures by name, for example of `formula_figures`.
    paper : str
        ``A4`` or ``Letter``.

    Returns
    -------
    str
        HTML in black and white; everything typed by a user is escaped.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> from hlbcore.lessons.of_formula import formula_figures
    >>> "8.2277 HLB" in workings_page("Cream", formula_figures(work_out(example_formula())))
    True
    """
    title = f"{name.strip() or 'Formula'}: how the figures come about"
    return printed_page("workings.html", paper=paper, title=title, workings=list(made.items()))
