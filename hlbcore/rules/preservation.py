"""Preservatives: legal limits on their own basis, use ranges, pH windows, acid share, dilution.

Nothing here says that a product is safe, or that a preservative may be left out. Limits are those
of the EU (`cosing_annex_v_2015`, an edition of 2015, with later amendments where a row says so);
US law has no such list (from memory). Sources of the rules:

- Annex V is a positive list: `eu_1223_2009`, Art. 14(1)(d).
- Parabens: `eu_2014_1004`, entries 12 and 12a of Annex V.
- Label of formaldehyde releasers: `echa_annex_v_preamble`; act number `eu_2022_1181_recalled`.
- Antioxidants are no preservatives: `soapmaking_magazine_2017`.
- Wet hands: `barclay_nichols_2015_02_preservative`, `chemists_forum_11575_scrub`.
- Challenge test: `iso_11930_2019`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from hlbcore._numbers import checked
from hlbcore._tables import _number, _rows, _word
from hlbcore.errors import TableError, clipped
from hlbcore.estimate import TABLE_GRADES
from hlbcore.formula.facts import AREAS
from hlbcore.library import data_folder, load_library

PKA = {"benzoic": 4.2, "sorbic": 4.76}
"""Acid constant. [-] jscc_18_4_benzoic, p. 211 (benzoic); liquisearch_sorbic_acid (sorbic)."""

PARABEN_ENTRIES = ("12", "12a")
PARABEN_MAX = 0.8
"""All parabens together, as 4-hydroxybenzoic acid. [% of formula] eu_2014_1004, entry 12."""

APART = ("12",)
"""Entries of Annex V whose limit holds for each ester; elsewhere the salts of an entry add up."""

NEVER_TOGETHER = ("methylisothiazolinone", "methylchloroisothiazolinone_and_methylisothiazolinone")
"""Annex V, entries 39 and 57: never both; eu_2014_1003."""

WATERY = ("honey", "milk", "goat_milk")
"""Ingredients that bring water though they are no water phase; common practice, no source."""

ALCOHOLS = ("alcohol", "alcohol_denat", "isopropyl_alcohol")
ALCOHOL_PCT = 20.0
"""From about this much alcohol on a product may preserve itself. [% of formula] Common practice,
no source."""

ACID_LEAST = 0.05
"""With less of it undissociated an acid preservative is taken as useless. [-] Our convention."""

PH_BEYOND = 1.0
"""So far above its window an acid without an acid constant is taken as useless. [-] Our convention."""

HALF_OF_LEAST = 0.5
"""Below this share of the lowest use a preservative is taken as none. [-] Our convention."""

BACTERIA_ONLY = ("phenoxyethanol", "benzyl_alcohol")
"""By id: work mainly on bacteria and need a partner, say their notes in the table."""

FREE_FORMALDEHYDE_PPM = 10.0
"""Free formaldehyde above which the label names it. [ppm] Annex V, preamble;
echa_annex_v_preamble."""

STUDY = (
    "of a phenoxyethanol and paraben blend at 0.3 %, polysorbate 80 at 2.5 % took all the effect, "
    "polysorbate 20 at 2.5 to 5 % a part of it, ceteareth-20 at 5 % all and at 2.5 % none; "
    "cetearyl alcohol and glyceryl stearate at 5 % took none"
)
"""A supplier's study, quoted second-hand by village_herbs_2010_11."""

STUDY_SOURCES = (
    "village_herbs_2010_11, second-hand; cas_nonionic_preservatives, abstract; chemists_forum_43629_phenethyl"
)

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
_SLACK = 1e-9  # [% of formula] rounding of sums; not a tolerance of the law


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


def acid_share(ph: float, pka: float) -> float:
    """Share of an acid that is not dissociated.

    Parameters
    ----------
    ph : float
        pH of the water phase. [-, 0 to 14]
    pka : float
        Acid constant. [-]

    Returns
    -------
    float
        Fraction, 0 to 1. [-]

    Notes
    -----
    ``1 / (1 + 10^(pH - pKa))``. The ion has some activity too, says jscc_18_4_benzoic.

    Examples
    --------
    >>> round(100 * acid_share(5.0, PKA["benzoic"]), 1)
    13.7
    """
    ph = checked(ph, "pH", low=0, high=14)
    return 1 / (1 + 10 ** (ph - checked(pka, "pKa", low=-20, high=20)))


def diluted(share_pct: float, added_pct: float) -> float:
    """Share of a part of the base after more is added on top.

    Parameters
    ----------
    share_pct : float
        Its share before. [% of the base]
    added_pct : float
        What is added on top of 100 parts of base. [% of the base]

    Returns
    -------
    float
        Its share after. [% of the whole]

    Notes
    -----
    ``share / (1 + added / 100)``.

    Examples
    --------
    >>> round(diluted(1.0, 5.0), 3)
    0.952
    """
    share = checked(share_pct, "share", low=0, high=100, unit="%")
    return share / (1 + checked(added_pct, "what is added", low=0, unit="%") / 100)


def split_blends(amounts: Iterable[tuple[str, float]]) -> tuple[dict[str, float], tuple[str, ...]]:
    """Substances of the table, bought blends split as far as their shares are known.

    Parameters
    ----------
    amounts : iterable of (str, float)
        Ingredient ids and amounts; ids that the table does not hold are left out.
        [% of formula]

    Returns
    -------
    tuple
        Amount by substance [% of formula], and the ids of blends whose shares are missing.

    Examples
    --------
    >>> split_blends([("phenoxyethanol_and_ethylhexylglycerin", 1.0)])
    ({'phenoxyethanol': 0.9, 'ethylhexylglycerin': 0.1}, ())
    """
    table = preservatives()
    held: dict[str, float] = {}
    missing: dict[str, None] = {}
    for name, pct in amounts:
        if name not in table:
            continue
        for part in table[name].parts or (Part(name, 100.0),):
            if part.share_pct is None:
                missing[name] = None
            else:
                held[part.id] = held.get(part.id, 0.0) + pct * part.share_pct / 100
    return held, tuple(missing)


@dataclass(frozen=True, slots=True)
class LegalSum:
    """An amount against the EU maximum of its entry.

    Parameters
    ----------
    ids : tuple of str
        Substances that count together.
    entry : str
        Entry of Annex V.
    pct : float
        Together, on the basis of the maximum. [% of formula]
    max_pct : float
        EU maximum; 0 where the use is not allowed. [% of formula]
    basis : str
        What it counts.
    grade, source : str
        Of the maximum.
    """

    ids: tuple[str, ...]
    entry: str
    pct: float
    max_pct: float
    basis: str
    grade: str
    source: str

    @property
    def over(self) -> bool:
        """Whether the amount is above the maximum."""
        return self.pct > self.max_pct + _SLACK


def legal_sums(amounts: Mapping[str, float], *, leave_on: bool) -> tuple[LegalSum, ...]:
    """Amounts against the EU maxima, those of one entry added up on their common basis.

    Parameters
    ----------
    amounts : mapping of str to float
        Substances, as `split_blends` gives them. [% of formula]
    leave_on : bool
        Whether the product stays on the skin.

    Returns
    -------
    tuple of LegalSum
        One an entry; each ester of entry 12 apart, and all parabens together.

    Examples
    --------
    >>> [s] = legal_sums({"sodium_benzoate": 0.6}, leave_on=True)
    >>> s.pct, s.max_pct, s.over
    (0.508, 0.5, True)
    """
    table = preservatives()
    groups: dict[tuple[str, str], list[str]] = {}
    for name, pct in amounts.items():
        row = table.get(name)
        if row is None or pct <= 0 or row.limit_pct(leave_on=leave_on) is None:
            continue
        alone = row.annex_entry in APART or row.prohibited
        groups.setdefault((row.annex_entry, name if alone else ""), []).append(name)
    found = []
    for (entry, _), names in groups.items():
        row = table[names[0]]
        limit = row.limit_pct(leave_on=leave_on)
        assert limit is not None
        found.append(
            LegalSum(
                tuple(names),
                entry,
                _on_basis(amounts, names),
                limit,
                row.limit_basis,
                row.limit_grade,
                row.limit_source,
            )
        )
    parabens = [n for (e, _), ids in groups.items() if e in PARABEN_ENTRIES for n in ids]
    if len(parabens) > 1:
        row = table[parabens[0]]
        found.append(
            LegalSum(
                tuple(parabens),
                "12 and 12a, all parabens",
                _on_basis(amounts, parabens),
                PARABEN_MAX,
                "as 4-hydroxybenzoic acid",
                row.limit_grade,
                row.limit_source,
            )
        )
    return tuple(found)


def _on_basis(amounts: Mapping[str, float], names: Iterable[str]) -> float:
    """Sum on the basis of the limit; a prohibited substance counts as it is."""
    table = preservatives()
    return math.fsum(amounts[n] * (table[n].factor_to_basis or 1.0) for n in names)
