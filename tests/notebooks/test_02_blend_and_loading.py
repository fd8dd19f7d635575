"""What notebook 2 works out."""

from __future__ import annotations

from running import Notebook

import hlbcore as hlb

LESSON = Notebook(2)


def test_2_which_blend_and_how_much_of_it() -> None:
    n = LESSON.after('phase = {"soybean oil": 10, "cocoa butter": 7.5, "mango butter": 7.5}')
    assert abs(n.required.value - 6.6) < 1e-9
    assert abs(n.required.mass - 25) < 1e-9


def test_a_pair_by_hand() -> None:
    n = LESSON.after("first, second = hlb.split_pair(low, high, target=target)")
    assert abs(n.second - n.share_of_high) < 1e-12
    assert abs(n.first + n.second - 1) < 1e-12
    assert round(100 * n.second, 1) == 22.5

    n = LESSON.after("check.working")
    assert abs(n.check.value - n.target) < 1e-9
    by_name = hlb.blend_hlb({"sorbitan oleate": 42, "polysorbate 80": 58})
    assert abs(by_name.value - (0.42 * 4.3 + 0.58 * 15.0)) < 1e-9


def test_out_of_reach() -> None:
    n = LESSON.after("hlb.split_pair(4.3, 15.0, target=16)")
    assert n.blind < 0
    assert n.out_of_reach.reachable == (4.3, 15.0)
    assert len(n.out_of_reach.openers) > 0


def test_a_published_table_redone() -> None:
    n = LESSON.after("castor, oleate = hlb.split_pair(15.0, 4.3, target=10)")
    assert (round(100 * n.castor, 1), round(100 * n.oleate, 1)) == (53.3, 46.7)

    n = LESSON.after("castor, oleate = hlb.split_pair(15.0, 4.3, target=11)")
    assert abs(62.5 + 37.4 - 100) > 0.05
    assert (round(100 * n.castor, 1), round(100 * n.oleate, 1)) == (62.6, 37.4)


def test_the_solver_names_a_total_a_window() -> None:
    n = LESSON.after("blend = hlb.solve_blend(pair, required, total=5)")
    assert abs(n.blend.total - 5) < 1e-9
    assert abs(n.blend.hlb - n.required.value) < 1e-6
    assert abs(n.blend.amounts["polysorbate 60"] - 5 * (n.required.value - n.low) / (n.high - n.low)) < 1e-6


def test_limits() -> None:
    n = LESSON.after("hlb.solve_blend(pair, required, total=5, limits=tight)")
    assert n.too_tight.reachable[1] < n.required.value - 1
    assert "polysorbate 60" in n.too_tight.relaxation[0]

    n = LESSON.after("print(smaller)")
    assert n.raised.amounts["polysorbate 60"] <= 0.7 + 1e-6
    assert abs(n.raised.hlb - n.required.value) <= 1 + 1e-6
    assert n.smaller.total < 5
    assert n.smaller.amounts["polysorbate 60"] <= 0.5 + 1e-6
    assert abs(n.smaller.hlb - n.required.value) <= 1 + 1e-6


def test_what_to_look_for() -> None:
    n = LESSON.after("word: hlb.solve_blend(")
    tiny = 1e-6
    assert ((n.compared["hlb"] - n.required.value).abs() <= 1 + tiny).all()
    assert n.compared["total"].between(4 - tiny, 6 + tiny).all()
    assert n.compared["ceteareth-20"].between(0.5 - tiny, 2 + tiny).all()
    assert abs(n.compared.loc["closest", "hlb"] - n.required.value) <= tiny
    assert n.compared.loc["cheapest", "cost"] <= n.compared["cost"].min() + tiny
    assert n.compared.loc["least total", "total"] <= n.compared["total"].min() + tiny
    assert n.compared.loc["most tolerant", "margin"] >= n.compared["margin"].max() - tiny

    n = LESSON.after("used = (compared[three] > tiny).sum(axis=1)")
    assert n.used["fewest"] == n.used.min() < n.used.max()
    assert n.away["least change"] <= n.away.min() + tiny

    n = LESSON.after('found["cheapest"].binding')
    assert abs(abs(n.found["cheapest"].hlb - n.required.value) - 1) < 1e-5
    assert any("edge of the window" in text for text in n.found["cheapest"].binding)


def test_dose_is_another_question() -> None:
    n = LESSON.after("double = hlb.solve_blend(pair, required, total=10)")
    assert abs(n.double.hlb - n.blend.hlb) < 1e-6
    assert abs(n.double.total - 2 * n.blend.total) < 1e-6

    n = LESSON.after("print(usual.text)")
    assert abs(100 * n.blend.total / n.required.mass - 20) < 1e-9
    assert n.usual.low_pct < n.blend.total < n.usual.high_pct
    assert n.usual.low_of_oil_pct < 20 < n.usual.high_of_oil_pct
    titles = [n.dose_finding(pct, n.required.mass, "o/w cream").title for pct in (1, n.blend.total, 10)]
    assert titles == ["Dose is low", "Dose is usual", "Dose is high"]


def test_grams_on_a_real_scale() -> None:
    n = LESSON.after("weighed.table")
    assert n.weighed.total_g == 5.0
    assert abs(n.weighed.table["grams"].sum() - n.weighed.total_g) < 1e-9
    again = hlb.blend_hlb(dict(zip(n.weighed.labels, n.weighed.grams, strict=True)))
    assert abs(n.weighed.hlb.value - again.value) < 1e-9

    n = LESSON.after("coarse.cautions[0].mend")
    width = n.weighed.hlb_span[1] - n.weighed.hlb_span[0]
    coarse_width = n.coarse.hlb_span[1] - n.coarse.hlb_span[0]
    assert width < 0.5
    assert 0.9 < coarse_width / 2 < 1.1
    assert len(n.coarse.cautions) > 0


def test_a_published_ladder_redone() -> None:
    n = LESSON.after("ladder = pd.DataFrame(")
    assert [round(g, 3) for g in n.ladder.iloc[2, 1:]] == [2.439, 0.561]
    assert abs(n.ladder.iloc[:, 1:].sum(axis=1) - 3).max() < 1e-9


def test_how_firm_is_it() -> None:
    n = LESSON.after("print(blend)")
    assert n.blend.share_in_window >= 0.8
    assert n.blend.word == "inside"
    assert n.blend.share_in_window_independent > n.blend.share_in_window

    n = LESSON.after("shares, edge.share_in_window, edge.word")
    assert list(n.shares.values()) == sorted(n.shares.values())
    assert abs(n.edge.hlb - n.required.value) <= 1 + 1e-5
    assert 0.3 < n.edge.share_in_window < 0.7
    assert n.edge.word == "inside"


def test_the_figures() -> None:
    n = LESSON.after("line = hlb.plots.ratio(blend)")
    assert f"With {20 * n.blend.amounts['polysorbate 60']:.0f} % polysorbate 60" in hlb.plots.words(n.line)
    assert f"HLB {n.blend.hlb:.1f}" in hlb.plots.words(n.line)

    n = LESSON.after("area = hlb.plots.ratio_and_total(inside, (4, 6), limits)")
    assert f"total {n.inside.total:.1f} %" in hlb.plots.words(n.area)
    assert "totals of 4.0 to 6.0 %" in hlb.plots.words(n.area)
