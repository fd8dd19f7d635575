"""Anonymous, [homework page, HLB of three emulsifiers].

https://www.atlas.org/solution/214471d1-99c6-47f4-8eff-b41cbc6c7bb4/
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

PARTS = {"polysorbate 20": 16.7, "sorbitan laurate": 8.6, "sorbitan oleate": 4.3}


def test_three_emulsifiers_20_30_50() -> None:
    blend = hlb.blend_hlb([(20, 16.7), (30, 8.6), (50, 4.3)], shares=True)
    assert blend.value == printed("8.07")
    assert blend.value == within(8.07, 1e-9)
    assert [f * p.value for f, p in zip(blend.mixture.fractions, blend.mixture.parts, strict=True)] == [
        printed("3.34"),
        printed("2.58"),
        printed("2.15"),
    ]


@pytest.mark.parametrize("objective", ["closest", "most tolerant", "least total", "fewest"])
def test_shares_found_for_8_07_put_back_into_the_sum_give_it(objective: str) -> None:
    # no published inverse for three was found: it has one free choice
    blend = hlb.solve_blend(PARTS, 8.07, total=5, window=0, objective=objective)
    back = hlb.blend_hlb([(m, PARTS[n]) for n, m in blend.amounts.items()])
    assert back.value == within(8.07, 1e-6)
    assert sum(blend.masses) == within(5, 1e-9)
