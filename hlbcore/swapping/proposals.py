"""Wishes for a whole list, such as PEG-free: the lines concerned, and what could come in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.marks import mark
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.library import Library
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.substitutes import origin_notes, rank_substitutes, shut_out

PICKS = 8
"""Substitutes listed for each line that a wish shuts out. [-] Our convention."""


@dataclass(frozen=True, slots=True, eq=False)
class Proposal:
    """A line that a wish shuts out, with what could stand in its place.

    Parameters
    ----------
    line : str
        The line as written.
    pct : float
        Its amount. [% of formula]
    reason : str
        Why it is shut out.
    pick : str
        The first substitute that is plain and has a figure; blank where there is none.
    table : DataFrame
        Substitutes, as `rank_substitutes` gives them.
    """

    line: str
    pct: float
    reason: str
    pick: str
    table: pd.DataFrame

    @property
    def exchange(self) -> Exchange:
        """The swap of the line for the pick.

        Raises
        ------
        InvalidInput
            If nothing was found to pick.
        """
        if not self.pick:
            raise InvalidInput(
                f"'{clipped(self.line)}'",
                "no substitute with a figure was found",
                "Name one yourself, or remove the line.",
            )
        return Exchange(self.line, ((self.pick, 1.0),))


def propose(
    formula: Formula | Worked,
    wishes: str | Sequence[str],
    *,
    shelf: Sequence[str] | None = None,
    library: Library | None = None,
) -> tuple[Proposal, ...]:
    """The lines that a wish shuts out, each with ranked substitutes.

    Parameters
    ----------
    formula : Formula or Worked
        The formula.
    wishes : str or sequence of str
        Of `WISHES`, for example ``"PEG-free"`` or ``"no nut oils"``.
    shelf : sequence of str, optional
        Only these may come in; the whole table if left out.

    Returns
    -------
    tuple of Proposal
        In the order of the lines; empty where nothing is concerned. Names that nobody knows cannot
        be judged and are not listed; a bought blend is judged by its parts.

    Raises
    ------
    InvalidInput
        For a wish that there is not.

    Examples
    --------
    >>> from hlbcore import example_formula
    >>> [p.line for p in propose(example_formula(), "PEG-free")]
    ['polysorbate 60']
    """
    worked = work_out(formula, library)
    library = worked.library
    barred = shut_out(wishes)
    names = [wishes] if isinstance(wishes, str) else list(wishes)
    found: dict[str, Proposal] = {}
    for x in worked.bought:
        if x.line.portion is not None or x.pct <= 0:
            continue
        parts = [y.ingredient for y in worked.lines if y.number == x.number]
        why = [i for i in dict.fromkeys((x.ingredient, *parts)) if i is not None and barred(i)]
        if not why:
            continue
        table, pick = pd.DataFrame(), ""
        if x.ingredient is not None and x.is_fat:
            emulsion = worked.product.phase_emulsion
            table = _ranked(x.name, x.is_emulsifier, emulsion, names, shelf, library)
            pick = _picked(table, x.is_whole_wax, library)
        before = found[x.key].pct if x.key in found else 0.0
        said = "; ".join(f"{i.common_name}: {'PEG-based' if i.peg_based else origin_notes(i)}" for i in why)
        found[x.key] = Proposal(x.name, before + x.pct, f"{', '.join(names)}: {said}", pick, table)
    return tuple(found.values())


def _ranked(
    name: str,
    is_emulsifier: bool,
    emulsion: str,
    wishes: Sequence[str],
    shelf: Sequence[str] | None,
    library: Library,
) -> pd.DataFrame:
    try:
        return rank_substitutes(
            name,
            side="emulsifier" if is_emulsifier else "oil",
            emulsion=emulsion,
            wishes=wishes,
            among=shelf,
            top=PICKS,
            library=library,
        )
    except EmptyPhase:
        return pd.DataFrame()


def _picked(table: pd.DataFrame, is_wax: bool, library: Library) -> str:
    if table.empty:
        return ""
    if is_wax:  # a ready wax for a ready wax: neither has a figure
        return str(table["ingredient"].iloc[0])
    with_figure = table[table["hlb"].notna()]
    for name in with_figure["ingredient"]:
        if not mark(library.find(str(name))):
            return str(name)
    return str(with_figure["ingredient"].iloc[0]) if len(with_figure) else ""
