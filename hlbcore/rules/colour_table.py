"""The table of colour additives: what a row holds, and how it is read."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from hlbcore._numbers import checked_word
from hlbcore._tables import _number, _rows, _word
from hlbcore.errors import TableError, clipped
from hlbcore.formula.facts import AREAS
from hlbcore.library import load_library

USES = ("yes", "named", "makeup", "ask", "parent", "no")
"""May it be used there: yes; only in the products named; only in make-up of the kinds named; the
supplier's statement decides; as its parent colour; no. The most open first."""


GRADES = ("seen", "part seen", "memory")
"""How well the permission is known; the column ``where`` says which part."""


CERTIFIED = ("yes", "no", "not listed")


LIMIT_FOR = ("", *AREAS, "all", "dentifrices", "nail polish")


FILE = "us_colour_additives.csv"


COLUMNS = (
    "ids",
    "colour",
    "inci_or_ci",
    "cfr_section",
    "certified",
    "external",
    "lips",
    "eye_area",
    "only_for",
    "limit",
    "limit_pct",
    "limit_for",
    "grade",
    "source",
    "where",
    "note",
)


_NUMBER = re.compile(r"\d{5}(?::\d)?")


@dataclass(frozen=True, slots=True)
class Colour:
    """One row of a list of colour additives.

    Parameters
    ----------
    ids : tuple of str
        Ingredients it stands for; empty for a group without ingredients of its own.
    name : str
        Name in the list.
    numbers : tuple of str
        Colour Index numbers, without ``CI``.
    section : str
        Section of the law.
    certified : bool
        Whether each lot needs a certificate.
    listed : bool
        Whether the list holds it at all for cosmetics.
    external, lips, eye_area : str
        One of `USES`, by place on the body.
    only_for : str
        The products that the section names; blank where it names none.
    limit : str
        Limit in words.
    limit_pct : float or None
        Limit as a number. [% of formula]
    limit_for : str
        Where the number holds: an area, ``"all"``, or a product outside body care.
    grade, source, where, note : str
        How well the row is known, its source, what of it was seen, a remark.
    """

    ids: tuple[str, ...]
    name: str
    numbers: tuple[str, ...]
    section: str
    certified: bool
    listed: bool
    external: str
    lips: str
    eye_area: str
    only_for: str
    limit: str
    limit_pct: float | None
    limit_for: str
    grade: str
    source: str
    where: str
    note: str

    def use(self, area: str) -> str:
        """Whether it may be used there.

        Parameters
        ----------
        area : str
            One of `AREAS`.

        Returns
        -------
        str
            One of `USES`; make-up of the kinds named is not for the body.
        """
        place = checked_word(area, AREAS, "area")
        word = {"lips": self.lips, "eye area": self.eye_area}.get(place, self.external)
        return "no" if word == "makeup" and place == "body" else word

    def limit_at(self, area: str) -> float | None:
        """The limit there as a number.

        Parameters
        ----------
        area : str
            One of `AREAS`.

        Returns
        -------
        float or None
            None where the list gives no number for that place. [% of formula]
        """
        place = checked_word(area, AREAS, "area")
        return self.limit_pct if self.limit_for in (place, "all") else None


def read_colours(folder: Path) -> tuple[Colour, ...]:
    """Read the US list of colour additives.

    Parameters
    ----------
    folder : Path
        Holds ``us_colour_additives.csv``.

    Returns
    -------
    tuple of Colour
        In the order of the file.

    Raises
    ------
    TableError
        With file, line and column.
    """
    library = load_library()
    found: list[Colour] = []
    taken: set[str] = set()
    for line, row in _rows(folder, FILE, COLUMNS):
        ids = tuple(filter(None, (i.strip() for i in row["ids"].split(";"))))
        for i in ids:
            if i not in library.ingredients:
                raise TableError(FILE, line, "ids", f"'{clipped(i)}' is not known here")
            if i in taken:
                raise TableError(FILE, line, "ids", f"'{clipped(i)}' stands twice")
        taken.update(ids)
        limit = _number(row, "limit_pct", FILE, line)
        if limit is not None and not 0 < limit <= 100:
            raise TableError(FILE, line, "limit_pct", "a percentage above 0 is wanted")
        if (limit is None) == bool(_word(row, "limit_for", LIMIT_FOR, FILE, line)):
            raise TableError(FILE, line, "limit_for", "number and place are given together")
        certified = _word(row, "certified", CERTIFIED, FILE, line)
        found.append(
            Colour(
                ids,
                row["colour"],
                tuple(_NUMBER.findall(row["inci_or_ci"])),
                row["cfr_section"],
                certified == "yes",
                certified != "not listed",
                _word(row, "external", USES, FILE, line),
                _word(row, "lips", USES, FILE, line),
                _word(row, "eye_area", USES, FILE, line),
                row["only_for"],
                row["limit"],
                limit,
                row["limit_for"],
                _word(row, "grade", GRADES, FILE, line),
                _word(row, "source", library.sources, FILE, line),
                row["where"],
                row["note"],
            )
        )
    return tuple(found)
