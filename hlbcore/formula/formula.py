"""The whole formula as one object: lines, phases, portions, composites; JSON and CSV form.

A half-written formula is a valid object: any finite amounts from 0 up, a total that is not 100,
names that nobody knows. `Formula.problems` lists what is wrong; nothing is normalised unasked.
"""

from __future__ import annotations

import csv
import io
import itertools
import json
import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, fields, replace
from typing import Any

from hlbcore._numbers import adding_up, checked, checked_text, same_unit
from hlbcore.blending.verdict import SupplierRate
from hlbcore.cells import bare_cell, safe_cell
from hlbcore.errors import EmptyPhase, HlbError, InvalidInput, UnknownIngredient, clipped
from hlbcore.estimate import Estimate
from hlbcore.formula.lines import PHASES, Composite, Facts, Line, Portion, Problem
from hlbcore.ingredients import fold
from hlbcore.library import Library, load_library
from hlbcore.limits import (
    FILE_MOST,
    FORMULA_LINES_MOST,
    JARS_LINES_MOST,
    PARTS_MOST,
    PORTIONS_MOST,
    TEXT_MOST,
    check_count,
    check_length,
)
from hlbcore.product_types import product_type

SCHEMA, VERSION = "hlbcore formula", 1
TOTAL_OFF = 0.01
"""A formula adds to 100 within this. [% of formula]"""


NO_FACTS = Facts()
"""Nothing known beside the lines."""


@dataclass(frozen=True, slots=True)
class Formula:
    """A formula in per cent by mass of the whole.

    Parameters
    ----------
    name : str
        Its name.
    product_type : str
        Name of the product type.
    lines : tuple of Line
        In any order.
    phases : tuple of str
        Names of the phases, in the order of work.
    portions : tuple of Portion
        Parts of the base with their own colour and fragrance.
    composites : tuple of Composite
        Bought blends with their parts.
    facts : Facts
        What checks may need beside the lines.
    note : str
        Free text.

    Examples
    --------
    >>> f = Formula("Hand cream", "o/w cream",
    ...             (Line("water", 70, phase="water"), Line("olive oil", 25, phase="oil")))
    >>> f.total_pct, f.fill("water").total_pct
    (95.0, 100.0)
    """

    name: str
    product_type: str
    lines: tuple[Line, ...] = ()
    phases: tuple[str, ...] = PHASES
    portions: tuple[Portion, ...] = ()
    composites: tuple[Composite, ...] = ()
    facts: Facts = NO_FACTS
    note: str = ""

    def __post_init__(self) -> None:
        for name in ("name", "note"):
            checked_text(getattr(self, name), f"formula, {name}")
        if isinstance(self.phases, str):
            raise InvalidInput("phases", f"'{clipped(self.phases)}' is no list", "List them.")
        for phase in self.phases:
            checked_text(phase, "phases")
        for name in ("lines", "phases", "portions", "composites"):
            object.__setattr__(self, name, tuple(getattr(self, name)))
        object.__setattr__(self, "product_type", product_type(self.product_type).name)

    @property
    def base(self) -> tuple[Line, ...]:
        """The lines of the base, without what single portions get."""
        return tuple(line for line in self.lines if line.portion is None)

    @property
    def total_pct(self) -> float:
        """Sum of the base. [% of formula]"""
        return math.fsum(line.pct for line in self.base)

    def problems(self, library: Library | None = None) -> tuple[Problem, ...]:
        """What is wrong with the formula, by line, and by how much.

        Parameters
        ----------
        library : Library, optional
            The built-in tables if left out.

        Returns
        -------
        tuple of Problem
            Empty for a whole formula; batch sheet and declaration need that.

        Examples
        --------
        >>> f = Formula("x", "o/w cream", (Line("water", 98.7, phase="water"),))
        >>> f.problems()[0].text
        'The formula adds to 98.7 %: 1.3 % is missing. Fill a line, or rescale.'
        """
        library = library or load_library()
        found = []
        off = self.total_pct - 100
        if abs(off) > TOTAL_OFF:
            word = "too much" if off > 0 else "missing"
            found.append(
                Problem(
                    None,
                    f"The formula adds to {self.total_pct:.6g} %: {abs(off):.4g} % is {word}. "
                    "Fill a line, or rescale.",
                )
            )
        blends = {fold(c.name) for c in self.composites}
        parts = {fold(p.name) for p in self.portions}
        seen: dict[tuple[str, str, str], int] = {}
        for n, line in enumerate(self.lines):
            key = library.key(line.name)
            if not key:
                found.append(Problem(n, f"Line {n + 1} has no name. Name it, or delete it."))
                continue
            known = key in library.ingredients or fold(line.name) in blends
            if not known and line.own is None:
                found.append(Problem(n, str(_unknown(line.name, library))))
            if line.phase not in self.phases:
                found.append(
                    Problem(
                        n,
                        f"'{clipped(line.name)}': phase '{clipped(line.phase)}' is not one of "
                        f"{', '.join(self.phases)}. Choose one, or add it to the phases.",
                    )
                )
            if line.portion is not None and fold(line.portion) not in parts:
                found.append(
                    Problem(
                        n,
                        f"'{clipped(line.name)}': there is no portion '{clipped(line.portion)}'. "
                        "Add it, or move the line to the base.",
                    )
                )
            place = (key, line.phase, line.portion or "")
            if place in seen:
                found.append(
                    Problem(
                        n,
                        f"'{clipped(line.name)}' stands again in the same phase, also in line "
                        f"{seen[place] + 1}. Put the two together.",
                    )
                )
            seen.setdefault(place, n)
        parted = Counter(fold(p.name) for p in self.portions)
        for portion in {fold(p.name): p for p in self.portions}.values():
            if (times := parted[fold(portion.name)]) > 1:
                found.append(
                    Problem(
                        None,
                        f"{times} portions are named '{clipped(portion.name)}'. "
                        "Give each a name of its own, or put them together.",
                    )
                )
        shares = math.fsum(p.share_pct for p in self.portions)
        if self.portions and abs(shares - 100) > TOTAL_OFF:
            found.append(Problem(None, f"The portions add to {shares:.6g} % of the base, not 100 %."))
        for blend in self.composites:
            whole = math.fsum(p.pct for p in blend.parts)
            if abs(whole - 100) > 0.5:
                found.append(
                    Problem(
                        None,
                        f"The parts of '{clipped(blend.name)}' add to {whole:.6g} %, not 100 %. "
                        "Mend the parts; what is missing counts nowhere.",
                    )
                )
        return tuple(found)

    def fill(self, name: str) -> Formula:
        """The formula with one line changed so that it adds to 100 %.

        Parameters
        ----------
        name : str
            The line, usually water.

        Returns
        -------
        Formula
            With that line filled.

        Raises
        ------
        InvalidInput
            If there is no such line, or it would be negative.
        """
        at = next((n for n, x in enumerate(self.lines) if x.portion is None and _same(x.name, name)), None)
        if at is None:
            raise InvalidInput(
                f"line '{clipped(name)}'", "it is not in the base", "Add it, or fill another line."
            )
        left = self.lines[at].pct + 100 - self.total_pct
        if left < 0:
            raise InvalidInput(
                f"line '{clipped(name)}'", f"it would be {left:.4g} %", "Reduce other lines first."
            )
        changed = replace(self.lines[at], pct=left)
        return replace(self, lines=(*self.lines[:at], changed, *self.lines[at + 1 :]))

    def rescaled(self) -> Formula:
        """The formula with every line of the base in proportion, so that it adds to 100 %.

        Returns
        -------
        Formula
            Lines of portions stay, since they are on top of 100 parts of base.

        Raises
        ------
        EmptyPhase
            If all amounts are 0.
        """
        total = self.total_pct
        if total <= 0:
            raise EmptyPhase("The formula", "Enter amounts first.")
        return replace(
            self,
            lines=tuple(replace(x, pct=100 * x.pct / total) if x.portion is None else x for x in self.lines),
        )

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
        >>> f = Formula("Scrub", "wash-off scrub",
        ...             (Line("sunflower oil", 100), Line("fragrance", 2, portion="rose")),
        ...             portions=(Portion("rose", 100),))
        >>> round(f.part("rose").lines[1].pct, 3)
        1.961
        """
        if not any(fold(p.name) == fold(name) for p in self.portions):
            raise InvalidInput(f"portion '{clipped(name)}'", "there is none of that name", "Add it first.")
        own = [x for x in self.lines if x.portion is not None and fold(x.portion) == fold(name)]
        whole = 1 + math.fsum(x.pct for x in own) / 100
        lines = tuple(replace(x, pct=x.pct / whole, portion=None) for x in (*self.base, *own))
        return replace(self, name=f"{self.name}, {name}", lines=lines, portions=())

    def finished(self) -> tuple[Formula, ...]:
        """Every product that leaves the bench: the portions, or the formula itself."""
        return tuple(self.part(p.name) for p in self.portions) or (self,)

    def expanded(self) -> Formula:
        """The formula with every bought blend split into its parts.

        Returns
        -------
        Formula
            A part stands in the phase of its blend; amounts are those of the parts.
        """
        blends = {fold(c.name): c for c in self.composites}
        lines: list[Line] = []
        for line in self.lines:
            blend = blends.get(fold(line.name))
            if blend is None:
                lines.append(line)
                continue
            lines += [
                replace(line, name=p.name, pct=line.pct * p.pct / 100, note=f"part of {line.name}")
                for p in blend.parts
            ]
        return replace(self, lines=tuple(lines), composites=())

    def check_size(self) -> None:
        """Refuse a formula that is too large to be worked with.

        Raises
        ------
        InvalidInput
            Naming the list or the text that is too long.
        """
        allergens = self.facts.fragrance_allergens
        check_count(self.lines, "formula, lines", FORMULA_LINES_MOST)
        check_count(self.phases, "formula, phases")
        check_count(self.portions, "formula, portions", PORTIONS_MOST)
        check_count(self.composites, "formula, bought blends")
        check_count(allergens, "formula, allergens")
        texts = [self.name, *self.phases, *(n for n, _ in allergens)]
        texts += [p.name for p in self.portions]
        for blend in self.composites:
            check_count(blend.parts, f"formula, parts of '{clipped(blend.name)}'", PARTS_MOST)
            texts += [blend.name, *(p.name for p in blend.parts)]
        for x in self.lines:
            texts += [x.name, x.phase, x.note, x.portion or ""]
        for text in texts:
            check_length(text, f"formula, '{clipped(text)}'")
        check_length(self.note, "formula, note", TEXT_MOST)
        self.check_parts()

    def check_parts(self) -> None:
        """Refuse bought blends that make too many lines, each counted in every portion.

        Raises
        ------
        InvalidInput
            If there are more than 12,000.
        """
        parts = {fold(c.name): len(c.parts) for c in self.composites}
        lines = sum(parts.get(fold(x.name), 1) for x in self.lines)
        if self.composites and lines * max(len(self.portions), 1) > JARS_LINES_MOST:
            raise InvalidInput(
                "bought blends",
                f"with all parts in all portions there are more than {JARS_LINES_MOST:,} lines",
                "Leave out lines, parts or portions.",
            )

    def to_json(self) -> str:
        """The formula as text, with a schema version.

        Returns
        -------
        str
            JSON; the form is written down in DEVELOPERS.md.
        """
        return json.dumps(
            {"schema": SCHEMA, "version": VERSION, **asdict(self)}, ensure_ascii=False, indent=1
        )

    @classmethod
    def from_json(cls, text: str) -> Formula:
        """The formula from its text.

        Parameters
        ----------
        text : str
            As written by `to_json`, by this version or an older one.

        Returns
        -------
        Formula
            Fields that are missing take their default.

        Raises
        ------
        InvalidInput
            If it is no formula, one of a newer version, or too large.

        Examples
        --------
        >>> f = Formula("Balm", "cleansing balm", (Line("olive oil", 100, phase="oil"),))
        >>> Formula.from_json(f.to_json()) == f
        True
        """
        check_length(text, "formula", FILE_MOST)
        try:
            raw = json.loads(text)
            json.dumps(raw, ensure_ascii=False).encode()  # half a sign could never be written again
            if raw.pop("schema") != SCHEMA:
                raise ValueError("it is another kind of file")
            version = int(raw.pop("version"))
            if version > VERSION:
                raise ValueError(f"it was written by a newer version ({version} after {VERSION})")
            lines = tuple(Line(**_line(x)) for x in raw.pop("lines", ()))
            portions = tuple(Portion(**_known(Portion, x)) for x in raw.pop("portions", ()))
            blends = tuple(Composite.from_dict(x) for x in raw.pop("composites", ()))
            facts = _known(Facts, raw.pop("facts", {}))
            facts["fragrance_allergens"] = tuple((n, p) for n, p in facts.get("fragrance_allergens", ()))
            rest: dict[str, Any] = _known(cls, raw)
            made = cls(**rest, lines=lines, portions=portions, composites=blends, facts=Facts(**facts))
            made.check_size()
            return made
        except HlbError:
            raise
        except (ValueError, TypeError, KeyError, AttributeError, RecursionError, OverflowError) as error:
            raise InvalidInput(
                "formula", f"it cannot be read: {clipped(error, 120)}", "Choose a file that this tool wrote."
            ) from None

    def to_csv(self) -> str:
        """The lines as CSV text; no cell runs as a formula in a spreadsheet.

        Returns
        -------
        str
            Columns phase, ingredient, pct, role, active_pct, portion, note.
        """
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow(CSV_COLUMNS)
        for x in self.lines:
            texts = (x.phase, x.name, x.pct, x.role, x.active_pct, x.portion or "", x.note)
            writer.writerow([safe_cell(t) for t in texts])
        return out.getvalue()

    @classmethod
    def from_csv(cls, text: str, *, name: str, product: str) -> Formula:
        r"""A formula from CSV text.

        Parameters
        ----------
        text : str
            With the heading that `to_csv` writes; phase, ingredient and pct are needed.
        name, product : str
            Name of the formula and of its product type.

        Returns
        -------
        Formula
            Its lines in the order of the file.

        Raises
        ------
        InvalidInput
            With the number of the line; or if it is too large.

        Examples
        --------
        >>> f = Formula.from_csv("ingredient,pct,phase\nolive oil,20,oil\n", name="x",
        ...                      product="o/w cream")
        >>> f.lines[0].pct
        20.0
        """
        check_length(text, "CSV", FILE_MOST)
        reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff")))
        try:
            missing = {"ingredient", "pct"} - set(reader.fieldnames or ())
        except csv.Error as error:
            raise InvalidInput("CSV", f"it cannot be read: {error}", "Save it again.") from None
        if missing:
            raise InvalidInput(
                "CSV",
                f"the column {sorted(missing)[0]} is missing",
                f"Write the heading {','.join(CSV_COLUMNS)}.",
            )
        lines = []
        try:
            for row in itertools.islice(reader, FORMULA_LINES_MOST + 1):
                cells = {k: bare_cell(v or "") for k, v in row.items() if k in CSV_COLUMNS}
                try:
                    lines.append(
                        Line(
                            cells["ingredient"],
                            checked(cells["pct"], "pct"),
                            phase=cells.get("phase", ""),
                            role=cells.get("role") or "auto",
                            active_pct=checked(cells.get("active_pct") or "100", "active_pct"),
                            portion=cells.get("portion") or None,
                            note=cells.get("note", ""),
                        )
                    )
                except HlbError as error:
                    raise InvalidInput(
                        f"CSV, line {reader.line_num}", str(error).rstrip("."), "Mend that line."
                    ) from None
        except csv.Error as error:
            raise InvalidInput("CSV", f"it cannot be read: {error}", "Save it again.") from None
        made = cls(name, product, tuple(lines))
        made.check_size()
        return made

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
        >>> [line.pct for line in f.lines], trimmed
        ([33.34, 33.33, 33.33], ('water',))
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
        lines = tuple(Line(n, p) for (n, _), p in zip(pairs, printed, strict=True))
        return cls(name, product, lines), trimmed


CSV_COLUMNS = ("phase", "ingredient", "pct", "role", "active_pct", "portion", "note")
"""Columns of the CSV form."""


def _same(first: str, second: str) -> bool:
    library = load_library()
    return library.key(first) == library.key(second)


def _unknown(name: str, library: Library) -> UnknownIngredient:
    try:
        library.find(name)
    except UnknownIngredient as error:
        return error
    raise AssertionError(name)  # only called for names that are not known


def _line(raw: Mapping[str, Any]) -> dict[str, Any]:
    line = _known(Line, raw)
    if (rate := line.pop("supplier", None)) is not None:
        line["supplier"] = SupplierRate(**_known(SupplierRate, rate))
    own = line.pop("own", None)
    if own is None:
        return line
    held = _known(Estimate, own)
    held["sources"] = tuple(map(str, held.get("sources", ())))
    held["grade"] = str(held.get("grade", "own"))
    held["alternatives"] = tuple(checked(v, "reading") for v in held.get("alternatives", ()))
    return {**line, "own": Estimate(**held)}


def _known(kind: type[Any], raw: Mapping[str, Any]) -> dict[str, Any]:
    """The fields of a kind that the raw object holds; an odd one is named."""
    names = {f.name for f in fields(kind)}
    if odd := sorted(set(raw) - names):
        raise ValueError(f"'{odd[0]}' is not a field of it")
    return dict(raw)
