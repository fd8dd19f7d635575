"""The draft of a list of ingredients, from a formula, for the US or the EU.

It is a draft: a qualified person checks it before it is printed. Rules stand in `declared_names`
(names), `declared_parts` (blends), `declared_whole` (what is refused), `declared_order` (order),
`declared_lists` (portions), `declared_allergens` (allergens) and `label` (what else a label owes).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import pandas as pd

from hlbcore._numbers import checked_word
from hlbcore.batch.declared_lists import Drafting, IngredientList
from hlbcore.batch.declared_names import checked_market
from hlbcore.batch.declared_whole import check_whole
from hlbcore.batch.label import LabelItem, LabelWords, label_items
from hlbcore.batch.record import BatchRecord
from hlbcore.blending.worked import Worked
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.formula import Formula
from hlbcore.library import Library, load_library
from hlbcore.limits import check_count

PORTIONS = ("apart", "together", "shades")
"""Portions of a formula: a list each; one list for an assortment in one package; shades of one product."""

NAMES_OF_MARKETS = {"us": "US", "eu": "EU"}

CHECKED = "This is a draft: a qualified person checks it, and the current text of the law decides."

COLUMNS = ("product", "ingredient", "pct", "low_pct", "high_pct", "group", "tie", "allergen", "from_lines")
"""Columns of `Declaration.table`; amounts in % of formula."""


@dataclass(frozen=True, slots=True)
class Declaration:
    """The draft of a list of ingredients, with what is open.

    Parameters
    ----------
    formula : Formula
        What it was drafted from.
    market : str
        ``"us"`` or ``"eu"``.
    lists : tuple of IngredientList
        One a product.
    open_points : tuple of str
        What is to be found out before it is printed, a sentence each.
    notes : tuple of str
        What is worth knowing of it.
    items : tuple of LabelItem
        What the label owes beside it.
    """

    formula: Formula
    market: str
    lists: tuple[IngredientList, ...]
    open_points: tuple[str, ...]
    notes: tuple[str, ...]
    items: tuple[LabelItem, ...]

    @property
    def ingredients(self) -> str:
        """The list alone, to copy; of several products one a line, with its name."""
        texts = [(held.name, held.text(self.market)) for held in self.lists]
        return "\n".join(f"{name}: {text}" if name else text for name, text in texts)

    @property
    def names(self) -> tuple[str, ...]:
        """All names of the first list, in order."""
        return tuple(e.name for e in self.lists[0].entries)

    @property
    def blanks(self) -> tuple[LabelItem, ...]:
        """What the law asks for on the label and is not filled in."""
        return tuple(i for i in self.items if i.is_open and i.must)

    @property
    def status(self) -> str:
        """How far the draft is, in one line without the name of an ingredient."""
        left = (_counted(len(self.open_points), "open point"), _counted(len(self.blanks), "blank"))
        held = " and ".join(filter(None, left))
        return f"DRAFT for the {NAMES_OF_MARKETS[self.market]}" + (f" with {held}." if held else ".")

    @property
    def text(self) -> str:
        """The draft as text: how far it is, the list in order, what else the label owes."""
        lists = []
        for held in self.lists:
            head = f"{held.name}\n" if held.name else ""
            lists.append(f"{head}Ingredients: {held.text(self.market)}")
        return "\n\n".join((self.status, *lists, "\n".join(i.line for i in self.items), CHECKED)) + "\n"

    @property
    def may_be_left_out(self) -> tuple[str, ...]:
        """Names that the US list may leave out if they are insignificant and do nothing here."""
        if self.market != "us":
            return ()
        return tuple(dict.fromkeys(e.name for held in self.lists for e in held.entries if e.carried))

    @property
    def table(self) -> pd.DataFrame:
        """A row a name: product, ingredient, pct, low_pct, high_pct, group, tie, allergen, from_lines."""
        rows = []
        for held in self.lists:
            kept = [(held.name, e) for e in held.entries]
            kept += [(product, e) for product, more in held.apart for e in more]
            rows += [
                (name, e.name, e.pct, e.low, e.high, e.group, e.tie, e.allergen, ", ".join(e.lines))
                for name, e in kept
            ]
        return pd.DataFrame(rows, columns=list(COLUMNS))


def _counted(n: int, word: str) -> str:
    return "" if n == 0 else f"{n} {word}" + ("" if n == 1 else "s")


def declare(
    formula: Formula | Worked | BatchRecord,
    market: str = "us",
    *,
    portions: str = "apart",
    may_contain: Sequence[str] = (),
    leave_out: Sequence[str] = (),
    words: LabelWords | None = None,
    library: Library | None = None,
) -> Declaration:
    """The draft of a list of ingredients, and of what else a label owes.

    Parameters
    ----------
    formula : Formula, Worked or BatchRecord
        Whole: it adds to 100 %, every line has a name and an amount. A closed record counts as
        weighed.
    market : str
        ``"us"`` or ``"eu"``.
    portions : str
        ``"apart"``: a list each; ``"together"``: an assortment in one package; ``"shades"``: they
        differ by colours alone.
    may_contain : sequence of str
        Colours that are added from batch to batch to match the shade.
    leave_out : sequence of str
        US: names that came within a bought material and are insignificant, without function.
    words : LabelWords, optional
        What is filled in of the rest of the label.
    library : Library, optional
        The built-in tables if left out.

    Returns
    -------
    Declaration
        Names in order, each once; open points say what is not settled.

    Raises
    ------
    InvalidInput
        For a formula that is not whole, a record that is still open, a market or a choice that is not
        known.

    Notes
    -----
    21 CFR 701.3 (`cfr_701_3`) and Reg. (EC) 1223/2009 Art. 19(1)(g) (`eu_1223_2009`).

    Examples
    --------
    >>> from hlbcore import Formula, Line
    >>> f = Formula("Cream", "o/w cream", [Line("water", 72), Line("shea butter", 20),
    ...     Line("emulsifying wax", 6), Line("cetearyl alcohol", 2)],
    ...     blends="emulsifying wax: cetearyl alcohol 80, polysorbate 60 20")
    >>> declare(f, "eu").ingredients
    'Aqua, Butyrospermum Parkii Butter, Cetearyl Alcohol, Polysorbate 60'
    """
    place = checked_market(market)
    held = formula.made if isinstance(formula, Worked) else formula
    if isinstance(held, BatchRecord):
        if not (words and words.batch.strip()):
            words = replace(words or LabelWords(), batch=held.number)
        held = weighed_in(held, place)
    if not isinstance(held, Formula):
        raise InvalidInput("label draft", f"a {type(formula).__name__} is no formula", "Give a Formula.")
    tables = library or (formula.library if isinstance(formula, Worked) else load_library())
    how = checked_word(portions, PORTIONS, "portions")
    check_count(may_contain, "may contain")
    check_whole(held)
    drafting = Drafting(held, place, tables, tuple(leave_out))
    lists = drafting.lists(how)
    if may_contain:
        lists = tuple(drafting.shaded(x, may_contain) for x in lists)
    return Declaration(
        held,
        place,
        lists,
        tuple(dict.fromkeys(drafting.open_points)),
        tuple(dict.fromkeys(drafting.notes)),
        label_items(place, words),
    )


def weighed_in(record: BatchRecord, market: str) -> Formula:
    """The formula of a closed record as a label counts it.

    Parameters
    ----------
    record : BatchRecord
        Closed.
    market : str
        US: what is in the jar; EU: weight when added, so water that heating drove off counts; 21 CFR
        701.3(a), Art. 19(1)(g).

    Returns
    -------
    Formula
        As weighed.

    Raises
    ------
    InvalidInput
        While the record is open.
    """
    if record.closed is None:
        raise InvalidInput(
            f"batch record '{clipped(record.number)}'",
            "it is not closed: what was weighed may still change",
            "Close it first, or draft the label from the formula.",
        )
    made = record.as_weighed
    lost, water = record.lost_g, record.water_line
    if market == "us" or lost <= 0 or water is None:
        return made
    kept = record.total_g - lost
    return made.with_pct({water: made.pcts[water] + 100 * lost / kept}).rescaled()
