"""Wishes for a whole list, such as PEG-free: the lines concerned, and what could come in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore.blending.candidates import mark
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.sheets.seen import see
from hlbcore.swapping.exchange import Exchange
from hlbcore.swapping.rebalance import base_view
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
    formula: Formula,
    wishes: str | Sequence[str],
    *,
    shelf: Sequence[str] | None = None,
    library: Library | None = None,
) -> tuple[Proposal, ...]:
    """The lines that a wish shuts out, each with ranked substitutes.

    Parameters
    ----------
    formula : Formula
        The formula.
    wishes : str or sequence of str
        Of `WISHES`, for example ``"PEG-free"`` or ``"no nut oils"``.
    shelf : sequence of str, optional
        Only these may come in; the whole table if left out.
    library : Library, optional
        The built-in tables if left out.

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
    library = library or load_library()
    barred = shut_out(wishes)
    names = [wishes] if isinstance(wishes, str) else list(wishes)
    found: dict[str, Proposal] = {}
    emulsion = base_view(formula, library).product.phase_emulsion
    blends = {fold(c.name): c for c in formula.composites}
    for line in formula.base:
        s = see(line, library)
        held = [s.ingredient] if s.ingredient else []
        if (blend := blends.get(fold(line.name))) is not None:
            held += [i for p in blend.parts if (i := library.ingredients.get(library.key(p.name)))]
        why = [i for i in held if barred(i)]
        if line.pct <= 0 or not why:
            continue
        table, pick = pd.DataFrame(), ""
        if s.ingredient is not None and s.is_fat:
            table = _ranked(line.name, s.is_emulsifier, emulsion, names, shelf, library)
            pick = _picked(table, s.is_whole_wax, library)
        key = library.key(line.name)
        before = found[key].pct if key in found else 0.0
        said = "; ".join(f"{i.common_name}: {'PEG-based' if i.peg_based else origin_notes(i)}" for i in why)
        found[key] = Proposal(line.name, before + line.pct, f"{', '.join(names)}: {said}", pick, table)
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
