"""Fragrance allergens of the EU list: the name to print, which names belong to one entry.

The list is Annex III of Reg. (EC) 1223/2009 as amended by Reg. (EU) 2023/1545, from a table of 2024
(`echa_annex_iii_2024`, a copy); thresholds stand in `rules.fragrance`. Members of one entry count
together (wording "substance or substances"); pre- and prohaptens count as their allergen and are only
found where a sheet names them. `data/eu_allergens.csv` says of each name how well it is known.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from hlbcore._tables import _rows, _word
from hlbcore.folders import data_folder
from hlbcore.ingredients import fold
from hlbcore.library import load_library

FILE = "eu_allergens.csv"
COLUMNS = ("name", "entry", "kind", "member", "cas", "ids", "since", "note", "source", "where", "name_seen")


@dataclass(frozen=True, slots=True)
class Allergen:
    """One entry of the list.

    Parameters
    ----------
    name : str
        As it is printed.
    entry : str
        Number in Annex III.
    kind : str
        ``substance``, ``plant`` or ``prohibited``.
    members : tuple of str
        Names of the substances that count together.
    ids : tuple of str
        Ingredients of the tables that belong to it.
    since : str
        Date from which new products name it; blank where it was named before 2023.
    note : str
        Other terms of the entry.
    name_seen : str
        How well the printed name is known.
    """

    name: str
    entry: str
    kind: str
    members: tuple[str, ...]
    ids: tuple[str, ...]
    since: str
    note: str
    name_seen: str


@cache
def eu_allergens() -> tuple[Allergen, ...]:
    """The list, in the order of its entries.

    Returns
    -------
    tuple of Allergen
        With what is prohibited, so that it is found.

    Examples
    --------
    >>> len([a for a in eu_allergens() if a.kind != "prohibited"])
    81
    """
    library = load_library()
    held: dict[str, list[dict[str, str]]] = {}
    for line, row in _rows(data_folder(), FILE, COLUMNS):
        _word(row, "kind", ("substance", "plant", "prohibited"), FILE, line)
        _word(row, "source", library.sources, FILE, line)
        if row["ids"]:
            _word(row, "ids", library.ingredients, FILE, line)
        held.setdefault(row["name"], []).append(row)
    return tuple(
        Allergen(
            name,
            rows[0]["entry"],
            rows[0]["kind"],
            tuple(dict.fromkeys(m.strip() for r in rows for m in r["member"].split(" / "))),
            tuple(r["ids"] for r in rows if r["ids"]),
            rows[0]["since"],
            " ".join(dict.fromkeys(r["note"] for r in rows if r["note"])),
            rows[0]["name_seen"],
        )
        for name, rows in held.items()
    )


@cache
def _by_name() -> Mapping[str, Allergen]:
    found: dict[str, Allergen] = {}
    for allergen in eu_allergens():
        for name in (allergen.name, *allergen.members):
            found.setdefault(fold(name), allergen)
    return MappingProxyType(found)


@cache
def _by_id() -> Mapping[str, Allergen]:
    return MappingProxyType({i: a for a in eu_allergens() for i in a.ids})


def allergen_named(name: str, id: str = "") -> Allergen | None:
    """The entry that a name or an ingredient belongs to.

    Parameters
    ----------
    name : str
        A name of a supplier's sheet, with or without d-, l-, (E)- and the like.
    id : str
        Id of an ingredient of the tables.

    Returns
    -------
    Allergen or None
        None for what is not on the list that is held here.

    Examples
    --------
    >>> allergen_named("d-limonene").name, allergen_named("", "lavender_oil").name
    ('Limonene', 'Lavandula Oil/Extract')
    """
    if id in _by_id():
        return _by_id()[id]
    bare = re.sub(r"^(?:\(?[+-]\)?-?|dl-|d-|l-|\(?[rsez]\)?-|trans-|cis-)", "", name.strip(), flags=re.I)
    return _by_name().get(fold(name)) or _by_name().get(fold(bare))
