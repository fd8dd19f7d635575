"""The preservatives of the tables: use range, EU maximum, pH, what may be sold together."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from hlbcore._tables import _number, _rows, _word
from hlbcore.errors import TableError, clipped
from hlbcore.folders import data_folder
from hlbcore.formula.facts import AREAS
from hlbcore.library import load_library
from hlbcore.readings import TABLE_GRADES

PKA = {"benzoic": 4.2, "sorbic": 4.76}
"""Acid constant. [-] jscc_18_4_benzoic, p. 211 (benzoic); liquisearch_sorbic_acid (sorbic)."""


ROLES = ("preservative", "booster", "antioxidant")


ACIDS = ("", *PKA, "other")


BODY_LEAVE_ON = "body leave-on"
"""Area in the table for what may be rinsed off the body but not left on it."""


FILE = "preservatives.csv"


COLUMNS = (
    "id",
    "annex_entry",
    "listed",
    "role",
    "rinse_off_max_pct",
    "leave_on_max_pct",
    "limit_basis",
    "factor_to_basis",
    "limit_grade",
    "limit_source",
    "conditions",
    "not_for",
    "parts",
    "use_min_pct",
    "use_max_pct",
    "use_grade",
    "use_source",
    "ph_min",
    "ph_max",
    "ph_grade",
    "ph_source",
    "acid",
    "releases_formaldehyde",
    "phase",
    "note",
)


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a bought blend.

    Parameters
    ----------
    id : str
        The substance.
    share_pct : float or None
        Its share, None where only the supplier knows. [% of the blend]
    """

    id: str
    share_pct: float | None


@dataclass(frozen=True, slots=True)
class Preservative:
    """One row of the table of preservatives.

    Parameters
    ----------
    id : str
        Ingredient.
    annex_entry : str
        Entry of Annex V of Regulation (EC) No 1223/2009, or what stands in its place.
    listed : bool
        Whether Annex V lists it, or the parts of a blend.
    role : str
        One of `ROLES`.
    rinse_off_max_pct, leave_on_max_pct : float or None
        EU maximum on its basis; 0 where that use is not allowed. [% of formula]
    limit_basis : str
        What the maximum counts, for example the acid of a salt.
    factor_to_basis : float or None
        Amount on the basis in one part of the substance. [-]
    conditions : str
        Further conditions of the entry.
    not_for : tuple of str
        Areas of use that are not allowed.
    parts : tuple of Part
        Parts of a bought blend.
    use_min_pct, use_max_pct : float or None
        Usual range of use, as bought. [% of formula]
    ph_min, ph_max : float or None
        pH window. [-]
    limit_grade, limit_source, use_grade, use_source, ph_grade, ph_source : str
        Grade and source of each group of figures; blank where there is none.
    acid : str
        ``"benzoic"``, ``"sorbic"`` or ``"other"`` where only the undissociated acid works well.
    releases_formaldehyde : bool
        Whether it does.
    phase : str
        What it dissolves in: water, oil, both or glycol.
    note : str
        Remark.
    """

    id: str
    annex_entry: str
    listed: bool
    role: str
    rinse_off_max_pct: float | None
    leave_on_max_pct: float | None
    limit_basis: str
    factor_to_basis: float | None
    limit_grade: str
    limit_source: str
    conditions: str
    not_for: tuple[str, ...]
    parts: tuple[Part, ...]
    use_min_pct: float | None
    use_max_pct: float | None
    use_grade: str
    use_source: str
    ph_min: float | None
    ph_max: float | None
    ph_grade: str
    ph_source: str
    acid: str
    releases_formaldehyde: bool
    phase: str
    note: str

    @property
    def prohibited(self) -> bool:
        """Whether the EU allows it in no cosmetic product."""
        return self.rinse_off_max_pct == 0 and self.leave_on_max_pct == 0

    @property
    def protects(self) -> bool:
        """Whether it counts as a preservative by EU law."""
        return self.role == "preservative" and self.listed and not self.prohibited

    def limit_pct(self, *, leave_on: bool) -> float | None:
        """EU maximum on its basis; None where there is none. [% of formula]"""
        return self.leave_on_max_pct if leave_on else self.rinse_off_max_pct


def _parts(text: str, line: int, known: Iterable[str]) -> tuple[Part, ...]:
    found = []
    for piece in filter(None, (p.strip() for p in text.split(";"))):
        name, _, share = piece.partition(" ")
        if name not in known:
            raise TableError(FILE, line, "parts", f"'{clipped(name)}' is not known here")
        number = None if share == "?" else _number({"parts": share}, "parts", FILE, line)
        if share != "?" and (number is None or not 0 < number <= 100):
            raise TableError(FILE, line, "parts", f"'{clipped(piece)}' has no share in %, nor ?")
        found.append(Part(name, number))
    return tuple(found)


def read_preservatives(folder: Path) -> dict[str, Preservative]:
    """The table of preservatives of a folder.

    Parameters
    ----------
    folder : Path
        Holds ``preservatives.csv``; ids and sources are those of the built-in tables.

    Returns
    -------
    dict of str to Preservative
        By id.

    Raises
    ------
    TableError
        With file, line and column.
    """
    library = load_library()
    found: dict[str, Preservative] = {}
    for line, row in _rows(folder, FILE, COLUMNS):
        name = _word(row, "id", library.ingredients, FILE, line)
        if name in found:
            raise TableError(FILE, line, "id", f"'{name}' stands twice")
        number = {
            c: _number(row, c, FILE, line)
            for c in (
                "rinse_off_max_pct",
                "leave_on_max_pct",
                "factor_to_basis",
                "use_min_pct",
                "use_max_pct",
                "ph_min",
                "ph_max",
            )
        }
        for c, n in number.items():
            if n is not None and not 0 <= n <= 100:
                raise TableError(FILE, line, c, f"{n:g} is out of range")
        for group in ("use", "ph"):
            ends = [number[c] for c in number if c.startswith(f"{group}_")]
            held = [n for n in ends if n is not None]
            if held != sorted(held):
                raise TableError(
                    FILE,
                    line,
                    f"{group}_min_pct".replace("ph_min_pct", "ph_min"),
                    "least and greatest are not in rising order",
                )
        groups = {"limit": "leave_on_max_pct", "use": "use_max_pct", "ph": "ph_max"}
        for group, column in groups.items():
            blank = number[column] is None
            _word(row, f"{group}_grade", ("",) if blank else TABLE_GRADES, FILE, line)
            _word(row, f"{group}_source", ("",) if blank else library.sources, FILE, line)
        areas = tuple(filter(None, (a.strip() for a in row["not_for"].split(";"))))
        allowed = (*AREAS, BODY_LEAVE_ON)
        if set(areas) - set(allowed):
            raise TableError(FILE, line, "not_for", f"use {', '.join(allowed)}")
        found[name] = Preservative(
            id=name,
            annex_entry=row["annex_entry"],
            listed=_word(row, "listed", ("yes", "no"), FILE, line) == "yes",
            role=_word(row, "role", ROLES, FILE, line),
            rinse_off_max_pct=number["rinse_off_max_pct"],
            leave_on_max_pct=number["leave_on_max_pct"],
            limit_basis=row["limit_basis"],
            factor_to_basis=number["factor_to_basis"],
            limit_grade=row["limit_grade"],
            limit_source=row["limit_source"],
            conditions=row["conditions"],
            not_for=areas,
            parts=_parts(row["parts"], line, library.ingredients),
            use_min_pct=number["use_min_pct"],
            use_max_pct=number["use_max_pct"],
            use_grade=row["use_grade"],
            use_source=row["use_source"],
            ph_min=number["ph_min"],
            ph_max=number["ph_max"],
            ph_grade=row["ph_grade"],
            ph_source=row["ph_source"],
            acid=_word(row, "acid", ACIDS, FILE, line),
            releases_formaldehyde=(_word(row, "releases_formaldehyde", ("yes", "no"), FILE, line) == "yes"),
            phase=_word(row, "phase", ("", "water", "oil", "both", "glycol"), FILE, line),
            note=row["note"],
        )
    return found


@cache
def preservatives() -> Mapping[str, Preservative]:
    """The built-in table of preservatives, by id.

    Returns
    -------
    mapping of str to Preservative
        Immutable; boosters and antioxidants are there too, and say so.

    Examples
    --------
    >>> preservatives()["phenoxyethanol"].limit_pct(leave_on=True)
    1.0
    >>> preservatives()["phenylpropanol_and_ethylhexylglycerin"].listed
    False
    """
    return MappingProxyType(read_preservatives(data_folder()))
