"""Anonymous, [Indonesian pharmacy exercise on a homework page].

https://studyx.ai/homework/101529772-21-suatu-industri-farmasi-ingin-membuat-emulsi-o-w-dengan-formula-sebagai-berikut-liquid
The answer there is wrong.
"""

import pytest
from printed_values import printed, within

import hlbcore as hlb

pytestmark = pytest.mark.published

PHASE = {"mineral oil": "25 %", "lanolin": "1 %", "cetyl alcohol": "1 %"}
VALUES = {"mineral oil": 12, "lanolin": 10, "cetyl alcohol": 15}


def test_required_hlb_is_12_04_and_not_57_14() -> None:
    # published 57.14: shares were taken of the whole formula and an emulsifier was added in
    value = hlb.required_hlb(PHASE, values=VALUES).value
    assert value == within(325 / 27, 1e-12)
    assert value != printed("57.14")


def test_required_hlb_lies_between_its_inputs() -> None:
    value = hlb.required_hlb(PHASE, values=VALUES).value
    assert min(VALUES.values()) <= value <= max(VALUES.values())


def test_an_emulsifier_in_the_formula_changes_nothing() -> None:
    with_emulsifier = {**PHASE, "polysorbate 80": "5 %", "water": "68 %"}
    assert hlb.required_hlb(with_emulsifier, values=VALUES).value == within(325 / 27, 1e-12)


def test_57_14_is_refused_as_a_target() -> None:
    with pytest.raises(hlb.InvalidInput, match=r"target: 57\.14 is out of range\. Enter 0 to 40"):
        hlb.solve_blend({"sorbitan oleate": 4.3, "polysorbate 80": 15}, 57.14)
