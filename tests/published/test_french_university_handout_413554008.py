"""Anonymous, [French university hand-out on formulation, Table 1].

https://de.scribd.com/document/413554008/Rattrapage-Formulation
"""

import pytest
from molmass import Formula
from printed_values import printed, within

from hlbcore import load_library, structure

pytestmark = pytest.mark.published

OXYETHYLENE = Formula("C2H4O").mass
LAURYL_ALCOHOL, NONYLPHENOL, STEARIC_ACID = "C12H26O", "C15H24O", "C18H36O2"
HYDROGENATED_CASTOR_OIL = "C57H110O9"


@pytest.mark.parametrize(
    ("feed", "moles", "name", "listed", "exact", "tolerance"),
    [
        pytest.param(LAURYL_ALCOHOL, 4, "laureth-4", 9.7, 9.72, 0.05, id="laureth-4"),
        pytest.param(NONYLPHENOL, 5, "nonoxynol-5", 10.0, 10.00, 0.35, id="nonoxynol-5"),
        pytest.param(NONYLPHENOL, 9, "nonoxynol-9", 13.0, 12.86, 0.35, id="nonoxynol-9"),
        pytest.param(STEARIC_ACID, 8, "PEG-8 stearate", 11.1, 11.07, 0.35, id="PEG-8"),
        pytest.param(STEARIC_ACID, 40, "PEG-40 stearate", 16.9, 17.22, 0.35, id="PEG-40"),
        pytest.param(STEARIC_ACID, 100, "PEG-100 stearate", 18.8, 18.79, 0.35, id="PEG-100"),
        pytest.param(
            HYDROGENATED_CASTOR_OIL, 25, "PEG-25 hydrogenated castor oil", 10.8, 10.79, 0.35, id="PEG-25 HCO"
        ),
    ],
)
def test_table_1_ethoxylates_agree_with_griffin(
    feed: str, moles: int, name: str, listed: float, exact: float, tolerance: float
) -> None:
    part = moles * OXYETHYLENE
    value = structure.hlb_from_masses(part, part + Formula(feed).mass)
    assert value == within(exact, 0.005)
    assert value == within(listed, tolerance)
    source = "french_university_handout_413554008"
    readings = load_library().emulsifier(name).hlb_readings
    assert [r.value for r in readings if r.source == source] == [listed]


@pytest.mark.parametrize(
    ("head", "page", "exact"),
    [
        pytest.param("COONa", "18.0", 18.025, id="sodium oleate"),
        pytest.param("COOK", "20.0", 20.025, id="potassium oleate"),
    ],
)
def test_table_1_oleates_have_17_lipophilic_carbons(head: str, page: str, exact: float) -> None:
    # the carboxyl carbon belongs to the head
    value = structure.hlb_davies({head: 1, "CH3": 1, "CH2": 14, "=CH": 2})
    assert value == printed(page)
    assert value == within(exact, 1e-9)
