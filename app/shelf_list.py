"""The packs on the shelf as the list takes them, and what was typed there."""

from __future__ import annotations

from functools import lru_cache

from line_list import (
    Added,
    Adding,
    Column,
    Edits,
    Field,
    Group,
    Lines,
    Mark,
    Name,
    Names,
    Piece,
    Problem,
    Removed,
    Row,
    Typed,
)
from state import ShelfDraft

import hlbcore as hlb
from hlbcore.errors import clipped
from hlbcore.ingredients import NAME_MAX
from hlbcore.library import EMULSIFIER_SIDE
from hlbcore.limits import STOCK_MOST
from hlbcore.shelf.packs import StockItem

EMULSIFIERS, OTHERS = "emulsifiers", "everything else"
FIELD_MOST = 500  # [characters]


def side(ingredient: hlb.Ingredient | None) -> str:
    found = ingredient is not None and ingredient.convention in EMULSIFIER_SIDE
    return EMULSIFIERS if found else OTHERS


@lru_cache(4)
def names(tables: hlb.Library) -> Names:
    """All names that can be put on the shelf."""
    return Names(
        tuple(
            Name(
                i.common_name,
                side(i),
                tuple(n for n in dict.fromkeys((i.inci, *i.aliases)) if n and n != i.common_name),
            )
            for i in tables
        )
    )


def shown(now: ShelfDraft, tables: hlb.Library) -> Lines:
    """The packs with what follows from each."""
    rows = [row(x, i, tables) for x, i in zip(now.stock.items, now.ids, strict=True)]
    return Lines(
        "packs on the shelf",
        (Column("amount", "left", "g"),),
        tuple(rows),
        (Group(EMULSIFIERS, "Emulsifiers"), Group(OTHERS, "Everything else")),
        (
            Field("price", "price", "amount", "per kg"),
            Field("lot", "lot"),
            Field("opened", "opened on", hint="2026-03-01"),
            Field("best_before", "best before", hint="2027-03"),
            Field("name", "name"),
            Field("note", "note", "long"),
        ),
        None
        if len(rows) >= STOCK_MOST
        else Adding(names(tables), "Put on the shelf, by any name", group=OTHERS),
        heading_level=3,
        empty="Nothing yet. Type a name below, or tick emulsifiers above.",
    )


def row(item: StockItem, row_id: str, tables: hlb.Library) -> Row:
    """One pack."""
    found = tables.known(item.name) if item.name.strip() else None
    fields = ("name", "amount", "lot", "price", "opened", "best_before", "note")
    return Row(
        row_id,
        item.name.strip() or "no name",
        side(found),
        {n: str(getattr(item, n)) for n in fields},
        about(found),
        marks(item),
        tuple(Problem(said) for said in item.problems),
    )


def about(found: hlb.Ingredient | None) -> tuple[Piece, ...]:
    """What the tables say of it."""
    if found is None:
        return (Piece("not in the tables"),)
    if side(found) == OTHERS:
        return (Piece(found.kind),)
    if found.hlb is not None and found.hlb_judges:
        return (Piece("HLB"), Piece(f"{found.hlb.value:.1f}", "brought"), Piece(found.family))
    return (Piece("by its supplier's rate"),)


def marks(item: StockItem) -> tuple[Mark, ...]:
    """What was entered behind its menu."""
    said = (
        ("lot", item.lot),
        ("per kg", str(item.price)),
        ("opened", str(item.opened)),
        ("best before", str(item.best_before)),
        ("note", item.note),
    )
    return tuple(
        Mark(f"{text} {word}" if word == "per kg" else f"{word} {clipped(text, 20)}", f"{word} {text}")
        for word, text in said
        if text.strip()
    )


def take(now: ShelfDraft, edits: Edits) -> None:
    """What was typed and done in the list, in order."""
    with now.lock:
        for edit in edits:
            items = list(now.stock.items)
            if isinstance(edit, Added):
                if edit.row in now.ids:
                    continue
                if len(items) >= STOCK_MOST:
                    now.told = f"A shelf holds at most {STOCK_MOST} packs."
                    continue
                now.stock = type(now.stock)((*items, StockItem(clipped(edit.name, NAME_MAX))))
                now.ids.append(edit.row)
            elif edit.row in now.ids:
                n = now.ids.index(edit.row)
                if isinstance(edit, Removed):
                    del items[n], now.ids[n]
                elif isinstance(edit, Typed):
                    most = NAME_MAX if edit.field == "name" else FIELD_MOST
                    items[n] = items[n].put(edit.field, clipped(edit.text, most))
                now.stock = type(now.stock)(tuple(items))
