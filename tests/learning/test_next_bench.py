"""Which ladder next: what it would bring is what it then brings."""

from __future__ import annotations

from statistics import median

import numpy as np
import pytest

import hlbcore as hlb
from hlbcore import BenchResult, learn
from hlbcore.errors import EmptyPhase
from hlbcore.learning.bench_result import Z_95
from hlbcore.learning.learned import Learned
from hlbcore.learning.next_bench import READ_SD, BenchPhase, candidates

SOLID = ("sorbitan stearate", "polysorbate 60")
LADDERS = (
    BenchResult({"sunflower oil": 10, "shea butter": 5}, SOLID, 7.6, 7.0, 8.3, name="a"),
    BenchResult({"jojoba oil": 6, "shea butter": 6}, SOLID, 8.9, 8.1, 9.4, name="b"),
)
FORMULAS = {
    "balm": BenchPhase((("shea butter", 4.0), ("castor oil", 6.0)), SOLID, "balm"),
    "lotion": BenchPhase((("mineral oil", 9.0), ("shea butter", 1.0)), ("sorbitan oleate", "polysorbate 80")),
}


def mean_half_width(made: Learned) -> float:
    sds = [made.required(dict(p.phase), pair=p.pair).sd for p in FORMULAS.values()]
    return Z_95 * float(np.mean(sds))


def test_the_gain_told_before_is_the_gain_that_comes() -> None:
    """The doubt after a ladder does not depend on what it shows; departures held as they are."""
    made = learn(LADDERS, departure=0.4)
    found = made.next_ladder(candidates(list(FORMULAS.values())), matter=FORMULAS, read_sd=0.4)
    half = 0.4 * Z_95
    for shown in (found.value, found.value + 2):
        x = BenchResult(found.phase, found.choice.pair, shown, shown - half, shown + half, name="next")
        after = learn([*LADDERS, x], departure=0.4)
        assert mean_half_width(after) == pytest.approx(found.after, abs=1e-9)
    assert found.now == pytest.approx(mean_half_width(made), abs=1e-9)


def test_the_best_is_first_and_a_ladder_of_what_matters_beats_one_of_a_stranger() -> None:
    table = (
        learn(LADDERS)
        .next_ladder(
            [{"isopropyl myristate": 1}, {"castor oil": 1, "shea butter": 1}],
            matter=[{"castor oil": 1, "shea butter": 1}],
        )
        .table
    )
    assert table["phase"].tolist()[0].startswith("castor oil 50 %")
    assert table["after"].is_monotonic_increasing


def test_it_is_planned_in_vials_and_grams() -> None:
    found = learn(LADDERS).next_ladder([{"castor oil": 3, "shea butter": 2}])
    ladder = found.plan(vial_mass_g=40, readability_g=0.01, steps=7)
    assert dict(ladder.oils) == {"castor oil": pytest.approx(12.0), "shea butter": pytest.approx(8.0)}
    assert [n for n, _ in ladder.emulsifiers] == list(SOLID)
    assert len(ladder.vials) == 7
    rungs = ladder.table["target_hlb"]
    assert rungs.min() < found.value < rungs.max()
    assert ladder.table["total_g"].tolist() == pytest.approx([40.0] * 7)


def test_the_pair_with_most_ladders_is_taken_where_none_is_named() -> None:
    assert learn(LADDERS).next_ladder([{"castor oil": 1}]).choice.pair == SOLID
    assert learn([]).next_ladder([{"castor oil": 1}]).choice.pair == ()


def test_the_next_ladder_is_taken_to_be_read_as_well_as_those_before() -> None:
    half = BenchResult({"mineral oil": 1}, SOLID, low=9.0, name="half")
    asked = [{"castor oil": 1}]
    assert learn([*LADDERS, half]).next_ladder(asked).read_sd == median(x.sd for x in LADDERS)
    assert learn([]).next_ladder(asked).read_sd == READ_SD


def test_names_of_phases_come_along() -> None:
    found = learn([]).next_ladder({"winter": {"castor oil": 1}})
    assert found.words.startswith("winter, round HLB 14")


@pytest.mark.parametrize("phases", [[], {}, [{"castor oil": 0}], ["castor oil"], {"castor oil": 3}])
def test_phases_that_cannot_be_read_are_told(phases: object) -> None:
    with pytest.raises(hlb.HlbError, match="phases"):
        learn([]).next_ladder(phases)  # type: ignore[arg-type]


def test_a_phase_without_oil_and_a_negative_mass_are_told() -> None:
    with pytest.raises(EmptyPhase, match="oil phase of 'wet'"):
        learn([]).next_ladder({"wet": {"water": 3}})
    with pytest.raises(hlb.InvalidInput, match="phases, 'castor oil'"):
        learn([]).next_ladder([{"castor oil": -3}])
