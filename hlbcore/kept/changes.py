"""What differs between two states of a formula, in the words of the bench."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore.errors import clipped
from hlbcore.formula.formula import Formula
from hlbcore.formula.lines import Line
from hlbcore.ingredients import fold

HEAD_WORDS = {"name": "name", "product_type": "product type"}
AIM_WORDS = {
    "unit": "unit of plain numbers",
    "goal": "what to look for",
    "dose": "total of the emulsifiers",
    "window": "window",
    "batch": "batch",
    "scales": "scale",
    "smallest": "smallest amount",
    "fragrance_counts": "fragrance counts as oil",
    "ionics": "ionic emulsifiers allowed",
}
REST_WORDS = {"portions": "portions", "blends": "bought blends", "phases": "phases", "note": "note"}
LINE_WORDS = {
    "amount": "amount",
    "counts": "counts as",
    "own": "own figure",
    "phase": "phase",
    "note": "note",
    "low": "at least",
    "high": "at most",
    "price": "price",
    "supplier_rate": "supplier's rate",
    "oil_limit": "supplier's oil limit",
    "active": "active part",
    "portion": "portion",
}
FACT_WORDS = {
    "ph": "pH",
    "area": "used on",
    "cleansing": "claims to cleanse",
    "hottest_c": "hottest step",
    "cool_down_c": "temperature of the cool-down",
    "fragrance_max_pct": "supplier's maximum of the fragrance",
    "fragrance_max_c": "heat limit of the fragrance",
    "fragrance_allergens": "allergens of the fragrance",
    "dioxane_ppm": "1,4-dioxane of the ethoxylates",
    "grain_um": "size of the grains",
    "grain_bulk_g": "grains that fill 100 mL",
    "yield_pa": "yield stress",
    "viscosity_mpas": "viscosity of the outer phase",
    "outer_phase": "outer phase",
    "solid_fat": "solids from the supplier",
}
"""Fields of a formula, of its aims, lines and facts, as the bench calls them."""

SHORT = 40
"""Characters up to which `FormulaChange.words` quotes a text. [-]"""

BLANK = "blank"


@dataclass(frozen=True, slots=True)
class FormulaChange:
    """One thing that differs between two states of a formula.

    Parameters
    ----------
    where : str
        What differs, for example ``"shea butter, amount"``.
    before, after : str
        As typed; blank where there is nothing.
    kind : str
        ``"changed"``, ``"renamed"``, ``"added"``, ``"removed"`` or ``"order"``.
    """

    where: str
    before: str
    after: str
    kind: str = "changed"

    @property
    def words(self) -> str:
        """The change in a few words: ``shea butter amount 10 → 12``."""
        before, after = (clipped(t, SHORT) or BLANK for t in (self.before, self.after))
        if self.kind == "added":
            return f"{after} added"
        if self.kind == "removed":
            return f"{before} removed"
        where = clipped(self.where.replace(", ", " "), 2 * SHORT)
        long = max(len(self.before), len(self.after)) > SHORT
        if self.kind == "order" or long or before == after:
            return f"{where} changed"
        return f"{before} → {after}" if self.kind == "renamed" else f"{where} {before} → {after}"


def formula_changes(before: Formula, after: Formula) -> tuple[FormulaChange, ...]:
    """What differs between two states of a formula.

    Parameters
    ----------
    before, after : Formula
        The two states.

    Returns
    -------
    tuple of FormulaChange
        Name and product type first, then lines, aims and facts; empty only for equal formulas.

    Examples
    --------
    >>> old = Formula(lines=[Line("cocoa butter", "10"), Line("olive oil", "5")])
    >>> new = Formula(lines=[Line("mango butter", "10"), Line("olive oil", "6")])
    >>> [change.words for change in formula_changes(old, new)]
    ['cocoa butter → mango butter', 'olive oil amount 5 → 6']
    """
    return (
        *_fields(before, after, HEAD_WORDS, ""),
        *_lines(before.lines, after.lines),
        *_fields(before.aims, after.aims, AIM_WORDS, ""),
        *_fields(before, after, REST_WORDS, ""),
        *_facts(before.facts, after.facts),
    )


def changes_in_words(changes: Sequence[FormulaChange], most: int = 3) -> str:
    """The changes as one short sentence for a list of versions.

    Parameters
    ----------
    changes : sequence of FormulaChange
        From `formula_changes`.
    most : int
        So many are named, the rest counted. [-]

    Returns
    -------
    str
        Without a stop at its end.

    Examples
    --------
    >>> from hlbcore import Aims
    >>> changes_in_words(
    ...     formula_changes(Formula(), Formula(aims=Aims(window="1.5", batch="1 kg"))), most=1)
    'window blank → 1.5; and 1 more'
    """
    said = [change.words for change in changes[:most]]
    if len(changes) > most:
        said.append(f"and {len(changes) - most} more")
    return "; ".join(said) or "nothing changed"


def compare_formulas(before: Formula, after: Formula) -> pd.DataFrame:
    """What differs between two states of a formula, as a table.

    Parameters
    ----------
    before, after : Formula
        The two states.

    Returns
    -------
    DataFrame
        where, before, after: a row a change, texts as typed.

    Examples
    --------
    >>> compare_formulas(Formula(), Formula(note="soft")).values.tolist()
    [['note', '', 'soft']]
    """
    return pd.DataFrame(
        [(c.where, c.before, c.after) for c in formula_changes(before, after)],
        columns=["where", "before", "after"],
        dtype=object,
    )


def _fields(before: object, after: object, words: dict[str, str], of: str) -> list[FormulaChange]:
    """The fields that differ, of two formulas, aims or lines."""
    return [
        FormulaChange(of + word, _text(old), _text(new))
        for name, word in words.items()
        if hasattr(before, name) and (old := getattr(before, name)) != (new := getattr(after, name))
    ]


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None:
        return ""
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def _lines(before: Sequence[Line], after: Sequence[Line]) -> list[FormulaChange]:
    partner = _partners(before, after)
    found = []
    named = Counter(fold(x.name) for x in after)
    for n, new in enumerate(after):
        if n not in partner:
            found.append(FormulaChange("added", "", _line(new), "added"))
            continue
        old = before[partner[n]]
        if old.name != new.name:
            found.append(FormulaChange("name", old.name, new.name, "renamed"))
        single = fold(new.name) and named[fold(new.name)] == 1
        label = new.name.strip() if single else f"{new.name.strip()} (line {n + 1})".strip()
        found += _fields(old, new, LINE_WORDS, f"{label}, ")
    stayed = set(partner.values())
    found += [
        FormulaChange("removed", _line(old), "", "removed") for n, old in enumerate(before) if n not in stayed
    ]
    order = [partner[n] for n in sorted(partner)]
    if order != sorted(order):
        names = [", ".join(before[n].name for n in ns) for ns in (sorted(order), order)]
        found.append(FormulaChange("order of the lines", names[0], names[1], "order"))
    return found


def _line(line: Line) -> str:
    return f"{line.name.strip()} {line.amount.text.strip()}".strip()


def _partners(before: Sequence[Line], after: Sequence[Line]) -> dict[int, int]:
    """Which line before each line after is: the same, else of its name, else in its place."""
    partner: dict[int, int] = {}
    left = dict(enumerate(before))
    for key in (lambda x: x, lambda x: fold(x.name)):
        waiting: dict[object, list[int]] = {}
        for n in reversed(left):
            waiting.setdefault(key(left[n]), []).append(n)
        for n, line in enumerate(after):
            if n not in partner and (same := waiting.get(key(line))):
                partner[n] = same.pop()
                del left[partner[n]]
    # a renamed line stands as far behind the same neighbour as before
    places: dict[tuple[int, int], int] = {}
    last = -1
    for n in range(len(before)):
        last = last if n in left else n
        places[last, n - last] = n
    last = place = -1
    for n in range(len(after)):
        if n in partner:
            last, place = partner[n], n
        elif (old := places.get((last, n - place))) is not None:
            partner[n] = old
    return partner


def _facts(before: tuple[tuple[str, str], ...], after: tuple[tuple[str, str], ...]) -> list[FormulaChange]:
    old, new = dict(before), dict(after)
    found = [
        FormulaChange(FACT_WORDS.get(name, f"fact {name}"), old.get(name, ""), new.get(name, ""))
        for name in dict.fromkeys((*old, *new))
        if old.get(name, "") != new.get(name, "")
    ]
    if before != after and not found:  # the same facts in another order, or a blank one more
        first, second = (
            ", ".join(f"{FACT_WORDS.get(n, n)} {t}".strip() for n, t in x) for x in (before, after)
        )
        found.append(FormulaChange("list of the facts", first, second, "order"))
    return found
