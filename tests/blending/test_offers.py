"""A dose or a batch that weighs better is offered where the scale does harm, and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from any_formula import LIBRARY, formulas
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Aims, Formula, Line, Worked, batch_sheet, work_out
from hlbcore.blending.offers import BATCH, DOSE, WeighingOffer, weighing_offers
from hlbcore.formula.fields import mass_reader, typed
from hlbcore.typed import Typed


def cream(low: str = "2.64", high: str = "0.66", **aims: str) -> Worked:
    """Butters at 6.6 and a pair at 3.3 %, for 150 g on a scale of 1 g unless told otherwise."""
    lines = [Line("water", "71.7", phase="water"), Line("soybean oil", "10", phase="oil")]
    lines += [Line(name, "7.5", phase="oil") for name in ("cocoa butter", "mango butter")]
    lines += [Line("sorbitan stearate", low, phase="oil"), Line("polysorbate 60", high, phase="oil")]
    return work_out(
        Formula("c", "o/w cream", lines, aims=Aims(**{"batch": "150 g", "scales": "1 g", **aims}))
    )


def mass(grams: float) -> Typed[float]:
    return typed(f"{grams} g", mass_reader("mass"))


def kinds(worked: Worked) -> dict[str, WeighingOffer]:
    return {offer.kind: offer for offer in weighing_offers(worked)}


def by_hand(grams: tuple[float, float]) -> list[float]:
    """HLB of a pair of 4.7 and 14.9 as weighed, and half a gram over and under."""
    return [(4.7 * (grams[0] + d) + 14.9 * (grams[1] - d)) / sum(grams) for d in (0.0, 0.5, -0.5)]


def test_four_and_one_gram_leave_the_window_and_the_nearest_total_that_does_not_is_offered() -> None:
    worked = cream()
    assert worked.weighed is not None
    assert worked.weighed.grams == (4.0, 1.0)
    assert max(by_hand((4, 1))) > 7.6
    found = kinds(worked)
    assert found[DOSE].weighed.grams == (7.0, 2.0)
    assert found[DOSE].dose_pct == pytest.approx(6.0)
    assert all(5.6 <= h <= 7.6 for h in by_hand((7, 2)))
    # no smaller total does: each split of 5 to 8 g by hand
    for total in range(5, 9):
        for n in range(1, total):
            assert not all(5.6 <= h <= 7.6 for h in by_hand((total - n, n)))
    assert found[DOSE].words == (
        "At a dose of 6 %: 7 g sorbitan stearate, 2 g polysorbate 60, HLB 7.0 (6.4 to 7.5)."
    )


def test_the_batch_on_offer_is_the_smallest_round_one_and_leaves_the_amounts() -> None:
    worked = cream()
    offer = kinds(worked)[BATCH]
    assert (offer.press, offer.weighed.grams) == ("Make 260 g", (7.0, 2.0))
    assert [x.amount.text for x in offer.formula.lines] == [x.amount.text for x in worked.formula.lines]
    # 3.3 % of the sizes before it round to 5 to 8 g, none of which will do
    assert [round(0.033 * g) for g in range(160, 260, 10)] == [5, 6, 6, 6, 7, 7, 7, 8, 8, 8]


@pytest.mark.parametrize("kind", [DOSE, BATCH])
def test_what_was_taken_is_not_offered_again_and_still_adds_up(kind: str) -> None:
    again = work_out(kinds(cream())[kind].formula)
    assert again.weighed is not None
    assert again.weighed.grams == (7.0, 2.0)
    assert again.formula.total_pct == pytest.approx(cream().formula.total_pct)
    assert weighing_offers(again) == ()
    assert again.verdict.word == "inside"


def test_amounts_that_the_tool_solved_are_offered_alike() -> None:
    assert set(kinds(cream("", ""))) == {DOSE, BATCH}


@pytest.mark.parametrize(
    ("dose", "offered"), [("3.3", {BATCH}), ("3 to 5", {BATCH}), ("3 to 6", {DOSE, BATCH})]
)
def test_a_dose_that_was_typed_is_kept(dose: str, offered: set[str]) -> None:
    assert set(kinds(cream(dose=dose))) == offered


def test_limits_that_were_typed_are_kept() -> None:
    worked = cream()
    lines = list(worked.formula.lines)
    lines[4] = Line("sorbitan stearate", "2.64", phase="oil", high="4")
    held = kinds(work_out(Formula("c", "o/w cream", lines, aims=worked.formula.aims)))
    assert set(held) == {BATCH}


def test_a_batch_in_grams_is_not_made_larger() -> None:
    lines = [Line("water", "107.55 g", phase="water"), Line("olive oil", "37.5 g", phase="oil")]
    lines += [Line("sorbitan stearate", "3.95 g", phase="oil"), Line("polysorbate 60", "1 g", phase="oil")]
    worked = work_out(Formula("c", "o/w cream", lines, aims=Aims(batch="150 g", scales="1 g", window="1")))
    assert BATCH not in kinds(worked)


def test_no_dose_is_offered_where_no_line_could_give_it() -> None:
    lines = [Line("olive oil", "2", phase="oil"), Line("sorbitan stearate", "0.5", phase="oil")]
    lines += [Line("polysorbate 60", "0.15", phase="oil")]
    worked = work_out(Formula("c", "o/w cream", lines, aims=Aims(batch="500 g", scales="1 g")))
    assert worked.verdict.says_yes
    assert set(kinds(worked)) == {BATCH}


def test_an_emulsifier_that_the_scale_does_not_show_is_named() -> None:
    offer = weighing_offers(cream(batch="40 g"))[0]
    assert offer.why == "In this batch the scale shows nothing of polysorbate 60. To weigh it:"


@pytest.mark.parametrize(
    "worked",
    [
        cream(scales="0.1 g"),
        cream(batch="1 kg"),
        cream("0.66", "2.64"),  # outside its window: the ratio comes first
        cream("3.3", "0"),
        cream(scales=""),
        cream(batch="rubbish"),
        work_out(Formula("b", "whipped butter", [Line("shea butter", 100, phase="oil")])),
    ],
)
def test_nothing_is_offered_where_the_scale_does_no_harm_or_hlb_does_not_judge(worked: Worked) -> None:
    assert weighing_offers(worked) == ()


@settings(max_examples=60)
@given(
    low=st.floats(0.5, 6),
    high=st.floats(0.2, 4),
    batch=st.integers(20, 900),
    scale=st.sampled_from((0.1, 0.5, 1, 2, 5)),
)
def test_an_offer_leaves_the_blend_inside_whichever_way_the_scale_errs(
    low: float, high: float, batch: int, scale: float
) -> None:
    worked = cream(f"{low:.3f}", f"{high:.3f}", batch=f"{batch} g", scales=f"{scale} g")
    for offer in weighing_offers(worked):
        grams = offer.weighed.grams
        assert min(grams) >= scale
        assert all(g / scale == pytest.approx(round(g / scale)) for g in grams)
        for one, two in product((-0.5, 0.5), repeat=2):
            if one != two:
                moved = grams[0] + one * scale, grams[1] + two * scale
                hlb = (4.7 * moved[0] + 14.9 * moved[1]) / sum(moved)
                assert (
                    abs(hlb - offer.target) <= max(worked.window, abs(worked.blend.value - 6.6) + 0.25) + 1e-9
                )
        assert offer.formula.pcts[0] >= 0


def test_the_batch_page_offers_the_same_on_its_own_scale_and_size() -> None:
    worked = cream(batch="500 g", scales="0.1 g")
    assert weighing_offers(worked) == ()
    whole = work_out(worked.formula.fill("water"))
    coarse = batch_sheet(whole, 150, scales=[1.0]).offers
    assert [offer.press for offer in coarse] == ["Take a dose of 6 %", "Make 260 g"]
    assert batch_sheet(whole, 500, scales=[0.1]).offers == ()


@settings(max_examples=40)
@given(formula=formulas(), batch=st.sampled_from((20, 70, 150, 400)), scale=st.sampled_from((0.1, 1, 5)))
def test_any_formula_is_looked_at_and_an_offer_lands_once_taken(
    formula: Formula, batch: int, scale: float
) -> None:
    aims = replace(formula.aims, batch=mass(batch), scales=mass(scale))
    worked = work_out(replace(formula, aims=aims), LIBRARY)
    for offer in weighing_offers(worked):
        again = work_out(offer.formula, LIBRARY)
        assert again.weighed is not None
        assert again.weighed.grams == offer.weighed.grams
        assert [x.name for x in again.formula.lines] == [x.name for x in formula.lines]
        assert offer.why
        assert offer.words
