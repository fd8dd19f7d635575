"""Griffin's and Davies' formulas against the listed values in data/emulsifier_hlb.csv.

Agreement and misses as R. C. Pasquali, M. P. Taurozzi, C. Bregni, Int. J. Pharm. 356 (2008) 44-51
(abstract) say: alkyl ethers and PEG esters coincide with theory, sorbitan esters and polysorbates
do not. Structures are those of textbooks, one ester group, from memory; molar masses by molmass.
"""

import pytest
from molmass import Formula
from printed_values import within

from hlbcore import blend_hlb, load_library, structure

pytestmark = pytest.mark.published

OXYETHYLENE, SORBITAN = Formula("C2H4O").mass, Formula("C6H12O5").mass
MONOESTERS = {"laurate": "C18H34O6", "palmitate": "C22H42O6", "stearate": "C24H46O6", "oleate": "C24H44O6"}


def readings(name: str) -> list[float]:
    return [r.value for r in load_library().emulsifier(name).hlb_readings]


@pytest.mark.parametrize(
    ("number", "ester", "listed", "exact", "miss"),
    [
        pytest.param(20, "laurate", 16.7, 17.03, 0.33, id="20"),
        pytest.param(40, "palmitate", 15.6, 16.29, 0.69, id="40"),
        pytest.param(60, "stearate", 14.9, 15.94, 1.04, id="60"),
        pytest.param(80, "oleate", 15.0, 15.96, 0.96, id="80"),
    ],
)
def test_structure_overstates_polysorbates_by_0_3_to_1_0(
    number: int, ester: str, listed: float, exact: float, miss: float
) -> None:
    oxyethylene = 20 * OXYETHYLENE
    whole = Formula(MONOESTERS[ester]).mass + oxyethylene
    value = structure.hlb_from_oxyethylene(100 * oxyethylene / whole, 100 * SORBITAN / whole)
    assert listed in readings(f"polysorbate {number}")
    assert value == within(exact, 0.01)
    assert value - listed == within(miss, 0.01)


@pytest.mark.parametrize(
    ("ester", "listed", "exact", "miss"),
    [
        ("laurate", 8.6, 9.48, 0.88),
        ("palmitate", 6.7, 8.16, 1.46),
        ("stearate", 4.7, 7.62, 2.92),
        ("oleate", 4.3, 7.66, 3.36),
    ],
    ids=list(MONOESTERS),
)
def test_structure_overstates_sorbitan_esters_by_0_9_to_3_4(
    ester: str, listed: float, exact: float, miss: float
) -> None:
    value = structure.hlb_from_masses(SORBITAN, Formula(MONOESTERS[ester]).mass)
    assert listed in readings(f"sorbitan {ester}")
    assert value == within(exact, 0.01)
    assert value - listed == within(miss, 0.01)


@pytest.mark.parametrize(
    ("name", "carbons", "moles", "listed"),
    [
        ("steareth-2", 18, 2, 4.9),
        ("steareth-20", 18, 20, 15.3),
        ("ceteth-2", 16, 2, 5.3),
        ("ceteth-10", 16, 10, 12.9),
        ("ceteth-20", 16, 20, 15.7),
        ("laureth-4", 12, 4, 9.7),
        ("laureth-23", 12, 23, 16.9),
    ],
)
def test_griffin_meets_ethoxylated_alcohols_where_davies_misses_by_more_than_one(
    name: str, carbons: int, moles: int, listed: float
) -> None:
    part = moles * OXYETHYLENE
    alcohol = Formula(f"C{carbons}H{2 * carbons + 2}O").mass
    griffin = structure.hlb_from_masses(part, part + alcohol)
    davies = structure.hlb_davies({"OH": 1, "O": moles, "CH2": 2 * moles + carbons - 1, "CH3": 1})
    assert listed in readings(name)
    assert griffin == within(listed, 0.05)
    assert abs(davies - listed) > 1


@pytest.mark.parametrize(
    ("name", "groups"),
    [
        ("sodium lauryl sulfate", {"SO4Na": 1, "CH3": 1, "CH2": 11}),
        ("sodium oleate", {"COONa": 1, "CH3": 1, "CH2": 14, "=CH": 2}),
        ("potassium oleate", {"COOK": 1, "CH3": 1, "CH2": 14, "=CH": 2}),
    ],
    ids=["sodium lauryl sulfate", "sodium oleate", "potassium oleate"],
)
def test_davies_meets_the_listed_ionics(name: str, groups: dict[str, float]) -> None:
    value = structure.hlb_davies(groups)
    assert min(abs(value - r) for r in readings(name)) <= 0.05


@pytest.mark.parametrize("name", ["polysorbate 20", "polysorbate 80", "sorbitan oleate"])
def test_a_blend_uses_the_listed_value_and_never_the_structure(name: str) -> None:
    listed = load_library().emulsifier(name).hlb
    assert listed is not None
    assert blend_hlb({name: 1}).value == listed.value
