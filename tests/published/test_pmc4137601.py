"""Anonymous, [paper with a table of polysorbate 80 and sorbitan oleate blends], PMC4137601.

Table 2, https://pmc.ncbi.nlm.nih.gov/articles/PMC4137601/table/tab2
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("parts", "page"), [(9, "13.93"), (8, "12.86"), (7, "11.79")], ids=["9:1", "8:2", "7:3"]
)
def test_table_2_blends_of_15_and_4_3(parts: float, page: str) -> None:
    value = hlb.blend_hlb([(parts, 15.00), (10 - parts, 4.30)]).value
    assert value == printed(page)
    assert value == within(float(page), 1e-9)
