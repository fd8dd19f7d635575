"""What notebook 1 works out."""

from __future__ import annotations

from running import Notebook

import hlbcore as hlb

LESSON = Notebook(1)


def test_two_numbers_with_similar_names() -> None:
    n = LESSON.after('shea = lib.oil("shea butter")')
    assert n.shea.hlb is None
    assert n.polysorbate.required_hlb("o/w") is None


def test_a_weighted_mean() -> None:
    n = LESSON.after("by_hand = (10 * 6 + 7.5 * 6 + 7.5 * 8) / (10 + 7.5 + 7.5)")
    assert abs(n.by_hand - 6.6) < 1e-9
    assert abs(n.required.value - n.by_hand) < 1e-9

    n = LESSON.after("required.contributions")
    assert abs(n.required.contributions["contribution"].sum() - n.required.value) < 1e-9
    assert abs(n.required.contributions["share_pct"].sum() - 100) < 1e-9
    figures = n.required.contributions["required_hlb"]
    assert figures.min() <= n.required.value <= figures.max()

    n = LESSON.after("with_water = hlb.required_hlb(whole_cream)")
    assert abs(n.with_water.value - n.required.value) < 1e-9
    assert {e.name for e in n.with_water.excluded} == {"water", "glycerin", "polysorbate 60"}
    tenfold = hlb.required_hlb({name: 10 * mass for name, mass in n.phase.items()})
    assert abs(tenfold.value - n.required.value) < 1e-9


def test_where_each_figure_comes_from() -> None:
    n = LESSON.after("rows = [")
    avocado = n.lib.oil("avocado oil").required_hlb("o/w")
    measured = n.readings_of("avocado oil").query("grade == 'measured'")["required_hlb"]
    assert avocado.grade == "measured"
    assert avocado.value == measured.median()

    n = LESSON.after("shea_figure")
    assert n.readings_of("shea butter")["required_hlb"].nunique() == 1
    assert n.shea_figure.low <= n.shea_figure.value - 1
    assert n.shea_figure.high >= n.shea_figure.value + 1


def test_where_sources_disagree() -> None:
    n = LESSON.after("[(o.name, o.choice, round(o.estimate.value, 2)) for o in with_wax.others]")
    low, high = n.lib.oil("beeswax").required_hlb("o/w").alternatives
    assert high - low > 3
    assert "Sources disagree on beeswax" in [f.title for f in n.with_wax.cautions]
    assert len([o for o in n.with_wax.others if o.name == "beeswax"]) == 1

    n = LESSON.after("chosen.value, with_wax.value")
    assert n.chosen.value < n.with_wax.value
    assert (n.chosen.low, n.chosen.high) == (n.with_wax.low, n.with_wax.high)


def test_the_range_of_the_result() -> None:
    n = LESSON.after("print(required)")
    assert (round(n.required.low, 1), round(n.required.high, 1)) == (5.6, 7.6)
    assert n.required.sd_independent < n.required.sd


def test_ingredients_with_two_sides() -> None:
    n = LESSON.after("round(as_oil.value, 2), round(as_emulsifier.value, 2)")
    assert n.as_oil.value > n.as_emulsifier.value
    assert abs(n.as_emulsifier.value - n.required.value) < 1e-9
    other = next(o for o in n.as_oil.others if o.choice == "counted as emulsifier")
    assert abs(other.estimate.value - n.as_emulsifier.value) < 1e-9


def test_an_ingredient_without_a_figure() -> None:
    n = LESSON.after('with_kokum = hlb.required_hlb({"soybean oil": 10, "kokum butter": 5})')
    fats = n.lib.class_estimate(n.lib.oil("kokum butter"), "o/w")
    assert n.with_kokum.unknown == ("kokum butter",)
    assert "class range (plant oil or butter)" in list(n.with_kokum.contributions["basis"])
    assert fats.high - fats.low >= 2

    n = LESSON.after("own = hlb.required_hlb(")
    assert "kokum butter" in n.asked
    assert n.own.unknown == ()
    assert abs(n.own.value - (10 * 6 + 5 * 8) / 15) < 1e-9

    n = LESSON.after("except hlb.UnknownIngredient as error:")
    assert "'moon nut' is not in the tables" in n.refused
    assert n.by_kind.unknown == ("moon nut oil",)
    assert "No required HLB is known for moon nut oil" in [f.title for f in n.by_kind.cautions]
    assert [e.name for e in n.by_kind.excluded] == ["moon nut extract"]
    assert abs(n.by_kind.value - (10 * 6 + 5 * fats.value) / 15) < 1e-9

    n = LESSON.after("no_wo = error")
    assert set(n.no_wo.names) == set(n.phase)
    assert n.lib.oil("mineral oil").required_hlb("w/o").value < 8
    assert n.lib.oil("mineral oil").required_hlb("o/w").value > 8


def test_a_published_example_redone() -> None:
    n = LESSON.after("paper.working")
    assert abs(n.paper.mass - 34) < 1e-9
    assert round(n.paper.value, 2) == 10.33

    n = LESSON.after("by_default = hlb.required_hlb(")
    assert n.by_default.value > n.paper.value + 1
    assert "glyceryl stearate" in [e.name for e in n.by_default.excluded]


def test_the_figures() -> None:
    n = LESSON.after("bars = hlb.plots.contributions(required)")
    assert f"Required HLB {n.required.value:.1f}" in hlb.plots.words(n.bars)

    n = LESSON.after("axis = hlb.plots.hlb_axis(with_wax.estimate, 1.0)")
    assert f"Required HLB {n.with_wax.value:.1f}" in hlb.plots.words(n.axis)
    assert f"({n.with_wax.low:.1f} to {n.with_wax.high:.1f})" in hlb.plots.words(n.axis)


def test_your_turn() -> None:
    n = LESSON.after("if my_answer is not None:")
    assert abs(n.exercise.value - (12 * 7 + 4 * 6 + 4 * 14) / 20) < 1e-9
