"""What is on the shelf: its packs, what runs short, and what a batch takes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

import msgspec
import pandas as pd

from hlbcore._numbers import checked
from hlbcore.errors import clipped
from hlbcore.findings import Finding
from hlbcore.ingredients import fold
from hlbcore.library import EMULSIFIER_SIDE, Library
from hlbcore.limits import STOCK_MOST, check_count
from hlbcore.saved_text import opened
from hlbcore.shelf.packs import NAMES, StockItem, grams_text
from hlbcore.typed import Typed

SCHEMA, VERSION = "hlbcore shelf", 1

NEXT = 30
"""Days before its date from which an item is told as soon due. [d] Our convention."""

SHORT_COLUMNS = {
    "ingredient": "common name, or as typed",
    "needed_g": "g for what is planned",
    "held_g": "g on the shelf; blank where no amount is entered",
    "short_g": "g that are missing; 0 where it suffices, blank where it cannot be said",
    "remark": "what to know of it",
}
"""Columns of `Stock.short_for` with unit or meaning."""


@dataclass(frozen=True, slots=True)
class Stock:
    """The shelf of a workshop.

    Parameters
    ----------
    items : tuple of StockItem
        One a pack or lot; an ingredient may stand there more than once.

    Examples
    --------
    >>> from hlbcore import load_library
    >>> held = Stock((StockItem("shea butter"), StockItem("Polysorbate 80", 250)))
    >>> held.emulsifiers(load_library())
    ('polysorbate 80',)
    """

    items: tuple[StockItem, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "items", tuple(self.items))
        check_count(self.items, "The shelf", STOCK_MOST)

    def emulsifiers(self, library: Library) -> tuple[str, ...]:
        """The emulsifiers of which some is left, by common name, each once."""
        found: dict[str, None] = {}
        for x in self.items:
            i = library.known(x.name) if x.is_there and x.name.strip() else None
            if i is not None and i.convention in EMULSIFIER_SIDE:
                found[i.common_name] = None
        return tuple(found)

    def prices(self, library: Library) -> dict[str, float]:
        """Price of each ingredient: of the pack that is opened last. [price unit/kg]"""
        held: dict[str, tuple[date, float]] = {}
        for x in self.items:
            name, day = _named(x.name, library), x.opened.value or date.min
            if x.price.value is not None and day >= held.get(name, (date.min, 0.0))[0]:
                held[name] = (day, x.price.value)
        return {name: price for name, (_, price) in held.items()}

    def ticked(self, names: Iterable[str], among: Iterable[str], library: Library) -> Stock:
        """The shelf where of these only the ticked ones stand; what stood there keeps its fields.

        Parameters
        ----------
        names : iterable of str
            Those that are ticked.
        among : iterable of str
            Those that could be.
        library : Library
            The tables.

        Returns
        -------
        Stock
            Unticked ones are taken off, new ones stand at the end.
        """
        wanted = {_named(n, library): n for n in names}
        asked = {_named(n, library) for n in among}
        held = {_named(x.name, library) for x in self.items}
        kept = [x for x in self.items if (key := _named(x.name, library)) in wanted or key not in asked]
        return Stock((*kept, *(StockItem(n) for key, n in wanted.items() if key not in held)))

    def held_g(self, name: str, library: Library) -> float | None:
        """How much is left of an ingredient; None where an amount is not known. [g]"""
        found = [x.amount.value for x in self.items if _named(x.name, library) == _named(name, library)]
        if None in found:
            return None
        return math.fsum(x for x in found if x is not None)

    def short_for(self, needs: Mapping[str, float], library: Library) -> pd.DataFrame:
        """What runs short for a planned batch.

        Parameters
        ----------
        needs : mapping of str to float
            What it takes. [g]
        library : Library
            The tables.

        Returns
        -------
        DataFrame
            Columns as in `SHORT_COLUMNS`; what is missing most stands first.
        """
        rows = []
        for name, needed in _by_key(needs, library).items():
            there = any(_named(x.name, library) == name for x in self.items)
            held = self.held_g(name, library) if there else 0.0
            if held is None:
                rows.append((name, needed, math.nan, math.nan, "no amount entered"))
                continue
            short = max(0.0, needed - held)
            remark = "" if not short else "none" if not there else "too little"
            rows.append((name, needed, held, short, remark))
        rows.sort(key=lambda r: (not r[4], -(math.inf if math.isnan(r[3]) else r[3])))
        made = pd.DataFrame(rows, columns=list(SHORT_COLUMNS))
        return made.astype(dict.fromkeys(("needed_g", "held_g", "short_g"), float))

    def take(
        self, needs: Mapping[str, float], library: Library, *, lots: Mapping[str, str] | None = None
    ) -> Taken:
        """The shelf after a batch: what is soonest due goes first.

        Parameters
        ----------
        needs : mapping of str to float
            What it took. [g]
        library : Library
            The tables.
        lots : mapping of str to str, optional
            Lots that go first, by ingredient.

        Returns
        -------
        Taken
            The shelf after it, the lots that went in, and what could not be taken.
        """
        items = list(self.items)
        first = {_named(n, library): fold(lot) for n, lot in (lots or {}).items()}
        used: list[tuple[str, str, float]] = []
        missing: list[str] = []
        for name, needed in _by_key(needs, library).items():
            left = needed
            mine = [n for n, x in enumerate(items) if _named(x.name, library) == name and x.is_there]
            lot = first.get(name)
            mine.sort(
                key=lambda n, lot=lot: (  # type: ignore[misc]  # bound here, for this name
                    fold(items[n].lot) != lot,
                    items[n].best_before.value or date.max,
                    n,
                )
            )
            known = [n for n in mine if items[n].amount.value is not None]
            for n in known:
                held = items[n].amount.value or 0.0
                taken = min(held, left)
                if taken > 0:
                    items[n] = replace(items[n], amount=Typed(grams_text(round(held - taken, 6))))
                    used.append((name, items[n].lot, taken))
                    left -= taken
            if left > 1e-9 and len(known) < len(mine):
                used += [(name, items[n].lot, left) for n in mine if n not in known][:1]
                missing.append(f"{name}: {left:g} g taken from a pack whose amount is not entered")
            elif left > 1e-9:
                missing.append(f"{name}: {left:g} g more than the shelf holds")
        return Taken(Stock(tuple(items)), tuple(used), tuple(missing))

    def findings(self, today: date) -> tuple[Finding, ...]:
        """What is past its date, and what soon will be.

        Parameters
        ----------
        today : date
            The day of asking.

        Returns
        -------
        tuple of Finding
            The longest past first.
        """
        dated = [(x.best_before.value, x) for x in self.items if x.best_before.value and x.is_there]
        found = []
        for day, x in sorted(dated, key=lambda d: (d[0] or date.max, d[1].name)):
            assert day is not None
            left = (day - today).days
            if left > NEXT:
                continue
            lot = f", lot {clipped(x.lot)}" if x.lot.strip() else ""
            if left < 0:
                title, mend = (
                    f"{clipped(x.name)}{lot}: past its best-before date",
                    ("Smell and look at it, test it in a small batch, or leave it out; ask its supplier."),
                )
            else:
                title, mend = f"{clipped(x.name)}{lot}: soon at its best-before date", "Use it first."
            found.append(
                Finding(
                    "caution" if left < 0 else "note",
                    title,
                    "Old oils and ethoxylates turn rancid or form peroxides (common practice, no source).",
                    day.isoformat(),
                    mend=mend,
                )
            )
        return tuple(found)

    def to_json(self) -> str:
        """The shelf as text, as typed."""
        items = [_Item(*(str(getattr(x, n)) for n in NAMES)) for x in self.items]
        return msgspec.json.encode({"schema": SCHEMA, "version": VERSION, "items": items}).decode()

    @classmethod
    def from_json(cls, text: str) -> Stock:
        """The shelf of a text; InvalidInput for any other.

        Parameters
        ----------
        text : str
            As `to_json` wrote it.

        Returns
        -------
        Stock
            As typed.
        """
        with opened(text, [SCHEMA], VERSION, "The shelf") as (_, _, raw):
            held = msgspec.convert(raw, _Saved)
            return cls(tuple(StockItem(**{n: getattr(x, n) for n in NAMES}) for x in held.items))


@dataclass(frozen=True, slots=True)
class Taken:
    """What a batch took.

    Parameters
    ----------
    stock : Stock
        The shelf after it.
    lots : tuple of (str, str, float)
        Ingredient, lot and what was taken of it. [g]
    missing : tuple of str
        What could not be taken, a sentence each.
    """

    stock: Stock
    lots: tuple[tuple[str, str, float], ...]
    missing: tuple[str, ...]


class _Item(msgspec.Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    name: str
    amount: str = ""
    lot: str = ""
    price: str = ""
    opened: str = ""
    best_before: str = ""
    note: str = ""


class _Saved(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    items: tuple[_Item, ...] = ()


def _named(name: str, library: Library) -> str:
    """One name for one ingredient, whatever it was called."""
    found = library.known(name)
    return found.common_name if found is not None else fold(name)


def _by_key(needs: Mapping[str, float], library: Library) -> dict[str, float]:
    found: dict[str, float] = {}
    for name, needed in needs.items():
        key = _named(name, library)
        found[key] = found.get(key, 0.0) + checked(needed, f"'{clipped(name)}'", low=0, unit="g")
    return found


def changed_words(before: Stock, after: Stock) -> str:
    """What differs between two states of a shelf, in words.

    Parameters
    ----------
    before, after : Stock
        The two.

    Returns
    -------
    str
        For the history.
    """
    old, new = ({fold(x.name): x.name for x in held.items} for held in (before, after))
    said = [
        f"{_listed(names)} {word}"
        for names, word in (
            ([n for key, n in new.items() if key not in old], "on the shelf"),
            ([n for key, n in old.items() if key not in new], "off the shelf"),
        )
        if names
    ]
    if not said:
        was, now = Counter(before.items), Counter(after.items)
        moved = list(dict.fromkeys(x.name for x in (*(now - was), *(was - now))))
        said = [f"{_listed(moved)} changed"] if moved else ["order changed"]
    return ", ".join(said)


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(clipped(n, 40) for n in names[:3])
    return shown if len(names) <= 3 else f"{shown} and {len(names) - 3} more"
