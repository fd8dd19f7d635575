"""What followed from a formula when it was kept, beside what follows now."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from hlbcore.blending.worked import Worked

FIGURES = {
    "required": "required HLB of the oil phase",
    "blend": "HLB of the blend",
    "total": "emulsifiers together, % of the formula",
    "word": "verdict",
}
"""Figures that are kept with a version, in words."""

MOVED = 0.05
"""A figure that is printed to one decimal has moved by this. [HLB, % of formula]"""


def kept_figures(worked: Worked) -> dict[str, float | str]:
    """The figures that are kept with a version.

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    dict
        Some of `FIGURES`; what could not be computed is left out. [HLB, % of formula]

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> kept_figures(work_out(example_formula()))["word"]
    'inside'
    """
    held: dict[str, float | str] = {}
    if worked.required is not None:
        held["required"] = worked.required.value
    if worked.blend is not None:
        held["blend"] = worked.blend.value
    if worked.emulsifiers:
        held["total"] = sum(worked.amounts.values())
    held["word"] = worked.verdict.word
    return held


def what_moved(then: Mapping[str, float | str], worked: Worked) -> tuple[str, ...]:
    """What differs between the figures kept with a version and those of today.

    Parameters
    ----------
    then : mapping
        As `kept_figures` gave them.
    worked : Worked
        The same formula, worked out with the tables and own values of today.

    Returns
    -------
    tuple of str
        A sentence each; empty where nothing has moved by as much as is printed.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> what_moved({"required": 9.0}, work_out(example_formula()))
    ('required HLB of the oil phase: 9.0 when it was kept, 8.1 now',)
    """
    today = kept_figures(worked)
    found = []
    for name, words in FIGURES.items():
        old, new = then.get(name), today.get(name)
        if old is None or new is None:
            continue
        if isinstance(old, str) or isinstance(new, str):
            if old != new:
                found.append(f"{words}: {old} when it was kept, {new} now")
        elif abs(new - old) >= MOVED:
            found.append(f"{words}: {old:.1f} when it was kept, {new:.1f} now")
    return tuple(found)


def compare_figures(before: Mapping[str, float | str], after: Mapping[str, float | str]) -> pd.DataFrame:
    """The figures kept with two versions, beside each other.

    Parameters
    ----------
    before, after : mapping
        As `kept_figures` gave them.

    Returns
    -------
    DataFrame
        Columns figure, before, after, as printed; blank where one was not known.

    Examples
    --------
    >>> compare_figures({"required": 7.0}, {"required": 7.46})["after"].tolist()
    ['7.5', '', '', '']
    """

    def printed(value: float | str | None) -> str:
        return "" if value is None else value if isinstance(value, str) else f"{value:.1f}"

    rows = [(w, printed(before.get(n)), printed(after.get(n))) for n, w in FIGURES.items()]
    return pd.DataFrame(rows, columns=["figure", "before", "after"])
