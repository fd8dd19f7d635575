"""Doses that printed formulas and rules show, by product type, on both bases."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from hlbcore._numbers import checked_word
from hlbcore._tables import _number, _rows, _word
from hlbcore.errors import TableError
from hlbcore.folders import data_folder
from hlbcore.product_types import ProductType
from hlbcore.product_types import product_type as find_type

FILE = "dose_evidence.csv"

KINDS = ("neat", "wax", "cationic", "solubiliser")
"""What a dose counts: neat emulsifiers, or a wax that brings its fatty alcohol; a blank is either."""

LOW_PERCENTILE, HIGH_PERCENTILE = 10, 90
"""Ends of a usual band. [%] Our convention."""

FEW = 10
"""Rows below which a band is marked as resting on few sources. [-] Our convention."""

COLUMNS = (
    "product_type",
    "emulsifier",
    "kind",
    "emulsifier_pct",
    "emulsifier_low",
    "emulsifier_high",
    "basis",
    "oil_pct",
    "of_oil_pct",
    "printed",
    "root",
    "source",
    "where",
    "seen",
    "note",
    "uses",
)


@dataclass(frozen=True, slots=True)
class DoseRow:
    """One printed dose.

    Parameters
    ----------
    product_type : str
        Name of the product type.
    emulsifier : str
        The system as printed.
    kind : str
        One of `KINDS`, or blank.
    emulsifier_pct : float, optional
        The dose as sold. [% of `basis`]
    emulsifier_low, emulsifier_high : float, optional
        A printed range without an oil phase; it does not enter the band. [% of `basis`]
    basis : str
        ``formula``, or ``fat base`` where sugar or salt were left out.
    oil_pct : float, optional
        Oil phase, emulsifier left out. [% of `basis`]
    of_oil_pct : float, optional
        The dose. [% of oil phase]
    printed : str
        ``formula`` or ``rule``.
    root : str
        Author or house behind it.
    source, where, seen, note : str
        Key in ``data/sources.csv``, place, how it was seen, remark.
    uses : tuple of str
        The emulsifiers of the tables that it names; empty where the tables know none.
    """

    product_type: str
    emulsifier: str
    kind: str
    emulsifier_pct: float | None
    emulsifier_low: float | None
    emulsifier_high: float | None
    basis: str
    oil_pct: float | None
    of_oil_pct: float | None
    printed: str
    root: str
    source: str
    where: str
    seen: str
    note: str = ""
    uses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DoseBand:
    """The band of doses on one basis.

    Parameters
    ----------
    basis : str
        ``formula`` or ``oil phase``.
    low, median, high : float
        10th, 50th and 90th percentile. [% of `basis`]
    n, formulas, roots : int
        Rows, printed formulas among them, and independent roots. [-]
    """

    basis: str
    low: float
    median: float
    high: float
    n: int
    formulas: int
    roots: int

    @property
    def few(self) -> bool:
        """Whether it rests on few sources."""
        return self.n < FEW

    @property
    def text(self) -> str:
        """The band in words."""
        low, middle, high = (f"{v:.1f}" if v < 10 else f"{v:.0f}" for v in (self.low, self.median, self.high))
        return (
            f"{low} to {high} % of the {self.basis}, half of them up to {middle} ({self.n} rows, "
            f"{self.formulas} of them formulas, {self.roots} roots{'; few sources' if self.few else ''})"
        )


@cache
def dose_rows() -> tuple[DoseRow, ...]:
    """All printed doses of the table.

    Returns
    -------
    tuple of DoseRow
        In the order of the file.

    Raises
    ------
    TableError
        With file, line and column.

    Examples
    --------
    >>> {row.printed for row in dose_rows()} == {"formula", "rule"}
    True
    """
    found = []
    for line, row in _rows(data_folder(), FILE, COLUMNS):
        numbers = {
            c: _number(row, c, FILE, line)
            for c in ("emulsifier_pct", "emulsifier_low", "emulsifier_high", "oil_pct", "of_oil_pct")
        }
        if any(v is not None and v < 0 for v in numbers.values()):
            raise TableError(FILE, line, "emulsifier_pct", "a dose is never negative")
        _word(row, "kind", ("", *KINDS), FILE, line)
        _word(row, "basis", ("formula", "fat base"), FILE, line)
        _word(row, "printed", ("formula", "rule"), FILE, line)
        uses = tuple(n.strip() for n in row["uses"].split(";") if n.strip())
        found.append(DoseRow(**{**row, **numbers, "uses": uses}))  # type: ignore[arg-type]
    return tuple(found)


def dose_band(
    product_type: str | ProductType, basis: str = "oil phase", *, kind: str | None = None
) -> DoseBand | None:
    """The doses that printed formulas and rules show for a product type.

    Parameters
    ----------
    product_type : str or ProductType
        Name of the product type.
    basis : str
        ``"formula"`` or ``"oil phase"``.
    kind : str, optional
        One of `KINDS`: neat emulsifiers and waxes with fatty alcohol must be told apart. All rows if
        left out.

    Returns
    -------
    DoseBand or None
        None where no row has a dose on that basis.

    Examples
    --------
    >>> dose_band("o/w cream", "formula", kind="wax").n > dose_band("w/o cream", "formula").n
    True
    """
    name = find_type(product_type).name
    basis = checked_word(basis, ("formula", "oil phase"), "basis")
    if kind is not None:
        kind = checked_word(kind, KINDS, "kind of emulsifier")
    return _band(name, basis, kind)


@cache
def _band(name: str, basis: str, kind: str | None) -> DoseBand | None:
    held: list[tuple[DoseRow, float]] = []
    for row in dose_rows():
        if row.product_type != name or (kind is not None and row.kind != kind):
            continue
        of_formula = row.emulsifier_pct if row.basis == "formula" else None
        dose = of_formula if basis == "formula" else row.of_oil_pct
        if dose is not None:
            held.append((row, dose))
    if not held:
        return None
    low, middle, high = np.percentile([d for _, d in held], [LOW_PERCENTILE, 50, HIGH_PERCENTILE])
    return DoseBand(
        basis,
        float(low),
        float(middle),
        float(high),
        len(held),
        sum(row.printed == "formula" for row, _ in held),
        len({row.root for row, _ in held}),
    )
