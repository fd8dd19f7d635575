"""What must hold of the table of preservatives, whatever figures it gets."""

from __future__ import annotations

from itertools import pairwise

import pytest
from molmass import Formula as Molecule

from hlbcore import Library
from hlbcore.rules.preservatives import Preservative, preservatives

GROUPS = ("limit", "use", "ph")
# substance, the molecule of the legal basis and of the substance
SALTS = {
    "sodium_benzoate": ("C7H6O2", "C7H5NaO2"),
    "potassium_benzoate": ("C7H6O2", "C7H5KO2"),
    "potassium_sorbate": ("C6H8O2", "C6H7KO2"),
    "sodium_dehydroacetate": ("C8H8O4", "C8H7NaO4"),
    "sodium_propionate": ("C3H6O2", "C3H5NaO2"),
    "sodium_formate": ("CH2O2", "CHNaO2"),
    "methylparaben": ("C7H6O3", "C8H8O3"),
    "ethylparaben": ("C7H6O3", "C9H10O3"),
    "propylparaben": ("C7H6O3", "C10H12O3"),
    "butylparaben": ("C7H6O3", "C11H14O3"),
    "chlorhexidine_digluconate": ("C22H30Cl2N10", "C34H54Cl2N10O14"),
    "chlorhexidine_diacetate": ("C22H30Cl2N10", "C26H38Cl2N10O4"),
    "chlorhexidine_dihydrochloride": ("C22H30Cl2N10", "C22H32Cl4N10"),
}


def rows() -> list[Preservative]:
    return list(preservatives().values())


@pytest.mark.parametrize("name", SALTS)
def test_factor_is_the_ratio_of_molar_masses(name: str) -> None:
    basis, substance = (Molecule(f).mass for f in SALTS[name])
    assert preservatives()[name].factor_to_basis == pytest.approx(basis / substance, abs=0.0006)


def test_every_factor_below_1_is_recomputed_here() -> None:
    assert {r.id for r in rows() if r.factor_to_basis not in (None, 1.0)} == set(SALTS)


def test_rows_are_sorted() -> None:
    ids = list(preservatives())
    assert [p for p in pairwise(ids) if p[0] >= p[1]] == []


def test_every_preservative_of_the_ingredients_has_a_row(library: Library) -> None:
    held = {i.id for i in library if i.kind == "preservative"}
    assert held - set(preservatives()) == {"preservative_unspecified"}


@pytest.mark.parametrize("group", GROUPS)
def test_grade_is_memory_exactly_where_the_source_is(group: str, library: Library) -> None:
    for r in rows():
        grade, source = getattr(r, f"{group}_grade"), getattr(r, f"{group}_source")
        if source:
            assert (grade == "memory") == (library.sources[source].kind == "memory"), r.id


def test_what_is_not_listed_has_no_legal_maximum_above_0() -> None:
    assert [r.id for r in rows() if not r.listed and r.leave_on_max_pct] == []


def test_no_booster_or_antioxidant_is_listed() -> None:
    assert [r.id for r in rows() if r.role != "preservative" and r.listed] == []


def test_leave_on_maximum_is_never_above_the_rinse_off_one() -> None:
    odd = [
        r.id
        for r in rows()
        if r.leave_on_max_pct is not None
        and (r.rinse_off_max_pct is None or r.leave_on_max_pct > r.rinse_off_max_pct)
    ]
    assert odd == []


def test_a_maximum_above_0_has_its_factor() -> None:
    assert [r.id for r in rows() if r.rinse_off_max_pct and not r.factor_to_basis] == []


def test_every_part_has_a_row_or_is_no_preservative(library: Library) -> None:
    parts = {p.id for r in rows() for p in r.parts}
    assert parts - set(preservatives()) == set()


def test_known_shares_of_a_blend_add_to_at_most_100() -> None:
    odd = [r.id for r in rows() if sum(p.share_pct or 0 for p in r.parts) > 100]
    assert odd == []


def test_a_use_range_at_its_end_keeps_the_legal_maximum() -> None:
    # 0.01 % of formula: the printed ends are rounded
    odd = [
        r.id
        for r in rows()
        if r.rinse_off_max_pct
        and r.use_max_pct is not None
        and r.factor_to_basis is not None
        and r.use_max_pct * r.factor_to_basis > r.rinse_off_max_pct + 0.01
    ]
    assert odd == []
