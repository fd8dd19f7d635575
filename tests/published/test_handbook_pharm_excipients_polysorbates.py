"""Handbook of Pharmaceutical Excipients, polysorbate monograph, tables as reposted.

https://todocine1245.blogspot.com/2024/11/table-vi-pharmacopeial-specifications.html
Saponification bands as printed; the acid number of the pure acid is computed.
"""

import pytest
from molmass import Formula

from hlbcore import load_library, structure

pytestmark = pytest.mark.published

POTASSIUM_HYDROXIDE = 1000 * Formula("KOH").mass


@pytest.mark.parametrize(
    ("name", "acid", "saponification"),
    [
        pytest.param("polysorbate 20", "C12H24O2", (40, 50), id="20"),
        pytest.param("polysorbate 40", "C16H32O2", (41, 52), id="40"),
        pytest.param("polysorbate 60", "C18H36O2", (45, 55), id="60"),
        pytest.param("polysorbate 80", "C18H34O2", (45, 55), id="80"),
    ],
)
def test_listed_polysorbates_lie_inside_their_saponification_band(
    name: str, acid: str, saponification: tuple[float, float]
) -> None:
    number = POTASSIUM_HYDROXIDE / Formula(acid).mass
    low = structure.hlb_from_saponification(saponification[1], number)
    high = structure.hlb_from_saponification(saponification[0], number)
    listed = load_library().emulsifier(name).hlb
    assert listed is not None
    assert low <= listed.value <= high
