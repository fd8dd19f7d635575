"""A measured titration line: how much acid or base brings a batch to a pH."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from hlbcore._numbers import checked, grams
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.rules.preservatives import preservatives

FIRST_PART = 0.8
"""Share of the computed amount that goes in first; then measure again. [-] Our convention."""


@dataclass(frozen=True, slots=True)
class Titration:
    """Points of a titration: acid or base added to a sample, and the pH after it.

    Parameters
    ----------
    points : tuple of (float, float)
        Added in all [g for 100 g], and pH [-], in rising order of what was added.
    adds : str
        What was added.
    """

    points: tuple[tuple[float, float], ...]
    adds: str = "the acid or base"

    def for_ph(self, target: float | str) -> float:
        """What brings 100 g to a pH, straight between two measured points. [g for 100 g]"""
        ph = checked(target, "pH wanted", low=0, high=14)
        for (x0, y0), (x1, y1) in zip(self.points, self.points[1:], strict=False):
            if min(y0, y1) <= ph <= max(y0, y1):
                return x0 if y0 == y1 else x0 + (x1 - x0) * (ph - y0) / (y1 - y0)
        low, high = sorted((self.points[0][1], self.points[-1][1]))
        raise InvalidInput(
            "pH wanted",
            f"{ph:g} lies outside what was measured ({low:g} to {high:g})",
            "Measure further first.",
        )

    def words(self, target: float | str, batch: float | str) -> str:
        """What to add to a batch, and how."""
        mass = grams(batch, "batch")
        ph = checked(target, "pH wanted", low=0, high=14)
        whole = self.for_ph(ph) * mass / 100
        if whole == 0:
            return f"It has pH {ph:g} already."
        return (
            f"pH {ph:g} takes {whole:.3g} g of {self.adds} for {mass:g} g by your line. Add "
            f"{FIRST_PART * whole:.3g} g, stir, wait, measure, and add the rest in small parts."
        )


def titration_line(
    points: Sequence[tuple[float | str, float | str]], *, sample: float | str = 100.0, adds: str = ""
) -> Titration:
    """A titration line from what was added to a sample and measured.

    Parameters
    ----------
    points : sequence of (float, float)
        Acid or base added in all [g], and the pH after it [-]; the first may be 0 g.
    sample : float or str
        Mass of the sample. [g, or text with its unit]
    adds : str
        What was added.

    Returns
    -------
    Titration
        Scaled to 100 g.

    Raises
    ------
    InvalidInput
        With fewer than two points, masses that do not rise, or a pH that turns round.

    Examples
    --------
    >>> line = titration_line([(0, 6.4), (0.2, 5.6), (0.4, 5.1)], sample=200, adds="lactic acid")
    >>> line.words(5.3, 500)
    'pH 5.3 takes 0.8 g of lactic acid for 500 g by your line. Add 0.64 g, stir, wait, measure, and add
    the rest in small parts.'
    """
    mass = grams(sample, "sample")
    held = [
        (
            checked(g, f"titration, point {n}, grams", low=0) * 100 / mass,
            checked(ph, f"titration, point {n}, pH", low=0, high=14),
        )
        for n, (g, ph) in enumerate(points, 1)
    ]
    if len(held) < 2:
        raise InvalidInput("titration", "one point makes no line", "Measure before and after adding.")
    rising = [b[0] > a[0] for a, b in itertools.pairwise(held)]
    if not all(rising):
        raise InvalidInput(
            "titration", f"point {rising.index(False) + 2} adds no more than the one before", "Enter sums."
        )
    turns = {b[1] > a[1] for a, b in itertools.pairwise(held) if b[1] != a[1]}
    if len(turns) > 1:
        raise InvalidInput(
            "titration", "the pH goes up and down", "Stir, wait until it stands still, measure again."
        )
    return Titration(tuple(held), adds.strip() or "the acid or base")


def read_titration(text: str) -> Titration:
    """A titration line as typed on one page.

    Parameters
    ----------
    text : str
        First line the sample and what was added, ``200 g, lactic acid``; then a point a line, grams added
        in all and the pH after it, ``0.2 5.6``.

    Returns
    -------
    Titration
        Scaled to 100 g.

    Raises
    ------
    InvalidInput
        Naming the line that cannot be read.

    Examples
    --------
    >>> round(read_titration("200 g, lactic acid; 0 6.4; 0.2 5.6; 0.4 5.1").for_ph(6.0), 3)
    0.05
    """
    rows = [row.strip() for row in re.split(r"[;\n]", text) if row.strip()]
    if not rows:
        raise InvalidInput(
            "titration", "it is blank", "Write the sample first, for example 100 g, citric acid."
        )
    sample, _, adds = rows[0].partition(",")
    points = []
    for number, row in enumerate(rows[1:], 1):
        held = row.replace("pH", " ").split()
        held = [x for x in held if x != "g"]
        if len(held) != 2:
            raise InvalidInput(
                f"titration, point {number}", f"'{clipped(row)}' is no pair", "Write grams and pH, 0.2 5.6."
            )
        points.append((held[0].removesuffix("g"), held[1]))
    return titration_line(points, sample=sample, adds=adds)


def preservative_window(worked: Worked) -> tuple[float, float, str] | None:
    """The pH that all preservatives of a formula work in; None where none is known. [-]

    Parameters
    ----------
    worked : Worked
        A formula, worked out.

    Returns
    -------
    tuple or None
        Low and high end, and the names they come from; low above high where they exclude each other.

    Examples
    --------
    >>> from hlbcore import example_formula, work_out
    >>> low, high, names = preservative_window(work_out(example_formula()))
    >>> names
    'phenoxyethanol with ethylhexylglycerin'
    """
    table = preservatives()
    ends: list[tuple[float, float]] = []
    names = []
    for x in worked.bought:
        row = table.get(x.ingredient.id) if x.ingredient is not None and x.pct > 0 else None
        if row is None or (row.ph_min is None and row.ph_max is None):
            continue
        ends.append((row.ph_min or 0.0, 14.0 if row.ph_max is None else row.ph_max))
        names.append(x.name.strip())
    if not ends:
        return None
    return max(e[0] for e in ends), min(e[1] for e in ends), ", ".join(dict.fromkeys(names))
