"""[Constants of the equation of Norrish], PMC2836749, Table 3.

https://pmc.ncbi.nlm.nih.gov/articles/PMC2836749/table/tab3 , seen.
"""

import pytest

from hlbcore.rules.jar.activity import SOLUTES

pytestmark = pytest.mark.published

TABLE_3 = {"glycerin": 1.16, "sorbitol": 1.65, "xylitol": 1.66, "erythritol": 1.34, "mannitol": 0.906}


def test_constants_are_those_of_the_table() -> None:
    held = {name: s.k for name, s in SOLUTES.items() if s.source == "pmc2836749"}
    assert held == TABLE_3
