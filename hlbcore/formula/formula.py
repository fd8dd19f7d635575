"""The whole formula as typed: one frozen object, whole or half-written, always valid.

`Formula.problems` lists what is wrong with it, by line and by how much; nothing is normalised
unasked, and nothing that was typed is lost.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from hlbcore._numbers import adding_up, checked_text, same_unit
from hlbcore.errors import EmptyPhase, InvalidInput, clipped
from hlbcore.formula.aims import Aims
from hlbcore.formula.facts import NO_FACTS, Facts, FactTexts, facts_typed
from hlbcore.formula.fields import typed
from hlbcore.formula.lines import PHASES, Composite, Line, Portion, Problem
from hlbcore.formula.named import blends_text, portions_text, read_blends, read_portions
from hlbcore.formula.unread import read_texts
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.product_types import product_type as kind_named
from hlbcore.typed import Typed, in_full

TOTAL_OFF = 0.01
"""A formula adds to 100 within this. [% of formula]"""

DIGITS = 12
"""Digits of an amount that is computed and written into a line. [-]"""


@dataclass(frozen=True, slots=True, init=False)
class Formula:
    """A formula as typed, in per cent by mass of the whole.

    Parameters
    ----------
    name : str
        Its name; may be blank.
    product_type : str
        Name of the product type.
    lines : sequence of Line
        Oils, emulsifiers and the rest, in any order; on which side a line counts is found by
        counting.
    phases : sequence of str
        Names of the phases, in the order of work.
    portions : Typed, str or sequence of Portion
        Parts of the base with their own colour and fragrance, ``rose 50, plain 50``. [% of the base]
    blends : Typed, str or sequence of Composite
        Bought blends with their parts, one a line: ``house wax: cetearyl alcohol 80, ...``.
        [% of the blend]
    facts : Facts, mapping or sequence of pairs of str
        What checks may need beside the lines, by the names of `Facts`.
    aims : Aims
        What is asked of it.
    note : str
        Free text.

    Examples
    --------
    >>> f = Formula("Hand cream", "o/w cream",
    ...             [Line("water", 70, phase="water"), Line("olive oil", 25, phase="oil")])
    >>> f.total_pct, f.fill("water").total_pct
    (95.0, 100.0)
    """

    name: str
    product_type: str
    lines: tuple[Line, ...]
    phases: tuple[str, ...]
    portions: Typed[tuple[Portion, ...]]
    blends: Typed[tuple[Composite, ...]]
    facts: FactTexts
    aims: Aims
    note: str
    pcts: tuple[float, ...] = field(init=False, compare=False, repr=False)
    known_facts: Facts = field(init=False, compare=False, repr=False)
    found: tuple[Problem, ...] = field(init=False, compare=False, repr=False)

    def __init__(
        self,
        name: str = "",
        product_type: str = "o/w cream",
        lines: Iterable[Line] = (),
        phases: Sequence[str] = PHASES,
        portions: str | Iterable[Portion] | Typed[tuple[Portion, ...]] | None = None,
        blends: str | Iterable[Composite] | Typed[tuple[Composite, ...]] | None = None,
        facts: Facts | Mapping[str, str] | Sequence[tuple[str, str]] = NO_FACTS,
        aims: Aims | None = None,
        note: str = "",
    ) -> None:
        put = object.__setattr__
        put(self, "name", checked_text(name, "formula, name"))
        put(self, "product_type", kind_named(product_type).name)
        put(self, "lines", tuple(lines))
        if isinstance(phases, str):
            raise InvalidInput("phases", f"'{clipped(phases)}' is no list", "List them.")
        put(self, "phases", tuple(checked_text(p, "phases") for p in phases))
        put(self, "portions", typed(portions, read_portions, portions_text))  # type: ignore[arg-type]
        put(self, "blends", typed(blends, read_blends, blends_text))  # type: ignore[arg-type]
        put(self, "facts", facts_typed(facts))
        put(self, "aims", aims or Aims())
        put(self, "note", checked_text(note, "formula, note"))
        pcts, known, found = read_texts(
            self.lines, self.aims, self.facts, portions=self.portions.problem, blends=self.blends.problem
        )
        put(self, "pcts", pcts)
        put(self, "known_facts", known)
        put(self, "found", found)

    @property
    def portion_list(self) -> tuple[Portion, ...]:
        """The portions, as far as they can be read."""
        return self.portions.value or ()

    @property
    def blend_list(self) -> tuple[Composite, ...]:
        """The bought blends, as far as they can be read."""
        return self.blends.value or ()

    @property
    def counted_lines(self) -> frozenset[int]:
        """Numbers of the lines whose amount can be used, in this batch. [-]"""
        bad = {p.line for p in self.found if p.field == "amount"}
        return frozenset(n for n, x in enumerate(self.lines) if n not in bad and x.amount.value is not None)

    @property
    def total_pct(self) -> float:
        """Sum of the base. [% of formula]"""
        pairs = zip(self.lines, self.pcts, strict=True)
        return math.fsum(pct for line, pct in pairs if line.portion is None)

    def problems(self, library: Library | None = None) -> tuple[Problem, ...]:
        """What is wrong with the formula, by line, and by how much.

        Returns
        -------
        tuple of Problem
            Empty for a whole formula; batch sheet and declaration need that.

        Examples
        --------
        >>> f = Formula("x", "o/w cream", [Line("water", 98.7, phase="water")])
        >>> f.problems()[0].text
        'The formula adds to 98.7 %: 1.3 % is missing. Fill a line, or rescale.'
        """
        from hlbcore.formula.problems import problems_of

        return problems_of(self, library or load_library())

    def with_pct(self, changes: Mapping[int, float]) -> Formula:
        """The formula with other amounts in some of its lines.

        Parameters
        ----------
        changes : mapping of int to float
            New amounts by the number of the line. [% of formula]

        Returns
        -------
        Formula
            All else as typed.

        Examples
        --------
        >>> Formula(lines=[Line("olive oil", 20)]).with_pct({0: 12.5}).lines[0].amount.text
        '12.5'
        """
        lines = [
            x.with_amount(self.amount_text(changes[n])) if n in changes else x
            for n, x in enumerate(self.lines)
        ]
        return replace(self, lines=tuple(lines))

    def amount_text(self, pct: float) -> str:
        """An amount in % as the lines of this formula read it. [% of formula]"""
        return in_full(float(f"{pct:.{DIGITS}g}")) + ("" if self.aims.unit == "%" else " %")

    def fill(self, name: str, library: Library | None = None) -> Formula:
        """The formula with one line changed so that it adds to 100 %.

        Parameters
        ----------
        name : str
            The line, usually water.

        Raises
        ------
        InvalidInput
            If there is no such line, or it would be negative.
        """
        at = self.line_of(name, library or load_library())
        if at is None:
            raise InvalidInput(
                f"line '{clipped(name)}'", "it is not in the base", "Add it, or fill another line."
            )
        left = self.pcts[at] + 100 - self.total_pct
        if left < 0:
            raise InvalidInput(
                f"line '{clipped(name)}'", f"it would be {left:.4g} %", "Reduce other lines first."
            )
        return self.with_pct({at: left})

    def line_of(self, name: str, library: Library) -> int | None:
        """Number of the first line of the base with that ingredient; None where there is none."""
        key = library.key(name)
        held = (n for n, x in enumerate(self.lines) if x.portion is None and library.key(x.name) == key)
        return next(held, None)

    def rescaled(self, total: float = 100.0) -> Formula:
        """The formula with every line of the base in proportion, so that it adds to 100 %.

        Parameters
        ----------
        total : float
            What it shall add to. [% of formula]

        Returns
        -------
        Formula
            Lines of portions stay, since they are on top of 100 parts of base; so does an amount that
            cannot be read.

        Raises
        ------
        EmptyPhase
            If all amounts are 0.
        """
        now = self.total_pct
        if now <= 0:
            raise EmptyPhase("The formula", "Enter amounts first.")
        pairs = enumerate(zip(self.lines, self.pcts, strict=True))
        return self.with_pct({n: total * pct / now for n, (x, pct) in pairs if x.portion is None and pct > 0})

    def part(self, name: str) -> Formula:
        """One portion as a formula of its own: the base with what is added on top.

        Parameters
        ----------
        name : str
            Name of the portion.

        Returns
        -------
        Formula
            In per cent of the finished portion; it adds to 100 where the base does.

        Raises
        ------
        InvalidInput
            If there is no such portion.

        Examples
        --------
        >>> f = Formula("Lotion", "light o/w lotion",
        ...             [Line("sunflower oil", 100), Line("fragrance", 2, portion="rose")],
        ...             portions="rose 100")
        >>> round(f.part("rose").pcts[1], 3)
        1.961
        """
        if not any(fold(p.name) == fold(name) for p in self.portion_list):
            raise InvalidInput(f"portion '{clipped(name)}'", "there is none of that name", "Add it first.")
        pairs = list(zip(self.lines, self.pcts, strict=True))
        own = [(x, p) for x, p in pairs if x.portion is not None and fold(x.portion) == fold(name)]
        whole = 1 + math.fsum(p for _, p in own) / 100
        held = [(x, p) for x, p in pairs if x.portion is None]
        bare = [(replace(x, portion=None), p) for x, p in (*held, *own)]
        # what cannot be read stays as typed
        lines = tuple(x.with_amount(self.amount_text(p / whole)) if p > 0 else x for x, p in bare)
        return replace(self, name=f"{self.name}, {name}", lines=lines, portions=Typed())

    def finished(self) -> tuple[Formula, ...]:
        """Every product that leaves the bench: the portions, or the formula itself."""
        return tuple(self.part(p.name) for p in self.portion_list) or (self,)

    def check_size(self) -> None:
        """Refuse a formula that is too large to be worked with; InvalidInput names what is too long."""
        from hlbcore.formula.problems import check_size

        check_size(self)

    def to_json(self, *, compact: bool = False) -> str:
        """The formula as JSON with a schema version; InvalidInput if it is too large to be read again.

        Parameters
        ----------
        compact : bool
            On one line.
        """
        from hlbcore.formula.files import to_json

        return to_json(self, compact=compact)

    @classmethod
    def from_json(cls, text: str) -> Formula:
        """The formula from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`, by this version or an older one; fields that are missing take
            their default.

        Raises
        ------
        InvalidInput
            If it is no formula, one of a newer version, or too large.

        Examples
        --------
        >>> f = Formula("Balm", "cleansing balm", [Line("olive oil", 100, phase="oil")])
        >>> Formula.from_json(f.to_json()) == f
        True
        """
        from hlbcore.formula.files import from_json

        return from_json(text)

    def to_csv(self) -> str:
        """The lines as CSV text; no cell runs as a formula in a spreadsheet."""
        from hlbcore.formula.files import to_csv

        return to_csv(self)

    @classmethod
    def from_csv(cls, text: str, *, name: str, product: str) -> Formula:
        r"""A formula from CSV text.

        Parameters
        ----------
        text : str
            With the heading that `to_csv` writes; ingredient and pct are needed.
        name, product : str
            Name of the formula and of its product type.

        Raises
        ------
        InvalidInput
            With the number of the line; or if it is too large.

        Examples
        --------
        >>> f = Formula.from_csv("ingredient,pct,phase\nolive oil,20,oil\n", name="x",
        ...                      product="o/w cream")
        >>> f.pcts
        (20.0,)
        """
        from hlbcore.formula.files import from_csv

        return from_csv(text, name=name, product=product)

    @classmethod
    def from_masses(
        cls, masses: Mapping[str, float | str] | Sequence[tuple[str, float | str]], *, name: str, product: str
    ) -> tuple[Formula, tuple[str, ...]]:
        """A recipe by mass as a formula whose printed column adds to 100.00.

        Parameters
        ----------
        masses : mapping or sequence of pairs
            Names and masses. [g, or text with its unit]
        name, product : str
            Name of the formula and of its product type.

        Returns
        -------
        tuple
            The formula in % with two decimals, and the lines that were trimmed for the sum.

        Examples
        --------
        >>> f, trimmed = Formula.from_masses({"water": 1, "olive oil": 1, "beeswax": 1},
        ...                                  name="x", product="o/w cream")
        >>> f.pcts, trimmed
        ((33.34, 33.33, 33.33), ('water',))
        """
        pairs = list(masses.items()) if isinstance(masses, Mapping) else list(masses)
        amounts, _ = same_unit([(f"'{clipped(n)}'", m) for n, m in pairs])
        whole = max(amounts, default=0.0)
        if whole <= 0:
            raise EmptyPhase("The recipe", "Enter amounts first.")
        scaled = [a / whole for a in amounts]
        exact = [100 * s / math.fsum(scaled) for s in scaled]
        printed = adding_up(exact, 2)
        trimmed = tuple(n for (n, _), p, e in zip(pairs, printed, exact, strict=True) if p != round(e, 2))
        return cls(name, product, [Line(n, p) for (n, _), p in zip(pairs, printed, strict=True)]), trimmed
