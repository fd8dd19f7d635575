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

from hlbcore._numbers import checked
from hlbcore.rules.preservatives import Part, preservatives

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


_SLACK = 1e-9  # [% of formula] rounding of sums; not a tolerance of the law


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
    >>> from hlbcore.rules.preservatives import PKA
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
