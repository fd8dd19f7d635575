"""Pages to print: HTML from templates, everything typed by a user escaped."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from hlbcore._numbers import checked_word
from hlbcore.cells import whole_signs
from hlbcore.units import AS_KEPT, Units

if TYPE_CHECKING:
    from jinja2 import Environment

PAPERS = ("A4", "Letter")
"""Sizes of paper."""


@cache
def _environment(units: Units) -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("hlbcore"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: units.text(value) if type(value) is str else value,
    )


def printed_page(template: str, *, paper: str = "A4", units: Units = AS_KEPT, **values: object) -> str:
    """A page to print.

    Parameters
    ----------
    template : str
        Name of a template in ``hlbcore/templates``.
    paper : str
        One of `PAPERS`.
    units : Units
        How figures are read; the template has them as `units`.
    **values : object
        What the template shows.

    Returns
    -------
    str
        HTML in black and white with all it needs inside; every value is escaped.

    Raises
    ------
    InvalidInput
        For a paper of another size.

    Examples
    --------
    >>> "&lt;b&gt;" in printed_page("text.html", title="<b>", paragraphs=[])
    True
    """
    size = checked_word(paper, PAPERS, "paper")
    made = _environment(units).get_template(template)
    return whole_signs(made.render(paper=size, units=units, **values))
