"""A working as an object, and the steps that several workings share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.results import Blend
from hlbcore.errors import clipped
from hlbcore.estimate import Estimate, Mixture

STEP_COLUMNS = {
    "step": "number from 1",
    "text": "what is done",
    "formula": "in letters",
    "with_numbers": "the same with the numbers put in",
    "result": "in the unit of the last column; blank where a step is words only",
    "unit": "unit of the result",
}
"""Columns of `Working.table` with meaning."""


_NOTHING = 1e-9  # what a rounding error of the sums may leave


def figure(value: float) -> str:
    """A number as a working prints it: four decimals at most, no zeros at the end.

    Parameters
    ----------
    value : float
        Any number. [any]

    Returns
    -------
    str
        The text.

    Examples
    --------
    >>> figure(7.0), figure(12.0271), figure(1 / 3)
    ('7', '12.0271', '0.3333')
    """
    if abs(value) < _NOTHING:
        return "0"
    if not 0.001 <= abs(value) < 1e6:
        return f"{value:.4g}"
    text = f"{value:.4f}"
    return text.rstrip("0").rstrip(".")


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a working.

    Parameters
    ----------
    text : str
        What is done.
    formula : str
        The rule in letters.
    with_numbers : str
        The same with the numbers put in.
    result : float or None
        What comes out; None where the step is words only. [in `unit`]
    unit : str
        Unit of the result.
    """

    text: str
    formula: str = ""
    with_numbers: str = ""
    result: float | None = None
    unit: str = ""

    @property
    def sum(self) -> str:
        """What is worked out and what comes of it; blank where the step is words only."""
        if self.result is None:
            return ""
        return f"{self.with_numbers} = {' '.join(filter(None, (figure(self.result), self.unit)))}"

    @property
    def line(self) -> str:
        """The step as one line of text."""
        return f"{self.text}: {self.sum}" if self.sum else self.text


@dataclass(frozen=True, slots=True)
class Working:
    """A result as steps.

    Parameters
    ----------
    title : str
        What is worked out.
    steps : tuple of Step
        In order.
    remarks : tuple of str
        What was left out, and how far the result goes.
    lesson : str
        Key of the lesson that explains it; blank where none does.
    """

    title: str
    steps: tuple[Step, ...]
    remarks: tuple[str, ...] = ()
    lesson: str = ""

    @property
    def text(self) -> str:
        """Title, numbered steps and remarks, one a line."""
        numbered = [f"{n}. {step.line}" for n, step in enumerate(self.steps, 1)]
        return "\n".join([self.title, *numbered, *self.remarks])

    @property
    def table(self) -> pd.DataFrame:
        """One row a step; columns as in `STEP_COLUMNS`."""
        return pd.DataFrame(
            [
                (n, s.text, s.formula, s.with_numbers, math.nan if s.result is None else s.result, s.unit)
                for n, s in enumerate(self.steps, 1)
            ],
            columns=list(STEP_COLUMNS),
        )


def left_side(text: str) -> str:
    """What a result's own `working` says before its last equals sign."""
    return text.rpartition(" = ")[0]


def sum_text(fractions: Sequence[float], values: Sequence[float]) -> str:
    """A sum of shares times figures, with the numbers put in."""
    terms = zip(fractions, values, strict=True)
    return " + ".join(f"{figure(f)} × {figure(v)}" for f, v in terms)


def mass_sum(masses: Sequence[float], values: Sequence[float]) -> str:
    """A mean weighted by masses, with the numbers put in."""
    used = [(m, v) for m, v in zip(masses, values, strict=True) if m > 0]
    above = " + ".join(f"{figure(m)} × {figure(v)}" for m, v in used)
    return f"({above}) / ({' + '.join(figure(m) for m, _ in used)})"


def range_steps(mixture: Mixture, total: Estimate) -> list[Step]:
    """The ends of the range: the same sum with the ends of every figure."""
    if not total.spread:
        return []
    return [
        Step(
            f"The same sum with the {end} end of every figure",
            f"sum(share × {end} end)",
            sum_text(mixture.fractions, [getattr(p, end) for p in mixture.parts]),
            getattr(total, end),
            "HLB",
        )
        for end in ("low", "high")
    ]


def split_steps(blend: Blend) -> list[Step]:
    """The split of a pair, from `Blend.split_working`; empty where there is none."""
    text = blend.split_working
    if not text:
        return []
    first, second = (n for n, m in enumerate(blend.masses) if m > 0)
    fractions = blend.mixture.fractions
    expression = text.removeprefix(f"{blend.labels[second]}: ").partition(" = ")[0]
    return [
        Step(
            f"Share of {clipped(blend.labels[second])}: the way from "
            f"{clipped(blend.labels[first])} to the HLB wanted, over the whole way",
            "(H - h1) / (h2 - h1)",
            expression,
            fractions[second],
            "of the blend",
        ),
        Step(
            f"{clipped(blend.labels[first])} is the rest",
            "1 - share",
            f"1 - {figure(fractions[second])}",
            fractions[first],
            "of the blend",
        ),
    ]
