from __future__ import annotations

import pytest

from hlbcore import Facts, Formula, Line, Worked, work_out
from hlbcore.blending.judging import emulsion_of, system_of

OIL = ("sunflower oil", 20.0)

Amounts = tuple[tuple[str, float], ...]


def worked(
    *emulsifiers: tuple[str, float] | Line,
    oils: Amounts = (OIL,),
    kind: str = "o/w cream",
    facts: Facts | None = None,
) -> Worked:
    held = [x if isinstance(x, Line) else Line(*x, phase="oil") for x in emulsifiers]
    fats = [Line(n, a, phase="oil") for n, a in oils]
    return work_out(
        Formula("x", kind, [*fats, *held, Line("water", 70, phase="water")], facts=facts or Facts())
    )


PAIR = (("sorbitan stearate", 3.2), ("polysorbate 60", 0.9))


def test_a_pair_of_plain_nonionics_weighed_apart_is_judged_by_hlb() -> None:
    v = worked(*PAIR).verdict
    assert (v.rule, v.word) == ("HLB", "inside")


def test_a_blend_a_tenth_off_the_middle_is_inside_a_window_of_one() -> None:
    w = worked(("sorbitan oleate", 3.0), ("polysorbate 80", 1.0))
    assert w.blend is not None
    assert w.required is not None
    assert abs(w.blend.value - w.required.value) < 1
    assert w.verdict.word == "inside"


@pytest.mark.parametrize(
    ("name", "pct", "word"),
    [
        ("glyceryl stearate (and) PEG-100 stearate", 3, "in its supplier's range"),
        ("cetearyl olivate (and) sorbitan olivate", 5, "in its supplier's range"),
        ("polyglyceryl-3 methylglucose distearate", 3, "cannot say: seen once"),
        ("glyceryl stearate citrate", 3, "outside its supplier's range"),
        ("cetearyl glucoside", 3, "outside its supplier's range"),
        ("sucrose stearate", 3, "in its supplier's range"),
        (
            "sorbitan laurate (and) polyglyceryl-4 laurate (and) dilauryl citrate",
            2,
            "in its supplier's range",
        ),
        ("sorbitan stearate (and) sucrose cocoate", 5, "cannot say: no rate known"),
    ],
)
def test_an_ordinary_ready_emulsifier_goes_by_its_suppliers_rate(name: str, pct: float, word: str) -> None:
    v = worked((name, pct)).verdict
    assert v.rule == "supplier's rate"
    assert v.word.startswith(word)


def test_one_emulsifier_of_griffins_scale_alone_gets_no_verdict_but_its_distance() -> None:
    v = worked(("ceteareth-20", 3)).verdict
    assert v.word == "no verdict: one emulsifier alone"
    assert "HLB 15.2, asked for 7.0" in v.sentence


def test_a_ready_emulsifier_of_half_the_system_governs() -> None:
    v = worked(("polysorbate 60", 2), ("cetearyl olivate (and) sorbitan olivate", 3)).verdict
    assert v.rule == "supplier's rate"
    assert "polysorbate 60" in v.sentence


def test_a_ready_emulsifier_of_a_fifth_counts_as_a_trace_and_leaves_the_verdict_at_most_fair() -> None:
    v = worked(("sorbitan stearate", 3.0), ("polysorbate 60", 0.9), ("cetearyl glucoside", 0.7)).verdict
    assert v.rule == "HLB"
    assert not v.doubt.startswith("firm")


def test_between_a_fifth_and_a_half_neither_rule_speaks() -> None:
    v = worked(*PAIR, ("cetearyl glucoside", 2)).verdict
    assert (v.rule, v.word) == ("none", "cannot say: a mixture of both kinds")
    assert "its supplier says" in v.sentence


def test_a_typed_rate_outranks_the_table() -> None:
    line = Line("cetearyl olivate (and) sorbitan olivate", 5, phase="oil", supplier_rate="6 to 8 %")
    v = worked(line).verdict
    assert v.word == "outside its supplier's range"
    assert "5 % of the formula, the supplier says 6 to 8 %" in v.sentence


def test_a_rate_may_be_typed_on_the_oil_phase() -> None:
    line = Line("brook wax", 4, phase="oil", counts="emulsifier", supplier_rate="15 to 25 % of the oil phase")
    v = worked(line).verdict
    assert v.word == "in its supplier's range"
    assert "20 % of the oil phase" in v.sentence


def test_a_rate_on_a_strange_basis_is_named() -> None:
    line = Line("brook wax", 4, supplier_rate="3 to 5 % of the jar")
    assert "'jar' is no basis of a rate" in line.supplier_rate.problem


def test_oil_and_ph_of_the_sheet_are_held_against_the_formula() -> None:
    v = worked(
        ("cetearyl olivate (and) sorbitan olivate", 5), oils=(("sunflower oil", 40),), facts=Facts(ph=2.5)
    ).verdict
    assert "40 % oil phase, the supplier says 5 to 25 %" in v.sentence
    assert "pH 2.5, the supplier says 3 to 12" in v.sentence


def test_oils_by_class_never_make_an_outside() -> None:
    oils = (("argan oil", 20.0),)
    v = worked(("sorbitan stearate", 2.6), ("polysorbate 60", 1.8), oils=oils).verdict
    assert v.word.startswith("cannot say")


def test_more_than_a_quarter_by_class_is_weak() -> None:
    v = worked(*PAIR, oils=(("sunflower oil", 12.0), ("argan oil", 8.0))).verdict
    assert v.word == "inside"
    assert v.doubt.startswith("weak: 40 % of the oil phase")


def test_more_than_half_without_a_figure_is_no_inside() -> None:
    v = worked(*PAIR, oils=(("sunflower oil", 8.0), ("meadow fat", 12.0))).verdict
    assert v.word.startswith("cannot say: most of the oil phase")


def test_a_trace_without_a_figure_silences_nothing() -> None:
    plain, traced = worked(*PAIR), worked(*PAIR, oils=(OIL, ("tocopheryl acetate", 0.5)))
    assert plain.required is not None
    assert traced.required is not None
    assert traced.required.value == pytest.approx(plain.required.value)
    assert traced.required.low < plain.required.low
    assert traced.verdict.word == "inside"


@pytest.mark.parametrize("kind", ["w/o cream", "conditioner", "whipped butter", "clear solubilised product"])
def test_types_without_a_say_of_hlb_get_no_verdict_by_it(kind: str) -> None:
    v = worked(*PAIR, kind=kind).verdict
    assert v.rule == "none"
    assert v.word.startswith("no verdict")


def test_the_rinse_test_decides_where_dispersal_is_the_aim() -> None:
    v = worked(("polysorbate 80", 6), kind="wash-off scrub").verdict
    assert v.word == "no verdict: the rinse test decides"
    assert v.beside is not None


def test_a_rate_for_emulsions_does_not_judge_a_product_without_water() -> None:
    scrub = worked(("emulsifying wax NF", 8), kind="wash-off scrub").verdict
    assert (scrub.rule, scrub.word) == ("none", "no verdict: the rinse test decides")
    assert not any("supplier" in f.title for f in scrub.findings)
    typed = Line("emulsifying wax NF", 8, phase="oil", supplier_rate="5 to 10 % of the formula")
    assert worked(typed, kind="wash-off scrub").verdict.word == "in its supplier's range"


def test_no_emulsifier_is_said_in_a_word_that_is_never_empty() -> None:
    v = worked().verdict
    assert v.word == "no verdict: no emulsifier"


def test_a_fatty_alcohol_by_itself_is_no_emulsifier() -> None:
    v = worked(Line("cetyl alcohol", 3, phase="oil", counts="emulsifier")).verdict
    assert v.word == "no verdict: no emulsifier by itself"
    assert system_of(worked(Line("cetyl alcohol", 3, counts="emulsifier")).emulsifiers).helpers


def test_a_fatty_alcohol_beside_a_pair_leaves_the_blend_without_hlb_and_is_named() -> None:
    v = worked(*PAIR, Line("cetearyl alcohol", 2.3, phase="oil", counts="emulsifier")).verdict
    assert v.word == "cannot say: part of the emulsifiers has no HLB"
    assert v.sentence.startswith("No HLB is known for cetearyl alcohol, 36 % of the emulsifiers")


def test_lean_of_an_emulsifier_follows_its_hlb_or_its_family() -> None:
    held = worked(
        ("sorbitan oleate", 1),
        ("polysorbate 80", 1),
        ("glyceryl stearate", 1),
        ("lecithin", 1),
        ("polyglyceryl-2 dipolyhydroxystearate", 1),
    ).emulsifiers
    assert [emulsion_of(x) for x in held] == ["w/o", "o/w", "", "", "w/o"]
