"""Each line of a formula in grams, as its own scale shows it."""

from __future__ import annotations

from dataclasses import dataclass

from hlbcore.batch.pot import is_small, rounded_rows, trimmed_rows
from hlbcore.batch.scales import scales_of
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput
from hlbcore.formula.formula import TOTAL_OFF


@dataclass(frozen=True, slots=True)
class Shown:
    """One line of a formula as the scale shows it.

    Parameters
    ----------
    grams : float
        To a division of the scale. [g]
    text : str
        With the decimals of the scale and its unit.
    small : str
        Why it is too little to trust on this scale; blank where it is not.
    """

    grams: float
    text: str
    small: str = ""


def grams_of_lines(worked: Worked) -> dict[int, Shown]:
    """Every line of a formula in grams of its own batch, on its own scale.

    Parameters
    ----------
    worked : Worked
        A formula, worked out; a half-written one too.

    Returns
    -------
    dict of int to Shown
        By the number of the line; empty without a batch or a scale. Where the formula is whole the
        largest line takes the rounding of the others, as on the batch sheet; premixes are left out.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> held = grams_of_lines(work_out(example_formula()))
    >>> held[0].text, held[1].text
    ('350.8 g', '20.0 g')
    """
    batch, step = worked.made.aims.batch.value, worked.made.aims.scales.value
    if batch is None or step is None:
        return {}
    try:
        scales = scales_of(step)
        rows = rounded_rows(worked, batch, scales)
    except InvalidInput:  # no scale for it: said where the batch is planned
        return {}
    if rows and abs(worked.made.total_pct - 100) <= TOTAL_OFF:
        rows, _ = trimmed_rows(rows, batch)
    return {
        r.line: Shown(
            r.grams,
            f"{r.scale.text(r.grams)} g",
            f"the scale is trusted from {r.scale.text(r.scale.least_g)} g up" if is_small(r, scales) else "",
        )
        for r in rows
    }
