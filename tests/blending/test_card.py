"""The answer in a few words says what the verdict says."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore import Aims, Formula, Line, work_out
from hlbcore.blending import card
from hlbcore.blending.card import headline
from hlbcore.blending.proposal import with_proposal
from hlbcore.checks.ranked import merged, ranked

EXAMPLE = hlb.example_formula()


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_the_verdicts_word_leads(name: str) -> None:
    worked = hlb.work_out(hlb.example_formula(name))
    assert card.headline(worked).startswith(worked.verdict.word.capitalize())


def test_a_line_that_is_not_counted_is_not_passed_over() -> None:
    lines = (*EXAMPLE.lines, hlb.Line("linden butter", "10", phase="oil"))
    assert "as far as counted" in card.headline(hlb.work_out(replace(EXAMPLE, lines=lines)))


def test_whose_amounts_they_are_is_said() -> None:
    assert card.whose(hlb.work_out(EXAMPLE)) == "Your amounts, judged by HLB"
    solved = replace(EXAMPLE, aims=replace(EXAMPLE.aims, goal="closest"))
    assert card.whose(hlb.work_out(solved)).startswith("Amounts that the tool found")
    assert card.whose(hlb.work_out(hlb.Formula())).startswith("No emulsifier with an amount yet")


@pytest.mark.parametrize(
    ("product", "rule"),
    [
        ("o/w cream", "judged by HLB"),
        ("wash-off scrub", "judged by the rinse test"),
        ("whipped butter", "HLB decides nothing here"),
    ],
)
def test_which_rule_judges_is_said(product: str, rule: str) -> None:
    assert card.rule_words(hlb.work_out(replace(EXAMPLE, product_type=product))) == rule


def test_the_proposal_changes_emulsifiers_alone_and_holds_its_amounts() -> None:
    worked = hlb.work_out(EXAMPLE)
    made = with_proposal(worked)
    assert made is not None
    assert worked.proposal is not None
    again = hlb.work_out(made)
    for label, mass in zip(worked.proposal.labels, worked.proposal.masses, strict=True):
        assert again.amounts[label] == pytest.approx(mass)
    emulsifiers = {x.name for x in worked.emulsifiers}
    pairs = zip(EXAMPLE.lines, made.lines, strict=True)
    assert [a for a, b in pairs if a != b and a.name not in emulsifiers] == []


def test_nothing_is_proposed_without_an_oil_phase() -> None:
    assert with_proposal(hlb.work_out(hlb.Formula())) is None
    assert card.proposal_words(hlb.work_out(hlb.Formula())) == ""


def test_findings_of_portions_stand_once() -> None:
    worked = hlb.work_out(hlb.example_formula("three_scent_lotion"))
    titles = [f.title for f in merged(worked, hlb.check(worked))]
    assert len(titles) == len(set(titles))
    assert not [t for t in titles if worked.made.name in t]


def test_a_finding_of_one_portion_names_it() -> None:
    worked = hlb.work_out(hlb.example_formula("three_scent_lotion"))
    (found,) = [f for f in merged(worked, hlb.check(worked)) if "lavender oil" in f.title]
    assert found.detail.startswith("In lavender.")


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_no_finding_is_lost_but_those_that_verdict_dose_and_sum_say(name: str) -> None:
    worked = hlb.work_out(hlb.example_formula(name))
    held = ranked(worked)
    shown = {f.title for f in (*held.first, *held.more, *held.always)}
    lost = {f.title for f in merged(worked, hlb.check(worked))} - shown
    assert all(t.startswith(("Emulsifiers: ", "Dose is ", "The formula is not whole")) for t in lost)
    assert all(f.always for f in held.always)
    assert all(f.aside for f in held.more)
    assert not [f for f in held.first if f.aside or f.always]


def test_a_missing_preservative_is_no_stop_before_the_water_is_typed() -> None:
    pair = (Line("sorbitan stearate", 2), Line("polysorbate 60", 1))
    for water, told in (("", False), ("70", True), ("0", False)):
        made = work_out(Formula("x", "o/w cream", (Line("water", water), Line("sunflower oil", 20), *pair)))
        assert any(f.title == "Water and no preservative" for f in ranked(made).first) is told


def test_one_emulsifier_without_its_amount_is_asked_for() -> None:
    lines = (Line("sunflower oil", 20), Line("sorbitan stearate", ""))
    assert headline(work_out(Formula("x", "o/w cream", lines))) == "No amount yet for sorbitan stearate"
    asked = Formula("x", "o/w cream", lines, aims=Aims(goal="closest"))
    assert headline(work_out(asked)) == "Not reachable"


ALONE = [Line("water", 76), Line("olive oil", 20), Line("polysorbate 80")]
LOW_ONLY = [
    Line("water", 76),
    Line("mineral oil", 20),
    Line("sorbitan stearate", 2),
    Line("sorbitan oleate", 2),
]


@pytest.mark.parametrize(
    ("formula", "said"),
    [
        (Formula("x", "o/w cream", ALONE), "Type it, or add a second emulsifier"),
        (Formula("x", "o/w cream", LOW_ONLY, aims=Aims(goal="closest")), "HLB 10 cannot be reached"),
        (Formula("x", "wash-off scrub", ALONE[:2]), "The rinse test: how milky"),
        (Formula(), "There is no oil phase yet"),
        (EXAMPLE, "Doubt of the figures: fair"),
    ],
    ids=["no amount", "not reachable", "rinse test", "nothing typed", "judged by HLB"],
)
def test_below_the_headline_stands_what_to_do_or_how_sure(formula: Formula, said: str) -> None:
    assert card.doubt(work_out(formula)).startswith(said)


def test_in_brief_only_what_is_known_is_said() -> None:
    assert card.in_brief(work_out(Formula())) == ""
    assert card.in_brief(work_out(Formula(lines=[Line("olive oil", 20)]))) == "oils ask 7.0"
    assert headline(work_out(Formula())) == "Nothing to judge yet"


@pytest.mark.parametrize(
    ("product", "shelf", "said"),
    [
        ("o/w cream", (), ""),
        ("o/w cream", ("sorbitan stearate", "polysorbate 60"), "Your shelf has what it takes: sorbitan"),
        ("o/w cream", ("polysorbate 60",), "One emulsifier more opens HLB 8.2: sorbitan stearate, with"),
        ("o/w cream", ("coco-glucoside",), "Nothing on your shelf makes a pair for HLB 8.2"),
        ("wash-off scrub", ("sorbitan oleate",), "Not on your shelf: polysorbate 80, which is usual here."),
    ],
)
def test_the_shelf_is_told_what_it_lacks(product: str, shelf: tuple[str, ...], said: str) -> None:
    worked = work_out(replace(EXAMPLE, product_type=product), shelf=shelf)
    assert card.shelf_words(worked).startswith(said)
    assert bool(card.shelf_words(worked)) is bool(said)


def test_a_proposal_shows_each_amount_before_and_after() -> None:
    worked = work_out(EXAMPLE)
    assert worked.proposal is not None
    words = card.proposal_words(worked)
    for x in worked.emulsifiers:
        after = dict(zip(worked.proposal.labels, worked.proposal.masses, strict=True))[x.label]
        assert f"{x.label}: {x.pct:.2f} % → {after:.2f} %" in words


def test_the_figure_of_a_line_names_where_it_comes_from() -> None:
    own = [Line("olive oil", 20, own="8"), Line("nobody's oil", 5), Line("shea butter", 5)]
    library = hlb.load_library()
    table, typed, none = (
        card.figure_words(x, library)
        for x in (lambda a, b, c: (c, a, b))(*work_out(Formula(lines=own)).lines)
    )
    assert "First source: " in table
    assert typed.startswith("8.0")
    assert "own" in typed
    assert none == ""


def test_what_the_scale_makes_of_them_is_said() -> None:
    held = work_out(EXAMPLE).weighed
    assert held is not None
    assert card.weighed_words(held) == f"As weighed: HLB {held.hlb.value:.1f}, {held.total_g:.9g} g together."
