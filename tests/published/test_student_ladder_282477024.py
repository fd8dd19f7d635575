"""Student practical on liquid paraffin emulsions, ten tubes, table a ("wide HLB", Hv/Ho).

https://id.scribd.com/doc/282477024/Hasil-Pengamatan-emulsi
Grams of polysorbate 80 (15) and sorbitan stearate (4.7) as printed; Hv/Ho is the height of the
emulsion over the starting height, 1 is no separation. Only this pair reproduces the grams. The
labels of tubes 1 to 6 were lost; tubes 1 and 2 show four of five readings, put here with the last
ones.
"""

import math

import numpy as np
import pytest

import hlbcore as hlb

pytestmark = pytest.mark.published

# grams of polysorbate 80, of sorbitan stearate, readings in order
TUBES = [
    (0.075, 1.175, ["", 0.66, 0.664, 0.664, 0.664]),
    (0.036, 1.214, ["", 0.656, 0.656, 0.652, 0.652]),
    (0.16, 1.09, [0.64, 0.68, 0.68, 0.68, 0.68]),
    (0.279, 0.971, [0.52, 0.56, 0.56, 0.56, 0.56]),
    (0.4, 0.85, [0.7, 0.7, 0.7, 0.7, 0.7]),
    (0.521, 0.724, [0.62, 0.64, 0.648, 0.656, 0.66]),
    (0.643, 0.607, [0.676, 0.7, 0.7, 0.7, 0.704]),
    (0.726, 0.485, [0.684, 0.7, 0.7, 0.704, 0.704]),
    (0.886, 0.364, [0.78, 0.78, 0.784, 0.784, 0.792]),
    (1.007, 0.245, [0.74, 0.732, 0.74, 0.74, 0.744]),
]
HLB = [hlb.blend_hlb([(p, 15), (s, 4.7)]).value for p, s, _ in TUBES]
READINGS = [r for _, _, r in TUBES]


def test_hlb_is_computed_from_the_grams() -> None:
    # tube 1 was meant for HLB 4, below the pair's reach; its grams make more than tube 2's
    assert [round(h, 1) for h in HLB] == [5.3, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 10.9, 12.0, 13.0]
    assert HLB[0] > HLB[1]


def test_target_below_the_pair_is_refused() -> None:
    with pytest.raises(hlb.UnreachableTarget, match=r"4\.7 to 15"):
        hlb.split_pair(4.7, 15.0, target=4.0)


def test_best_tube_and_its_neighbours_alone_are_too_few() -> None:
    # a parabola through them peaks at 12.1, but three points give no interval
    fit = hlb.fit_trials(HLB[7:], [r[4] for r in READINGS[7:]])
    assert fit.outcome == "too few"
    assert "the best vial is at 12" in fit.verdict


@pytest.mark.parametrize("column", range(5))
def test_single_time_gives_no_clear_optimum(column: int) -> None:
    fit = hlb.fit_trials(HLB, [r[column] for r in READINGS])
    assert fit.outcome in ("edge", "too noisy", "flat")
    assert fit.estimate is None
    assert fit.low is None or fit.low < 12


def test_whole_ladder_asks_for_more_before_it_gives_a_figure() -> None:
    # a low at 7, a side peak at 8, the best tube next to the end
    fit = hlb.fit_trials(HLB, READINGS)
    assert fit.outcome in ("edge", "too noisy")
    assert fit.optimum is None
    assert fit.proposal is not None


def test_tubes_are_ordered_by_the_hlb_of_their_grams() -> None:
    fit = hlb.fit_trials(HLB, READINGS)
    assert list(fit.hlb) == sorted(HLB)
    assert not math.isnan(fit.responses[0][1])
    assert np.isnan(fit.responses[0][0])
