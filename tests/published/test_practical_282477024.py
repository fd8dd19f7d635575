"""Anonymous, [student practical on emulsions, Indonesian], table a.

https://id.scribd.com/doc/282477024/Hasil-Pengamatan-emulsi
Liquid paraffin 20 %, ten tubes of 25 g with 1.25 g of polysorbate 80 (15) and sorbitan stearate
(4.7); only that pair reproduces the printed grams. Labels 10 to 13 are printed; those of tubes 1
to 6 were lost in the stored text and are read from the grams.
"""

from __future__ import annotations

import numpy as np
import pytest
from printed_values import within

import hlbcore as hlb
from hlbcore.ladder.arrays import responses
from hlbcore.ladder.doubts import recorded_ladder

pytestmark = pytest.mark.published

# label, polysorbate 80, sorbitan stearate, HLB of the grams (computed), last reading Hv/Ho
TUBES = [
    (4, 0.075, 1.175, 5.318, 0.664),
    (5, 0.036, 1.214, 4.997, 0.652),
    (6, 0.16, 1.09, 6.018, 0.68),
    (7, 0.279, 0.971, 6.999, 0.56),
    (8, 0.4, 0.85, 7.996, 0.7),
    (9, 0.521, 0.724, 9.010, 0.66),
    (10, 0.643, 0.607, 9.998, 0.704),
    (11, 0.726, 0.485, 10.875, 0.704),
    (12, 0.886, 0.364, 12.001, 0.792),
    (13, 1.007, 0.245, 12.984, 0.744),
]
LADDER = recorded_ladder(
    [(t, {"polysorbate 80": a, "sorbitan stearate": b}) for t, a, b, *_ in TUBES],
    {"polysorbate 80": 15, "sorbitan stearate": 4.7},
)
TRIAL = hlb.Trial(
    LADDER,
    observations=tuple(
        hlb.Observation(n, 120, "emulsion layer", 100 * r, of=100) for n, (*_, r) in enumerate(TUBES, 1)
    ),
)


def test_hlb_of_each_tube_is_that_of_its_grams() -> None:
    expected = [h for *_, h, _ in TUBES]
    assert LADDER.table["hlb_as_weighed"].tolist() == within(np.array(expected), 0.0006)


def test_what_is_wrong_with_the_table_is_found_and_nothing_else() -> None:
    assert [f.title for f in LADDER.cautions] == [
        "The label of vial 1 cannot be right",  # 4 lies below the lowest member, 4.7
        "Vial 8 is not what its label says",  # 0.726 g where 0.7646 g was due
        "The vials stand in another order than their labels say",  # tube 1 lies above tube 2
        "The emulsifiers of vial 8 do not add up",  # 1.211 g
    ]


def test_tubes_are_ordered_by_grams() -> None:
    found = responses(TRIAL, "emulsion layer")
    assert found.vials[:3] == (2, 1, 3)
    assert found.vials[int(np.argmax(found.values[:, 0]))] == 9


def test_the_ladder_as_the_students_meant_it_is_refused() -> None:
    with pytest.raises(hlb.UnreachableTarget, match="HLB 4 cannot be reached"):
        hlb.plan_ladder(
            "polysorbate 80",
            "sorbitan stearate",
            centre=8.5,
            half_width=4.5,
            steps=10,
            values={"polysorbate 80": 15, "sorbitan stearate": 4.7},
            vial_mass_g=25,
            emulsifier_pct=5,
            oil_phase={"mineral oil": 20},
            readability_g=0.001,
        )


def test_the_grams_of_the_rungs_that_can_be_made() -> None:
    ladder = hlb.plan_ladder(
        "polysorbate 80",
        "sorbitan stearate",
        centre=9,
        half_width=4,
        steps=9,
        values={"polysorbate 80": 15, "sorbitan stearate": 4.7},
        vial_mass_g=25,
        emulsifier_pct=5,
        oil_phase={"mineral oil": 20},
        readability_g=0.001,
    )
    planned = ladder.table["polysorbate 80_g"].tolist()
    printed = [a for _, a, *_ in TUBES[1:]]
    # tube 6 is printed with two decimals
    pairs = enumerate(zip(planned, printed, strict=True), 5)
    wrong = [rung for rung, (ours, page) in pairs if ours != within(page, 0.0025)]
    assert wrong == [11]  # the slip of tube 8
