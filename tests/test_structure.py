from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import InvalidInput
from hlbcore.errors import EmptyPhase
from hlbcore.structure import (
    DAVIES_GROUPS,
    hlb_davies,
    hlb_from_masses,
    hlb_from_oxyethylene,
    hlb_from_saponification,
)


def test_griffin_by_mass_is_twenty_times_the_hydrophilic_share() -> None:
    assert hlb_from_masses(150.0, 300.0) == 10.0


@pytest.mark.parametrize(("part", "hlb"), [(0.0, 0.0), (300.0, 20.0)], ids=["none", "all"])
def test_griffin_by_mass_ends_at_0_and_20(part: float, hlb: float) -> None:
    assert hlb_from_masses(part, 300.0) == hlb


def test_part_heavier_than_the_whole_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"hydrophilic part: 400 g/mol is more than the whole"):
        hlb_from_masses(400.0, 300.0)


@pytest.mark.parametrize("whole", [0.0, -1.0])
def test_molar_mass_must_be_above_zero(whole: float) -> None:
    with pytest.raises(InvalidInput, match=r"molar mass: .* is too small\. Enter more than 0"):
        hlb_from_masses(0.0, whole)


@given(st.floats(1, 5000), st.floats(0, 1), st.floats(1e-3, 1e3))
def test_scale_of_molar_masses_does_not_matter(whole: float, share: float, scale: float) -> None:
    plain = hlb_from_masses(share * whole, whole)
    assert hlb_from_masses(share * whole * scale, whole * scale) == pytest.approx(plain)


def test_griffin_by_saponification() -> None:
    assert hlb_from_saponification(50.0, 200.0) == pytest.approx(15.0)


def test_swapped_titrations_are_refused() -> None:
    with pytest.raises(InvalidInput, match=r"200 is more than the acid number .*, 50\. Check which"):
        hlb_from_saponification(200.0, 50.0)


def test_acid_number_must_be_above_zero() -> None:
    with pytest.raises(InvalidInput, match=r"acid number of the fatty acid: 0 .* too small"):
        hlb_from_saponification(0.0, 0.0)


def test_ethoxylate_is_a_fifth_of_its_hydrophilic_per_cent() -> None:
    assert hlb_from_oxyethylene(50.0, 25.0) == 15.0


def test_hydrophilic_shares_above_100_are_refused() -> None:
    with pytest.raises(InvalidInput, match="oxyethylene and polyol: they add to 110 %"):
        hlb_from_oxyethylene(60.0, 50.0)


@pytest.mark.parametrize("pct", [-1.0, 101.0])
def test_oxyethylene_is_a_per_cent(pct: float) -> None:
    with pytest.raises(InvalidInput, match=r"oxyethylene: .* Enter 0 to 100 %"):
        hlb_from_oxyethylene(pct)


# Davies 1957, from memory: 7 + 38.7 - 12 * 0.475; 7 + 19.1 - 17 * 0.475
@pytest.mark.parametrize(
    ("groups", "hlb"),
    [
        ({"SO4Na": 1, "CH3": 1, "CH2": 11}, 40.0),
        ({"COONa": 1, "CH3": 1, "CH2": 14, "=CH": 2}, 18.025),
        ({"OH (free)": 1, "CH3": 1, "CH2": 15}, 1.3),
    ],
    ids=["sodium lauryl sulfate", "sodium oleate", "cetyl alcohol"],
)
def test_davies_sums_groups_from_seven(groups: dict[str, float], hlb: float) -> None:
    assert hlb_davies(groups) == pytest.approx(hlb)


@pytest.mark.parametrize(
    ("short", "full"),
    [("OH", "OH (free)"), ("O", "O (ether)"), ("N", "N (tertiary amine)"), ("ester", "ester (free)")],
)
def test_short_group_names_mean_the_free_ones(short: str, full: str) -> None:
    assert hlb_davies({short: 2}) == hlb_davies({full: 2}) == pytest.approx(7 + 2 * DAVIES_GROUPS[full])


def test_unknown_group_is_told_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"group 'CF2': no number .*\. Use SO4Na"):
        hlb_davies({"CF2": 1})


def test_negative_number_of_groups_is_refused() -> None:
    with pytest.raises(InvalidInput, match="group 'CH2': -1 is negative"):
        hlb_davies({"CH2": -1})


def test_no_groups_is_an_empty_list() -> None:
    with pytest.raises(EmptyPhase, match=r"list of groups .*\. Name the groups"):
        hlb_davies({})


def test_group_numbers_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        DAVIES_GROUPS["CH2"] = 1.0  # type: ignore[index]
