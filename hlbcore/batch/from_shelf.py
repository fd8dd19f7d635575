"""What a batch record takes from the shelf, once, and where it says so."""

from __future__ import annotations

from hlbcore.batch.record import BatchRecord
from hlbcore.library import Library
from hlbcore.shelf.planned import OUTSIDE
from hlbcore.shelf.stock import Stock, Taken

TAKEN = "Taken from the shelf"
"""How the note begins by which a record remembers it."""


def was_taken(record: BatchRecord) -> bool:
    """Whether the record was taken from the shelf already."""
    return any(e.text.startswith(TAKEN) for e in record.all_of("note"))


def needs_of(record: BatchRecord, library: Library) -> dict[str, float]:
    """What the batch took, as weighed, else as planned; water left out.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.
    library : Library
        The tables.

    Returns
    -------
    dict
        Name to mass. [g]
    """
    found: dict[str, float] = {}

    def put(name: str, grams: float) -> None:
        known = library.known(name) if name.strip() else None
        if grams > 0 and name.strip() and not (known is not None and known.kind in OUTSIDE):
            found[name] = found.get(name, 0.0) + grams

    lines = record.formula.lines
    for row, grams in zip(record.rows, record.grams_of_rows(), strict=True):
        for number, share in row.brings:
            put(lines[number].name, grams * share)
    for name, grams in record.added_g.items():
        put(name, grams)
    return found


def lots_of(record: BatchRecord) -> dict[str, str]:
    """The lots that the record names, by ingredient."""
    lines = record.formula.lines
    found: dict[str, str] = {}
    for n, row in enumerate(record.rows):
        lot = record.value("lot", str(n)).strip()
        if lot:
            found |= {lines[number].name: lot for number, _ in row.brings}
    return found


def take_from_shelf(record: BatchRecord, stock: Stock, library: Library) -> tuple[Taken, str]:
    """The shelf after the batch, and the note for its record.

    Parameters
    ----------
    record : BatchRecord
        Open or closed.
    stock : Stock
        The shelf.
    library : Library
        The tables.

    Returns
    -------
    Taken
        The lot that the record names goes first, else what is soonest due.
    str
        What was taken of which lot.
    """
    taken = stock.take(needs_of(record, library), library, lots=lots_of(record))
    parts = [f"{grams:g} g {name}{f' of lot {lot}' if lot else ''}" for name, lot, grams in taken.lots]
    return taken, f"{TAKEN}: {', '.join(parts) or 'nothing'}."
