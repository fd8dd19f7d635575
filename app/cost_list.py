"""The price list as lines, and what was typed in it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from line_list import (
    Added,
    Adding,
    Choice,
    Column,
    Edits,
    Field,
    Lines,
    Name,
    Names,
    Piece,
    Pressed,
    Problem,
    Removed,
    Row,
    Typed,
)
from state.cost import CostDraft

import hlbcore as hlb
from hlbcore.batch.prices import PER, PRICES_MOST, Price, PriceList
from hlbcore.errors import clipped

NAME_MOST = 200  # [characters]
FIELD_MOST = 500
PER_WORDS = {"": "an ingredient", "jar": "in each jar", "batch": "in each batch", "kg": "in each kg"}
FIELDS = (
    Field("supplier", "supplier"),
    Field("on", "date", hint="2026-03-01"),
    Field("per", "counts as", "choice", choices=tuple(Choice(p, PER_WORDS[p]) for p in ("", *PER))),
    Field("count", "how many each time", "amount", hint="1"),
    Field("name", "name"),
    Field("note", "note", "long"),
)


@lru_cache(4)
def names_to_price(tables: hlb.Library) -> Names:
    """All names that can be added."""
    return Names(tuple(Name(i.common_name, "", tuple(filter(None, (i.inci, *i.aliases)))) for i in tables))


def shown_prices(now: CostDraft, tables: hlb.Library) -> Lines:
    """The list as data."""
    return Lines(
        "Prices",
        (Column("price", "price"), Column("pack", "pack", kind="text")),
        tuple(row(i, p, now.prices) for i, p in zip(now.ids, now.prices.prices, strict=True)),
        fields=FIELDS,
        adding=Adding(names_to_price(tables), "Add by any name; a jar or a label too"),
        empty="No prices yet.",
    )


def row(at: str, price: Price, held: PriceList) -> Row:
    """One price."""
    texts = {
        "price": price.price.text,
        "pack": price.pack.text,
        "supplier": price.supplier,
        "on": price.on.text,
        "per": price.per,
        "count": price.count.text,
        "name": price.name,
        "note": price.note,
    }
    about = [Piece(text) for text in (price.each_words(held.currency), price.supplier, price.on.text) if text]
    if price.per:
        about.append(Piece(PER_WORDS[price.per], opens="per"))
    problems = [
        Problem(field.problem, key)
        for key, field in (
            ("price", price.price),
            ("pack", price.pack),
            ("on", price.on),
            ("count", price.count),
        )
        if field.problem
    ]
    return Row(at, price.name, texts=texts, about=tuple(about), problems=tuple(problems))


def take_prices(now: CostDraft, edits: Edits) -> None:
    """What was typed and done in the list, in order."""
    with now.lock:
        for edit in edits:
            try:
                one(now, edit)
            except hlb.HlbError as error:
                now.told = str(error)


def one(now: CostDraft, edit: object) -> None:
    """One edit."""
    held = list(now.prices.prices)
    if isinstance(edit, Added):
        if edit.row in now.ids or len(held) >= PRICES_MOST:
            return
        held.append(Price(clipped(edit.name, NAME_MOST)))
        now.ids.append(edit.row)
    elif isinstance(edit, Removed | Typed | Pressed) and edit.row in now.ids:
        n = now.ids.index(edit.row)
        if isinstance(edit, Removed):
            del held[n], now.ids[n]
        elif isinstance(edit, Typed):
            text = clipped(edit.text, FIELD_MOST)
            if edit.field == "name" and not text.strip():
                return
            held[n] = replace(held[n], **{edit.field: text})
    now.prices = replace(now.prices, prices=tuple(held))
