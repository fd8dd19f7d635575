"""From what the maker sees to ranked causes, each with the figure to look at in this formula."""

from __future__ import annotations

from dataclasses import astuple, dataclass, replace

import pandas as pd

from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.diagnosis._causes import ROWS, SYMPTOMS
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.library import Library

DIAGNOSIS_COLUMNS = {
    "rank": "1 is looked at first",
    "cause": "what may have gone wrong",
    "figure": "the one figure to look at",
    "value": "that figure in this formula, with its unit",
    "points": "whether the figure points at the cause",
    "test": "bench test",
    "mend": "what to do",
    "trade_off": "what the mend costs",
    "rule": "source key, or common practice, no source",
}
"""Columns of `Diagnosis.table` with their meaning; also the fields of `Cause`."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One possible cause.

    Parameters
    ----------
    rank : int
        1 is looked at first. [-]
    cause : str
        What may have gone wrong.
    figure : str
        The one figure to look at.
    value : str
        That figure in this formula, with its unit; says what is not known.
    points : bool
        Whether the figure points at the cause.
    test : str
        Bench test.
    mend : str
        What to do, with the computed amount where there is one.
    trade_off : str
        What the mend costs.
    rule : str
        Source key, or ``common practice, no source``.
    """

    rank: int
    cause: str
    figure: str
    value: str
    points: bool
    test: str
    mend: str
    trade_off: str
    rule: str


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Ranked causes of one symptom in one formula.

    Parameters
    ----------
    symptom : str
        As listed by `symptoms`.
    formula : str
        Name of the formula.
    causes : tuple of Cause
        Causes whose figure in this formula points at them come first, each group in the order of
        the trade (our convention); causes that cannot apply are left out.
    """

    symptom: str
    formula: str
    causes: tuple[Cause, ...]

    @property
    def table(self) -> pd.DataFrame:
        """The causes as a table; columns as in `DIAGNOSIS_COLUMNS`."""
        return pd.DataFrame([astuple(c) for c in self.causes], columns=list(DIAGNOSIS_COLUMNS))


def symptoms() -> tuple[str, ...]:
    """What a maker may see, in words.

    Returns
    -------
    tuple of str
        Each may be given to `diagnose`.

    Examples
    --------
    >>> "hard after days" in symptoms()
    True
    """
    return tuple(SYMPTOMS)


def diagnose(formula: Formula | Worked, *, symptom: str, library: Library | None = None) -> Diagnosis:
    """The causes that may stand behind a symptom, those first that this formula points at.

    Parameters
    ----------
    formula : Formula or Worked
        Whole or half-written; of a formula with portions the base is looked at.
    symptom : str
        One of `symptoms`; case and spacing are free.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Diagnosis
        Each cause with the figure in this formula, a bench test, the mend and its trade-off.

    Raises
    ------
    InvalidInput
        If there is no such symptom; the message lists them.

    Examples
    --------
    >>> from hlbcore.formula.lines import Line
    >>> f = Formula("Balm", "cleansing balm", (Line("sunflower oil", 80), Line("beeswax", 10),
    ...                                        Line("polysorbate 80", 10)))
    >>> first = diagnose(f, symptom="oil on top").causes[0]
    >>> first.cause, first.value
    ('it melted, it did not separate', '10 % of the fat base is hard; beeswax melts at 63.5 °C')
    """
    word = " ".join(str(symptom).casefold().split())
    if word not in SYMPTOMS:
        raise InvalidInput(
            f"symptom '{clipped(symptom)}'", "it is not known here", f"Use {', '.join(SYMPTOMS)}."
        )
    worked = work_out(formula, library)
    view = worked.of_base
    found = []
    for key in SYMPTOMS[word]:
        row = ROWS[key]
        seen = row.measure(view)
        if seen is not None:
            mend = f"{row.mend} {seen.mend}".strip()
            found.append(
                Cause(
                    0, row.cause, row.figure, seen.value, seen.points, row.test, mend, row.trade_off, row.rule
                )
            )
    found.sort(key=lambda c: not c.points)
    ranked = tuple(replace(c, rank=n) for n, c in enumerate(found, 1))
    return Diagnosis(word, worked.formula.name, ranked)
