"""Price lists from CSV and XLSX files, and back: numbers as numbers, no cell runs as a formula."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pandas as pd

from hlbcore.batch.prices import PRICES_MOST, Price, PriceList
from hlbcore.cells import to_csv, to_xlsx
from hlbcore.errors import HlbError, InvalidInput, clipped
from hlbcore.formula.fields import read_plain
from hlbcore.ingredients import fold
from hlbcore.intake.ingredients import read_rows
from hlbcore.intake.rows import RowReport, check_width
from hlbcore.typed import Typed

COLUMNS = ("ingredient", "price", "currency", "pack", "supplier", "date", "note", "counted by", "how many")
"""Columns of a price list as a file."""

PER_KG_OFF = 0.02
"""A printed price per kg may be off by so much from that of the pack. [fraction] Our convention."""

_HEADINGS = {
    "name": ("ingredient", "name", "item", "material", "raw material", "article", "product"),
    "price": ("price", "cost", "price per pack", "pack price"),
    "per_kg": ("price per kg", "price/kg", "per kg"),
    "pack": ("pack", "pack size", "size", "quantity", "amount", "packaging"),
    "unit": ("unit", "pack unit"),
    "currency": ("currency",),
    "supplier": ("supplier", "shop", "seller", "from"),
    "on": ("date", "on", "day", "since"),
    "note": ("note", "notes", "remark", "comment"),
    "per": ("counted by", "per"),
    "count": ("how many", "count"),
}
_FIELD_OF = {fold(heading): field for field, names in _HEADINGS.items() for heading in names}


@dataclass(frozen=True, slots=True)
class ReadPrices:
    """What a file gives.

    Parameters
    ----------
    prices : PriceList
        What was taken.
    report : tuple of RowReport
        One a row of the file.
    unread : tuple of str
        Headings that were not understood.
    remarks : tuple of str
        What is to be said of the file.
    """

    prices: PriceList
    report: tuple[RowReport, ...]
    unread: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()


def price_table(prices: PriceList) -> pd.DataFrame:
    """A price list as a table.

    Parameters
    ----------
    prices : PriceList
        The list.

    Returns
    -------
    DataFrame
        Columns as in `COLUMNS`; a price that can be read is a number. [currency a pack]
    """
    rows = [
        (
            p.name,
            p.price.text if p.price.value is None else p.price.value,
            prices.currency,
            p.pack.text or ("1 piece" if p.per else "1 kg"),
            p.supplier,
            p.on.text,
            p.note,
            p.per,
            p.count.text if p.count.value is None else p.count.value,
        )
        for p in prices.prices
    ]
    return pd.DataFrame(rows, columns=list(COLUMNS)).astype(object)


def prices_csv(prices: PriceList) -> bytes:
    """A price list as a CSV file."""
    return to_csv(price_table(prices))


def prices_xlsx(prices: PriceList) -> bytes:
    """A price list as a workbook."""
    return to_xlsx(price_table(prices), "prices")


def read_prices(data: bytes, filename: str, name: str = "") -> ReadPrices:
    r"""A price list from a CSV or XLSX file.

    Parameters
    ----------
    data : bytes
        The file.
    filename : str
        Its name.
    name : str
        Name of the list; that of the file if left out.

    Returns
    -------
    ReadPrices
        One bad row never stops the others; it is told.

    Raises
    ------
    InvalidInput
        If the file cannot be read, or no column holds names and prices.

    Examples
    --------
    >>> held = read_prices(b"ingredient;price;pack\nshea butter;12,50;500 g\n", "prices.csv").prices
    >>> held.prices[0].per_kg
    25.0
    """
    rows = read_rows(data, filename)
    at: dict[str, int] = {}
    for n, heading in enumerate(rows.header):
        if (field := _FIELD_OF.get(fold(heading))) is not None:
            at.setdefault(field, n)
    item = f"'{clipped(filename)}'"
    if "name" not in at or not {"price", "per_kg"} & set(at):
        raise InvalidInput(
            item,
            "no column holds " + ("the price" if "name" in at else "the names"),
            "Head the columns ingredient, price, pack, supplier, date.",
        )
    taken: list[Price] = []
    report: list[RowReport] = []
    currency = ""
    for number, cells in zip(rows.numbers, rows.rows, strict=True):
        given = {f: cells[c].strip() for f, c in at.items() if c < len(cells)}
        said = given.get("name", "")
        try:
            if len(taken) >= PRICES_MOST:
                raise InvalidInput(item, f"there are more than {PRICES_MOST:,} prices", "Part it in two.")
            check_width(len(cells) - len(rows.header))
            currency = _currency(given.get("currency", ""), currency)
            price = _price(given)
        except HlbError as error:
            report.append(RowReport(number, said, str(error), "wrong"))
            continue
        taken.append(price)
        told = price.problems or _odd(price, given)
        report.append(RowReport(number, said, " ".join(told), "wrong" if told else "taken"))
    unread = tuple(h for n, h in enumerate(rows.header) if h and n not in at.values())
    title = name or filename.rsplit(".", 1)[0]
    return ReadPrices(PriceList(clipped(title), currency, tuple(taken)), tuple(report), unread, rows.remarks)


def _odd(price: Price, given: dict[str, str]) -> tuple[str, ...]:
    """What is wrong with a price though each of its fields can be read."""
    item = f"price of '{clipped(price.name)}'"
    if not price.price:
        return (f"{item}: it is blank. Enter what one pack costs, or delete the row.",)
    told, worked = Typed.read(given.get("per_kg", ""), lambda t: read_plain(t, item)), price.per_kg
    if told.value is None or worked is None or math.isclose(told.value, worked, rel_tol=PER_KG_OFF):
        return (told.problem,) if told.problem else ()
    return (f"{item}: pack and price give {worked:.4g} per kg, the row says {told}. Mend one of them.",)


def _currency(text: str, so_far: str) -> str:
    if text and so_far and text != so_far:
        raise InvalidInput(
            "currency",
            f"'{clipped(text)}' stands beside '{clipped(so_far)}'",
            "A list has one currency; make a list of each.",
        )
    PriceList(currency=text or so_far)  # says what is wrong with it
    return text or so_far


def _price(given: dict[str, str]) -> Price:
    name = given.get("name", "")
    if not fold(name):
        raise InvalidInput("name", "it is blank", "Name the ingredient.")
    if not given.get("price") and given.get("per_kg"):
        price, pack = given["per_kg"], "1 kg"
    else:
        price = given.get("price", "")
        pack = " ".join(filter(None, (given.get("pack", ""), given.get("unit", ""))))
    return Price(
        name, price, pack, **{f: given.get(f, "") for f in ("supplier", "on", "note", "per", "count")}
    )
