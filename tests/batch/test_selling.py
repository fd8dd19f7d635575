"""Before you sell, and label, cost and steps as pages to print."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore import Facts, Formula, InvalidInput, Line, work_out
from hlbcore.batch.cost import cost
from hlbcore.batch.label import LabelWords
from hlbcore.batch.label_pages import cost_page, label_page, selling_page, without_keys
from hlbcore.batch.selling import before_you_sell
from hlbcore.batch.selling_steps import STEPS

CREAM = hlb.example_formula()


@pytest.mark.parametrize("market", ["us", "eu", "uk"])
def test_each_market_has_its_steps_with_a_section(market: str) -> None:
    held = before_you_sell(market, work_out(CREAM))
    assert {s.step.topic for s in held.steps} >= {"safety", "challenge", "stability", "label", "claims"}
    assert all(s.step.section for s in held.steps)
    assert "seen" in " ".join(s.step.section for s in held.steps)
    assert "does not replace a qualified safety assessor" in held.notice
    assert len({s.topic for s in STEPS[market]}) == len(STEPS[market])


def test_the_formula_says_what_it_asks_for() -> None:
    said = {s.step.topic: " ".join(s.here) for s in before_you_sell("us", work_out(CREAM)).steps}
    assert "holds 70.2 % water: a challenge test is wanted" in said["challenge"]
    assert "polysorbate 60" in said["local"]
    near = replace(CREAM, facts=Facts(area="eye area"))
    said = {s.step.topic: " ".join(s.here) for s in before_you_sell("us", work_out(near)).steps}
    assert said["notice"] == "Its area is eye area: see whether an exemption still holds."
    scrub = hlb.example_formula("garden_hand_scrub")
    said = {s.step.topic: " ".join(s.here) for s in before_you_sell("us", work_out(scrub)).steps}
    assert "wet hands and the shower" in said["challenge"]


def test_stops_of_the_checks_stand_first_and_no_market_is_guessed() -> None:
    faulty = work_out(hlb.example_formula("faulty_lotion"))
    stops = before_you_sell("eu", faulty, tuple(hlb.check(faulty))).stops
    assert {f.level for f in stops} == {"stop"}
    with pytest.raises(InvalidInput, match=r"market: .mars. is not one of the choices\. Use us, eu, uk"):
        before_you_sell("mars")


def test_pages_run_nothing_and_say_what_is_open() -> None:
    lines = [Line("water", 99), Line("<script>alert(1)</script>", 1)]
    formula = Formula("<b>Cream</b>", "o/w cream", lines)
    draft = hlb.declare(formula, "eu", words=LabelWords(batch="<i>7</i>"))
    pages = (
        label_page(draft),
        selling_page(before_you_sell("eu", work_out(formula)), paper="Letter"),
        cost_page(cost(formula, batch=100, jar=10), formula.name),
    )
    for page in pages:
        assert "<script>" not in page
        assert "<b>Cream" not in page
    assert "DRAFT for the EU with 1 open point and 5 blanks." in pages[0]
    assert "&lt;i&gt;7&lt;/i&gt;" in pages[0]
    assert "Letter" in pages[1]
    assert "no price" in pages[2]


def test_the_law_is_printed_without_keys_of_sources_and_with_its_own_brackets() -> None:
    tables = hlb.load_library()
    key = next(iter(tables.sources))
    assert without_keys(f"Art. 19 (seen), annex (I) ({key})", tables) == "Art. 19 (seen), annex (I)"
    page = selling_page(before_you_sell("eu", work_out(CREAM)))
    assert [k for k in tables.sources if f"({k})" in page] == []
