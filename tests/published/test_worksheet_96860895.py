"""Anonymous, [student sheet on the required HLB and the amounts of emulsifiers, Portuguese].

https://www.passeidireto.com/arquivo/96860895/como-calcular-ehl-e-emulsificantes
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

PHASE = [(22, 12), (8, 11), (20, 10)]


def test_shares_of_the_oil_phase() -> None:
    shares = list(hlb.required_hlb(PHASE).contributions["share_pct"])
    assert shares == [printed("44"), printed("16"), printed("40")]


def test_required_hlb_of_three_oils() -> None:
    value = hlb.required_hlb(PHASE).value
    assert value == printed("11.04")
    assert value == within(11.04, 1e-12)


def test_five_grams_of_two_unnamed_emulsifiers() -> None:
    amounts = hlb.solve_blend({"Y": 16, "Z": 6}, hlb.required_hlb(PHASE), total=5).amounts
    assert amounts["Z"] == printed("2.48")
    assert amounts["Z"] == within(2.48, 1e-9)
    assert amounts["Y"] == printed("2.52")
    assert amounts["Y"] == within(2.52, 1e-9)
    assert 100 * amounts["Z"] / 5 == printed("49.6")
