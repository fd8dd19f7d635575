"""[Bulk densities of gum powders] Foods 10, 1387. Table 3.

https://pmc.ncbi.nlm.nih.gov/articles/PMC8233982/table/foods-10-01387-t003
"""

from __future__ import annotations

import pytest

from hlbcore.rules.thickening import DENSITY_HIGH, DENSITY_LOW

pytestmark = pytest.mark.published

# g/mL: guar, locust bean and cellulose gum loose; least and greatest tapped; least agglomerated
TABLE_3 = {
    "guar": 0.58,
    "locust bean": 0.58,
    "cellulose": 0.57,
    "tapped": 0.71,
    "tapped, greatest": 0.77,
    "agglomerated": 0.16,
}


@pytest.mark.parametrize("name", TABLE_3)
def test_the_range_of_a_spoon_holds_table_3(name: str) -> None:
    assert DENSITY_LOW <= TABLE_3[name] <= DENSITY_HIGH


def test_the_range_of_a_spoon_is_no_wider_than_table_3() -> None:
    assert (min(TABLE_3.values()), max(TABLE_3.values())) == (DENSITY_LOW, DENSITY_HIGH)
