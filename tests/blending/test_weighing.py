from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hlbcore import Blend, Estimate, InvalidInput, weigh_blend
from hlbcore.blending.weighing import TRIED_MOST, WEIGHED_COLUMNS
from hlbcore.estimate import Mixture


def blend(masses: list[float], hlbs: list[float], target: float = 8.1) -> Blend:
    parts = [Estimate.exactly(h) for h in hlbs]
    return Blend(
        tuple(f"e{n}" for n in range(len(masses))),
        tuple(masses),
        Mixture.by_mass(masses, parts),
        Estimate.exactly(target),
        None,
        1.0,
        "closest",
    )


PAIR = blend([2.0, 2.0], [1.0, 15.2])


@pytest.mark.parametrize(
    ("scale", "low", "high", "digits"), [(1.0, 6.3, 9.9, 1), (0.1, 7.9, 8.3, 1), (0.01, 8.08, 8.12, 2)]
)
def test_readability_moves_the_hlb_of_2_and_2_grams(
    scale: float, low: float, high: float, digits: int
) -> None:
    span = weigh_blend(PAIR, 100, scale).hlb_span
    assert [round(h, digits) for h in span] == [low, high]


MASSES = st.lists(st.integers(10, 2000).map(lambda n: n / 300), min_size=1, max_size=5)


@given(MASSES, st.floats(50, 5000), st.sampled_from([1.0, 0.5, 0.1, 0.01]))
def test_rounded_amounts_add_to_the_rounded_total(masses: list[float], batch: float, scale: float) -> None:
    total = sum(masses) * batch / 100
    assume(total > scale)
    found = weigh_blend(blend(masses, [4.0 + n for n in range(len(masses))]), batch, scale)
    assert math.fsum(found.grams) == pytest.approx(found.total_g, abs=1e-6)
    assert abs(found.total_g - total) <= scale / 2 + 1e-6


@given(MASSES, st.sampled_from([1.0, 0.1, 0.01]))
def test_each_amount_is_a_whole_number_of_divisions_next_to_the_exact_one(
    masses: list[float], scale: float
) -> None:
    assume(10 * sum(masses) > scale)
    found = weigh_blend(blend(masses, [4.0 + n for n in range(len(masses))]), 1000, scale)
    for grams, mass in zip(found.grams, masses, strict=True):
        assert grams / scale == pytest.approx(round(grams / scale), abs=1e-6)
        assert abs(grams - 10 * mass) < scale * (1 + 1e-6)


def test_hlb_is_that_of_the_rounded_amounts() -> None:
    found = weigh_blend(blend([2.04, 1.96], [1.0, 15.0]), 100, 0.1)
    assert found.hlb.value == pytest.approx(
        (found.grams[0] * 1 + found.grams[1] * 15) / math.fsum(found.grams)
    )


def test_rounding_comes_nearest_to_the_target() -> None:
    # 3.5 + 2.5 g on a 1 g scale: 4 + 2 gives HLB 8, 3 + 3 gives 10
    up = weigh_blend(blend([3.5, 2.5], [4.0, 16.0], target=10.0), 100, 1.0)
    down = weigh_blend(blend([3.5, 2.5], [4.0, 16.0], target=8.0), 100, 1.0)
    assert (up.grams, down.grams) == ((3.0, 3.0), (4.0, 2.0))


def test_range_of_the_weighed_blend_is_kept() -> None:
    wide = blend([2.0], [8.0])
    wide = Blend(
        wide.labels, wide.masses, Mixture((1.0,), (Estimate(8, 7, 10),)), wide.target, None, 1.0, "closest"
    )
    found = weigh_blend(wide, 100, 0.1).hlb
    assert (found.low, found.high) == (7, 10)


def test_amount_too_small_for_the_scale_is_a_caution() -> None:
    found = weigh_blend(blend([0.5, 4.0], [4.0, 15.0]), 100, 0.1)
    assert [f.title for f in found.cautions] == ["e0 is little for this scale"]
    assert found.cautions[0].level == "caution"
    assert "half a division is 10 % of it" in found.cautions[0].detail


def test_mend_of_a_small_amount_suffices_and_no_less_does() -> None:
    # 0.5 % must be ten divisions of 0.1 g: 200 g
    mend = weigh_blend(blend([0.5, 4.0], [4.0, 15.0]), 100, 0.1).cautions[0].mend
    assert mend == "Make at least 200 g, or weigh it on a scale of 0.01 g."
    assert weigh_blend(blend([0.5, 4.0], [4.0, 15.0]), 200, 0.1).cautions == ()


def test_amounts_of_ten_divisions_bring_no_caution() -> None:
    assert weigh_blend(blend([1.0, 4.0], [4.0, 15.0]), 100, 0.1).cautions == ()


def test_blend_below_one_division_is_refused() -> None:
    with pytest.raises(InvalidInput, match=r"batch: all .* 0\.4 g, less than one division of 1 g\. Make"):
        weigh_blend(blend([4.0], [8.0]), 10, 1.0)


@pytest.mark.parametrize(("batch", "scale"), [(0, 0.1), (100, 0), (-1, 0.1), (math.nan, 0.1)])
def test_batch_and_scale_must_be_above_zero(batch: float, scale: float) -> None:
    with pytest.raises(InvalidInput, match=r"^(batch|readability of the scale): "):
        weigh_blend(PAIR, batch, scale)


def test_batch_may_be_typed_with_its_unit() -> None:
    assert weigh_blend(PAIR, "0,1 kg", "0.1 g").grams == weigh_blend(PAIR, 100, 0.1).grams


def test_table_has_exactly_the_columns_described() -> None:
    table = weigh_blend(PAIR, 100, 0.1).table
    assert list(table.columns) == list(WEIGHED_COLUMNS)
    assert table["pct_of_formula"].tolist() == pytest.approx([2.0, 2.0])
    assert table["error_pct"].tolist() == pytest.approx([2.5, 2.5])


def test_emulsifier_of_no_amount_stays_at_zero() -> None:
    found = weigh_blend(blend([0.0, 4.0], [4.0, 15.0]), 100, 0.1)
    assert found.grams == (0.0, 4.0)
    assert math.isnan(found.table["error_pct"][0])


def test_nearness_to_the_target_goes_before_nearness_of_the_amounts() -> None:
    # 3.4 + 2.6 g: 3 + 3 moves less, 4 + 2 meets HLB 8
    assert weigh_blend(blend([3.4, 2.6], [4.0, 16.0], target=8.0), 100, 1.0).grams == (4.0, 2.0)


def test_nine_divisions_bring_a_caution() -> None:
    assert weigh_blend(blend([0.9, 4.0], [4.0, 15.0]), 100, 0.1).cautions


def test_more_emulsifiers_than_can_be_tried_are_rounded_by_their_remainders() -> None:
    exact = [0.31 + 0.03 * n for n in range(TRIED_MOST + 1)]  # grams on a scale of 1 g
    made = weigh_blend(blend(exact, [4.0 + n for n in range(len(exact))]), 100, 1.0)
    assert made.grams == tuple(float(n >= len(exact) - round(sum(exact))) for n in range(len(exact)))
