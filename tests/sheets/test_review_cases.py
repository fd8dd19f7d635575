"""Cases in which a wrong result was once found by reading; each names the rule it broke."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb

PAIR = ["sorbitan stearate", "polysorbate 60"]


def test_an_emulsifier_without_a_figure_is_not_dropped_in_silence() -> None:
    held = tuple(hlb.SheetEmulsifier(n) for n in (*PAIR, "behentrimonium chloride"))
    outcome = hlb.work_out(replace(hlb.example_sheet(), emulsifiers=held))
    assert "takes no part in the blend" in outcome.errors["emulsifier 2 name"]
    assert outcome.blend is not None


def test_where_a_limit_is_in_the_way_no_emulsifier_is_offered() -> None:
    with pytest.raises(hlb.UnreachableTarget) as caught:
        hlb.solve_blend(PAIR, 10.5, total=5, limits={"sorbitan stearate": (4, 5)})
    assert caught.value.openers == ()
    assert caught.value.relaxation


@pytest.mark.parametrize("name", ["poloxamer 188", "polyglyceryl-3 polyricinoleate", "sucrose stearate"])
def test_polymers_and_sucrose_esters_are_marked(name: str) -> None:
    found = hlb.emulsifier_findings([hlb.load_library().emulsifier(name)])
    assert any(f.title.startswith("HLB says little about") for f in found)


def test_soap_from_the_pot_with_a_cationic_is_a_stop_in_the_verdict() -> None:
    phase = hlb.required_hlb({"olive oil": 20, "stearic acid": 4, "triethanolamine": 1})
    verdict = hlb.judge({"cetrimonium chloride": 1}, phase, "o/w cream")
    assert [f.title for f in verdict.findings if f.level == "stop"] == ["Anionic with cationic"]


def test_one_hydrophilic_emulsifier_in_a_scrub_is_solved_and_never_a_stop() -> None:
    blend = hlb.solve_blend(["polysorbate 80"], 8.0, total=6, product="wash-off scrub")
    assert blend.word == "rinse test"


def test_an_o_w_phase_is_not_judged_for_a_w_o_cream() -> None:
    phase = hlb.required_hlb({"mineral oil": 20})
    with pytest.raises(hlb.InvalidInput, match=r"a w/o cream is w/o\. Compute it with emulsion"):
        hlb.judge({"sorbitan oleate": 4}, phase, "w/o cream")


@pytest.mark.parametrize(
    "wrong",
    [{"groups": ("solids",)}, {"limits": {"polysorbate 60": (1, 2, 3)}}, {"total": (1, 2, 3)}],
    ids=["group", "limit", "total"],
)
def test_a_shape_that_cannot_be_used_gets_a_sentence(wrong: dict[str, object]) -> None:
    with pytest.raises(hlb.InvalidInput, match=r"Give a low and a high end|Write Group"):
        hlb.solve_blend(PAIR, 10.0, **wrong)  # type: ignore[arg-type]


def test_the_range_of_a_value_can_be_typed() -> None:
    found = hlb.required_hlb({"my oil": 1}, values={"my oil": "4 to 6"})
    assert (found.low, found.value, found.high) == (4.0, 5.0, 6.0)


@pytest.mark.parametrize("name", ["argan", "kokum", "tea tree", "e-wax"])
def test_short_names_of_the_bench_are_found(name: str) -> None:
    assert hlb.load_library().find(name)


@pytest.mark.parametrize(("side", "said"), [("emulsifier", True), ("oil", False)])
def test_what_counts_as_emulsifier_is_sent_to_the_emulsifiers(side: str, said: bool) -> None:
    phase = hlb.required_hlb({"olive oil": 20, "glyceryl stearate": 2}, sides={"glyceryl stearate": side})
    (found,) = [f for f in phase.cautions if "stands on both sides" in f.title]
    assert ("List it among the emulsifiers too" in found.mend) == said
