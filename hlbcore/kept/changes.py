"""What differs between two states of a sheet, in the words of the bench."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from hlbcore.errors import clipped
from hlbcore.ingredients import fold
from hlbcore.sheets.sheet import Sheet, SheetEmulsifier, SheetLine, SheetOther

TITLE_WORDS = {"title": "title", "product": "product type"}
LIST_WORDS = {"lines": "oil phase", "emulsifiers": "emulsifiers", "others": "other lines"}
SETTING_WORDS = {
    "unit": "unit of plain numbers",
    "objective": "what to look for",
    "total": "total of the emulsifiers",
    "window": "window",
    "batch": "batch",
    "scale": "scale",
    "smallest": "smallest amount",
    "count_fragrance": "fragrance counts as oil",
    "ionics": "ionic emulsifiers allowed",
    "portions": "portions",
    "blends": "bought blends",
    "phases": "phases",
    "note": "note",
}
LINE_WORDS = {
    "amount": "amount",
    "side": "counts as",
    "own": "own required HLB",
    "phase": "phase",
    "note": "note",
    "now": "in use",
    "low": "at least",
    "high": "at most",
    "price": "price",
    "hlb": "own HLB",
    "rate": "supplier's rate",
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
}
"""Fields of a sheet, of its lines and of its facts, as the bench calls them."""

SHORT = 40
"""Characters up to which `SheetChange.words` quotes a text. [-]"""

BLANK = "blank"
Entry = SheetLine | SheetEmulsifier | SheetOther


@dataclass(frozen=True, slots=True)
class SheetChange:
    """One thing that differs between two states of a sheet.

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


def sheet_changes(before: Sheet, after: Sheet) -> tuple[SheetChange, ...]:
    """What differs between two states of a sheet.

    Parameters
    ----------
    before, after : Sheet
        The two states.

    Returns
    -------
    tuple of SheetChange
        Title and product first, then lines, settings and facts; empty only for equal sheets.

    Examples
    --------
    >>> from dataclasses import replace
    >>> old = Sheet(lines=(SheetLine("cocoa butter", "10"), SheetLine("olive oil", "5")))
    >>> new = replace(old, lines=(SheetLine("mango butter", "10"), SheetLine("olive oil", "6")))
    >>> [change.words for change in sheet_changes(old, new)]
    ['cocoa butter → mango butter', 'olive oil amount 5 → 6']
    """
    found = _fields(before, after, TITLE_WORDS, "")
    for name, where in LIST_WORDS.items():
        found += _list(getattr(before, name), getattr(after, name), where)
    found += _fields(before, after, SETTING_WORDS, "")
    return (*found, *_facts(before.facts, after.facts))


def changes_in_words(changes: Sequence[SheetChange], most: int = 3) -> str:
    """The changes as one short sentence for a list of versions.

    Parameters
    ----------
    changes : sequence of SheetChange
        From `sheet_changes`.
    most : int
        So many are named, the rest counted. [-]

    Returns
    -------
    str
        Without a stop at its end.

    Examples
    --------
    >>> from dataclasses import replace
    >>> changes_in_words(sheet_changes(Sheet(), Sheet(window="1.5", batch="1 kg")), most=1)
    'window 1 → 1.5; and 1 more'
    """
    said = [change.words for change in changes[:most]]
    if len(changes) > most:
        said.append(f"and {len(changes) - most} more")
    return "; ".join(said) or "nothing changed"


def compare_sheets(before: Sheet, after: Sheet) -> pd.DataFrame:
    """What differs between two states of a sheet, as a table.

    Parameters
    ----------
    before, after : Sheet
        The two states.

    Returns
    -------
    DataFrame
        where, before, after: a row a change, texts as typed.

    Examples
    --------
    >>> compare_sheets(Sheet(), Sheet(window="1.5")).values.tolist()
    [['window', '1', '1.5']]
    """
    return pd.DataFrame(
        [(c.where, c.before, c.after) for c in sheet_changes(before, after)],
        columns=["where", "before", "after"],
        dtype=object,
    )


def _fields(before: object, after: object, words: dict[str, str], of: str) -> list[SheetChange]:
    """The fields that differ, of two sheets or of two lines."""
    return [
        SheetChange(of + word, _text(old), _text(new))
        for name, word in words.items()
        if hasattr(before, name) and (old := getattr(before, name)) != (new := getattr(after, name))
    ]


def _text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return ", ".join(value) if isinstance(value, tuple) else str(value)


def _list(before: Sequence[Entry], after: Sequence[Entry], where: str) -> list[SheetChange]:
    partner = _partners(before, after)
    found = []
    named = Counter(fold(x.name) for x in after)
    for n, new in enumerate(after):
        if n not in partner:
            found.append(SheetChange(f"added to the {where}", "", _line(new), "added"))
            continue
        old = before[partner[n]]
        if old.name != new.name:
            found.append(SheetChange(f"name in the {where}", old.name, new.name, "renamed"))
        single = fold(new.name) and named[fold(new.name)] == 1
        label = new.name.strip() if single else f"{new.name.strip()} (line {n + 1})".strip()
        found += _fields(old, new, LINE_WORDS, f"{label}, ")
    stayed = set(partner.values())
    found += [
        SheetChange(f"removed from the {where}", _line(old), "", "removed")
        for n, old in enumerate(before)
        if n not in stayed
    ]
    order = [partner[n] for n in sorted(partner)]
    if order != sorted(order):
        names = [", ".join(before[n].name for n in ns) for ns in (sorted(order), order)]
        found.append(SheetChange(f"order of the {where}", names[0], names[1], "order"))
    return found


def _line(line: Entry) -> str:
    amount = line.now if isinstance(line, SheetEmulsifier) else line.amount
    return f"{line.name.strip()} {amount.strip()}".strip()


def _partners(before: Sequence[Entry], after: Sequence[Entry]) -> dict[int, int]:
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


def _facts(before: tuple[tuple[str, str], ...], after: tuple[tuple[str, str], ...]) -> list[SheetChange]:
    old, new = dict(before), dict(after)
    found = [
        SheetChange(FACT_WORDS.get(name, f"fact {name}"), old.get(name, ""), new.get(name, ""))
        for name in dict.fromkeys((*old, *new))
        if old.get(name, "") != new.get(name, "")
    ]
    if before != after and not found:  # the same facts in another order, or a blank one more
        first, second = (
            ", ".join(f"{FACT_WORDS.get(n, n)} {t}".strip() for n, t in x) for x in (before, after)
        )
        found.append(SheetChange("list of the facts", first, second, "order"))
    return found
