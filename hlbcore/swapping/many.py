"""One swap over many formulas: which hold an ingredient, and what it does to each."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.judging import HLB
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import HlbError
from hlbcore.formula.formula import Formula
from hlbcore.library import Library, load_library
from hlbcore.swapping.exchange import Into
from hlbcore.swapping.results import NO_CHANGE, Swap
from hlbcore.swapping.swap import swap

STILL, SMALL, WORK, NO_WORD = "still inside", "small change", "needs work", "HLB has no say"
"""Results of one formula, in words."""

SMALL_MOST = 1.0
"""A change of the emulsifiers up to this is small: the sum without signs. [% of formula]
Our convention."""

MANY_COLUMNS = {
    "name": "of the formula",
    "result": "still inside, small change, needs work, or HLB has no say",
    "verdict_before": "word",
    "verdict_after": "word, with the emulsifiers of the first way",
    "required_before": "HLB; blank where there is none",
    "required_after": "HLB; blank where there is none",
    "changes": "emulsifiers that change, % of formula",
    "change_pct": "sum of the changes without their signs, % of formula",
    "told": "the first answer, or what stands in the way",
    "uid": "key of the formula",
}
"""Columns of `ManySwaps.table` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class OneOfMany:
    """What the swap does to one formula.

    Parameters
    ----------
    key : str
        Of the formula.
    name : str
        As people know it.
    before : Worked
        The formula as it was.
    swap : Swap or None
        None where it is not possible.
    told : str
        The first answer, or what stands in the way.
    """

    key: str
    name: str
    before: Worked
    swap: Swap | None
    told: str

    @property
    def after(self) -> Worked | None:
        """The formula after the swap, worked out."""
        return None if self.swap is None else work_out(self.swap.formula, self.before.library)

    @property
    def result(self) -> str:
        """Still inside, small change, needs work, or HLB has no say."""
        after = self.after
        if self.swap is None or after is None:
            return WORK
        if after.verdict.rule != HLB:
            return NO_WORD if after.verdict.says_yes or after.product.role != "governs" else WORK
        if not after.verdict.says_yes:
            return WORK
        if self.swap.chosen == NO_CHANGE:
            return STILL
        return SMALL if self.swap.option.change_pct <= SMALL_MOST + 1e-9 else WORK


@dataclass(frozen=True, slots=True)
class ManySwaps:
    """One swap over many formulas.

    Parameters
    ----------
    each : tuple of OneOfMany
        Those that hold what goes out, in the order given.
    """

    each: tuple[OneOfMany, ...]

    @property
    def table(self) -> pd.DataFrame:
        """One row a formula; columns as in `MANY_COLUMNS`."""

        def figure(worked: Worked | None) -> float:
            return math.nan if worked is None or worked.required is None else worked.required.value

        rows = []
        for one in self.each:
            option = None if one.swap is None else one.swap.option
            after = one.after
            rows.append(
                (
                    one.name,
                    one.result,
                    one.before.verdict.word,
                    "" if after is None else after.verdict.word,
                    figure(one.before),
                    figure(after),
                    "" if option is None else option.change_text,
                    math.nan if option is None else option.change_pct,
                    one.told,
                    one.key,
                )
            )
        made = pd.DataFrame(rows, columns=list(MANY_COLUMNS))
        return made.astype(dict.fromkeys(("required_before", "required_after", "change_pct"), float))


def holding(
    formulas: Mapping[str, Formula], name: str, library: Library | None = None
) -> dict[str, float | None]:
    """Which formulas hold an ingredient, by any of its names.

    Parameters
    ----------
    formulas : mapping of str to Formula
        By key.
    name : str
        Of the ingredient.

    Returns
    -------
    dict
        Key to amount, in the order given; None where the amount cannot be read. [% of formula]

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> holding({"mine": example_formula()}, "Butyrospermum Parkii Butter")
    {'mine': 5.0}
    """
    library = library or load_library()
    wanted = library.key(name)
    found: dict[str, float | None] = {}
    for key, formula in formulas.items():
        lines = [
            (x, pct)
            for x, pct in zip(formula.lines, formula.pcts, strict=True)
            if x.name.strip() and library.key(x.name) == wanted
        ]
        if lines:
            unread = any(x.amount.problem for x, _ in lines)
            found[key] = None if unread else math.fsum(pct for _, pct in lines)
    return found


def swap_many(
    formulas: Mapping[str, Formula],
    out: str,
    into: Into,
    *,
    names: Mapping[str, str] | None = None,
    objective: str = "least change",
    dose: str = "keep",
    library: Library | None = None,
) -> ManySwaps:
    """The same swap in every formula that holds what goes out.

    Parameters
    ----------
    formulas : mapping of str to Formula
        By key.
    out : str
        What goes out, all of it.
    into : str, sequence of str, or mapping of str to float, optional
        What comes in; nothing if left out. [parts]
    names : mapping of str to str, optional
        Key to name; the name of the formula if left out.
    objective, dose : str
        As `swap` takes them.

    Returns
    -------
    ManySwaps
        One entry a formula; where the swap is not possible the sentence that says why.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> made = swap_many({"mine": example_formula()}, "shea butter", "mango butter")
    >>> made.table["result"].tolist()
    ['still inside']
    """
    library = library or load_library()
    held = holding(formulas, out, library)
    each = []
    for key in held:
        formula = formulas[key]
        name = (names or {}).get(key) or formula.name.strip() or key
        before = work_out(formula, library)
        line = next(x.name for x in formula.lines if library.key(x.name) == library.key(out))
        try:
            made = swap(before, line, into, objective=objective, dose=dose)
        except HlbError as error:
            each.append(OneOfMany(key, name, before, None, str(error)))
            continue
        each.append(OneOfMany(key, name, before, made, made.answer))
    return ManySwaps(tuple(each))
