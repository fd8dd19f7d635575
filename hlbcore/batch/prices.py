"""Prices of packs as a supplier sells them, kept with date and supplier."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date, datetime

import msgspec

from hlbcore._numbers import GRAMS_PER, checked, checked_text, checked_word, read_amount
from hlbcore.errors import InvalidInput, clipped
from hlbcore.formula.fields import PRICE_MOST, read_plain
from hlbcore.formula.formula import Formula
from hlbcore.ingredients import fold
from hlbcore.library import Library
from hlbcore.limits import check_count, check_length
from hlbcore.saved_text import opened
from hlbcore.typed import Typed, in_full

PER = ("jar", "batch", "kg")
"""What a cost beside the ingredients is counted by."""

COUNT_MOST = 1e6
"""Most of one thing in a jar or a batch. [-] Our convention."""

PACK_LEAST = 1e-3
"""Least that a pack holds. [g, or pieces] Our convention."""

PRICES_MOST = 2000
"""Prices of one list. [-] Our convention."""

CURRENCY_MOST = 20
"""Longest name of a currency. [characters] Our convention."""

SCHEMA, VERSION = "hlbcore prices", 1

_PIECES = re.compile(r"(?P<number>[\d.,]*)\s*(?:pcs?|pieces?|units?|each)\.?", re.I)


@dataclass(frozen=True, slots=True)
class Pack:
    """What one price buys.

    Parameters
    ----------
    amount : float
        How much. [g, or pieces]
    unit : str
        ``"g"`` or ``"piece"``.
    """

    amount: float
    unit: str


def read_pack(text: str, item: str) -> Pack:
    """Read the size of a pack: ``1 kg``, ``16 oz``, ``100 pieces``.

    Parameters
    ----------
    text : str
        As typed.
    item : str
        What it belongs to; stands in the message.

    Returns
    -------
    Pack
        Above 0.

    Raises
    ------
    InvalidInput
        For no number, no unit, a volume, or 0.

    Examples
    --------
    >>> read_pack("2,5 kg", "shea butter"), read_pack("100 pieces", "jar").unit
    (Pack(amount=2500.0, unit='g'), 'piece')
    """
    said = f"{item}, pack"
    if found := _PIECES.fullmatch(text.strip()):
        count = checked(found["number"] or "1", said, low=0, high=PRICE_MOST)
        unit = "piece"
    else:
        amount = read_amount(text, said)
        if amount.unit in ("", "%"):
            mend = "Write for example 500 g, 1 kg, 16 oz or 100 pieces."
            raise InvalidInput(said, f"'{clipped(text)}' has no unit of mass", mend)
        count, unit = checked(amount.number * GRAMS_PER[amount.unit], said, low=0, high=PRICE_MOST), "g"
    if count < PACK_LEAST:
        raise InvalidInput(said, f"a pack of {count:g} has no price per kg", "Enter what one pack holds.")
    return Pack(count, unit)


def read_day(text: str, item: str) -> date:
    """A day, year first: ``2026-03-01``."""
    try:
        return datetime.fromisoformat(text.strip()).date()
    except ValueError:
        raise InvalidInput(
            f"{item}, date", f"'{clipped(text)}' is no date", "Write year, month and day: 2026-03-01."
        ) from None


@dataclass(frozen=True, slots=True, init=False)
class Price:
    """What a supplier asks for one pack; fields that cannot be read are kept as typed.

    Parameters
    ----------
    name : str
        The ingredient, by any of its names, or a jar, a lid, a label.
    price : str or float
        Of one pack; 0 is a price. [currency]
    pack : str
        With its unit: ``1 kg``, ``16 oz``, ``100 pieces``; blank means 1 kg.
    supplier, on, note : str
        Who asks it, since when (year-month-day), and free text.
    per : str
        Blank for an ingredient; ``jar``, ``batch`` or ``kg`` for packaging, labels, work: how often it
        is counted. Its pack is then counted in pieces; blank means one.
    count : str or float
        How many each time; blank means 1. [-]

    Examples
    --------
    >>> Price("shea butter", "12,50", "500 g").per_kg
    25.0
    """

    name: str
    price: Typed[float]
    pack: Typed[Pack]
    supplier: str
    on: Typed[date]
    note: str
    per: str
    count: Typed[float]

    def __init__(
        self,
        name: str,
        price: str | float | Typed[float] = "",
        pack: str | Typed[Pack] = "",
        supplier: str = "",
        on: str | Typed[date] = "",
        note: str = "",
        per: str = "",
        count: str | float | Typed[float] = "",
    ) -> None:
        item = f"price of '{clipped(name)}'"
        texts = [str(x) if isinstance(x, Typed) else x for x in (pack, on)]
        cost = in_full(read_plain(price, item)) if isinstance(price, int | float) else str(price)
        for text, what in ((name, "name"), (supplier, "supplier"), (note, "note"), (texts[0], "pack")):
            check_length(checked_text(text, f"{item}, {what}"), f"{item}, {what}")
        check_length(cost, item)
        put = object.__setattr__
        put(self, "name", name)
        put(self, "price", Typed.read(cost, lambda t: read_plain(t, item)))
        put(self, "pack", Typed.read(texts[0], lambda t: read_pack(t, item)))
        put(self, "supplier", supplier)
        put(self, "on", Typed.read(checked_text(texts[1], f"{item}, date"), lambda t: read_day(t, item)))
        put(self, "note", note)
        put(self, "per", checked_word(per, ("", *PER), f"{item}, counted by"))
        times = in_full(checked(count, f"{item}, how many")) if isinstance(count, int | float) else str(count)
        put(self, "count", Typed.read(times, lambda t: read_plain(t, f"{item}, how many", high=COUNT_MOST)))

    @property
    def problems(self) -> tuple[str, ...]:
        """What of it cannot be read, a sentence each."""
        return tuple(t.problem for t in (self.price, self.pack, self.on, self.count) if t.problem)

    @property
    def size(self) -> Pack | None:
        """What one pack holds; 1 kg, or one piece, where it is blank; None where it cannot be read."""
        return self.pack.value if self.pack else (Pack(1.0, "piece") if self.per else Pack(1000.0, "g"))

    @property
    def per_kg(self) -> float | None:
        """Price of 1 kg; None for pieces and for what cannot be read. [currency/kg]"""
        size = self.size
        if self.price.value is None or size is None or size.unit != "g":
            return None
        return self.price.value / size.amount * 1000

    @property
    def per_piece(self) -> float | None:
        """Price of one piece; None for what is sold by mass. [currency]"""
        size = self.size
        if self.price.value is None or size is None or size.unit != "piece":
            return None
        return self.price.value / size.amount

    def each_words(self, currency: str = "") -> str:
        """What 1 kg or one piece costs, in words; blank where that cannot be said."""
        per_kg, each = self.per_kg, self.per_piece
        if per_kg is None and each is None:
            return ""
        money = f"{per_kg if per_kg is not None else each:,.2f} {currency}".strip()
        return f"{money} per kg" if per_kg is not None else f"{money} each"


@dataclass(frozen=True, slots=True)
class PriceList:
    """Prices of one workshop.

    Parameters
    ----------
    name : str
        Its name.
    currency : str
        Any text that stands behind an amount.
    prices : tuple of Price
        In any order; several of one ingredient are allowed.
    note : str
        Free text.

    Examples
    --------
    >>> held = PriceList("Spring", "EUR", (Price("shea butter", 12.5, "500 g"),))
    >>> held.currency, len(held.prices)
    ('EUR', 1)
    """

    name: str = ""
    currency: str = ""
    prices: tuple[Price, ...] = field(default=())
    note: str = ""

    def __post_init__(self) -> None:
        check_length(checked_text(self.name, "price list, name"), "price list, name")
        check_length(checked_text(self.currency, "currency"), "currency", CURRENCY_MOST)
        check_length(checked_text(self.note, "price list, note"), "price list, note")
        object.__setattr__(self, "prices", tuple(self.prices))
        check_count(self.prices, "price list", PRICES_MOST)

    def of(self, name: str, library: Library) -> Price | None:
        """The price that counts for an ingredient: the newest, of these the lowest.

        Parameters
        ----------
        name : str
            Any of its names.
        library : Library
            The tables.

        Returns
        -------
        Price or None
            None where no price of it can be read.
        """
        key = library.key(name)
        held = [
            (p.on.value or date.min, -(p.per_kg if p.per_kg is not None else p.per_piece or 0.0), -n, p)
            for n, p in enumerate(self.prices)
            if library.key(p.name) == key and (p.per_kg is not None or p.per_piece is not None)
        ]
        return max(held, key=lambda x: x[:3])[3] if held else None

    def per_kg(self, library: Library) -> dict[str, float]:
        """Price of each ingredient that is sold by mass, by id or folded name. [currency/kg]

        Examples
        --------
        >>> from hlbcore import load_library
        >>> PriceList(prices=(Price("shea butter", "6", "500 g"),)).per_kg(load_library())
        {'shea_butter': 12.0}
        """
        held = {library.key(p.name): self.of(p.name, library) for p in self.prices if p.name.strip()}
        return {k: p.per_kg for k, p in held.items() if p is not None and p.per_kg is not None}

    @property
    def problems(self) -> tuple[str, ...]:
        """What of it cannot be read."""
        return tuple(text for p in self.prices for text in p.problems)

    def to_json(self) -> str:
        """The list as text, as `from_json` reads it."""
        rows = [
            {name: text for name, text in _texts(p).items() if text or name == "name"} for p in self.prices
        ]
        body = {"name": self.name, "currency": self.currency, "prices": rows, "note": self.note}
        return msgspec.json.encode({"schema": SCHEMA, "version": VERSION, **body}).decode()

    @classmethod
    def from_json(cls, text: str) -> PriceList:
        """The list from its text.

        Parameters
        ----------
        text : str
            As `to_json` writes it.

        Returns
        -------
        PriceList
            Fields that cannot be read stay as typed.

        Raises
        ------
        InvalidInput
            If it is no price list, or one of a later version.
        """
        with opened(text, [SCHEMA], VERSION, "price list") as (_, _, raw):
            held = msgspec.convert(raw, _Filed)
            return cls(
                held.name,
                held.currency,
                tuple(Price(**msgspec.structs.asdict(x)) for x in held.prices),
                held.note,
            )


def _texts(price: Price) -> dict[str, str]:
    """The fields of a price as typed."""
    return {name: str(getattr(price, name)) for name in _Row.__struct_fields__}


class _Row(msgspec.Struct, forbid_unknown_fields=True):
    name: str
    price: str = ""
    pack: str = ""
    supplier: str = ""
    on: str = ""
    note: str = ""
    per: str = ""
    count: str = ""


class _Filed(msgspec.Struct, forbid_unknown_fields=True):
    name: str
    currency: str
    prices: list[_Row]
    note: str = ""


def with_prices(formula: Formula, prices: PriceList, library: Library) -> Formula:
    """The formula with the prices of a list where its lines have none.

    Parameters
    ----------
    formula : Formula
        As typed; a price typed in a line stays.
    prices : PriceList
        The list.
    library : Library
        The tables.

    Returns
    -------
    Formula
        All else as typed.
    """
    lines = []
    for line in formula.lines:
        held = None if line.price else prices.of(line.name, library)
        per_kg = None if held is None else held.per_kg
        text = "" if per_kg is None else in_full(float(f"{min(per_kg, PRICE_MOST):.12g}"))
        lines.append(replace(line, price=Typed(text, per_kg)) if text else line)  # read already
    return replace(formula, lines=tuple(lines))


def price_changes(before: PriceList, after: PriceList) -> str:
    """What was changed between two states of a list, in words."""

    def held(prices: Iterable[Price]) -> dict[tuple[str, str], Price]:
        return {(fold(p.name), fold(p.supplier)): p for p in prices}

    old, new = held(before.prices), held(after.prices)
    added = [new[k].name for k in new if k not in old]
    gone = [old[k].name for k in old if k not in new]
    moved = [new[k].name for k in new if k in old and new[k] != old[k]]
    words = [
        f"{word} {clipped(', '.join(names), 80)}"
        for word, names in (("added", added), ("changed", moved), ("removed", gone))
        if names
    ]
    if before.currency != after.currency:
        words.append(f"currency {after.currency or 'blank'}")
    if before.name != after.name:
        words.append(f"named {clipped(after.name) or 'nothing'}")
    return "; ".join(words) or "changed"
