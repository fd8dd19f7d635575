"""Odd compositions and rates: a sentence each, and nothing typed is lost."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore import Formula, InvalidInput, Line, SupplierRate, work_out

OIL = Line("olive oil", 20, phase="oil")


def cream(name: str, blends: str = "") -> hlb.Worked:
    lines = [Line("water", 75, phase="water"), OIL, Line(name, 5, phase="oil")]
    return work_out(Formula("x", "o/w cream", lines, blends=blends))


@pytest.mark.parametrize(
    ("blends", "said"),
    [
        (
            "house wax: cetearyl alcohol 80, polysorbate 60 30",
            "add to 110 %, not 100 %. Mend the parts; until then the parts count for more than is bought.",
        ),
        (
            "house wax: cetearyl alcohol 70, polysorbate 60 20",
            "add to 90 %, not 100 %. Mend the parts; until then what is missing counts nowhere.",
        ),
        (
            "house wax: cetearyl alcohol 70, zork 10, polysorbate 60 20",
            "'zork', a part of 'house wax', is not in the tables and counts nowhere.",
        ),
        ("house wax: cetearyl alcohol 70, polysorbat 60 30", "Did you mean 'polysorbate 60'"),
        (
            "house wax: cetearyl alcohol 40, Cetearyl Alcohol 40, polysorbate 60 20",
            "'Cetearyl Alcohol' stands more than once among the parts of 'house wax'.",
        ),
    ],
)
def test_an_odd_composition_is_said_beside_the_blends(blends: str, said: str) -> None:
    found = cream("house wax", blends)
    assert said in found.problem_of("blends")
    assert found.formula.blends.text == blends


def test_a_whole_composition_of_known_parts_has_no_problem() -> None:
    assert cream("house wax", "house wax: cetearyl alcohol 80, polysorbate 60 20").problems == ()


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("glyceryl stearate (and) zorkamide", "Of its parts nobody knows 'zorkamide'."),
        (
            "glyceryl stearate (and) PEG-100 stearate (and) glyceryl stearate",
            "'glyceryl stearate' stands more than once in",
        ),
        (
            "glyceryl stearate (60 %) (and) PEG-100 stearate (50 %)",
            "The shares in 'glyceryl stearate (60 %) (and) PEG-100 stearate (50 %)' add to 110 %",
        ),
    ],
)
def test_an_odd_list_of_parts_is_said_at_its_line(name: str, said: str) -> None:
    assert said in cream(name).problem_of("name", 2)


def test_parts_in_another_order_are_the_same_wax() -> None:
    one = cream("glyceryl stearate (and) cetearyl alcohol (and) sodium stearoyl lactylate").verdict
    other = cream("Sodium Stearoyl Lactylate, Glyceryl Stearate & Cetearyl Alcohol").verdict
    assert (one.word, one.figure) == (other.word, other.figure)
    assert one.word == "in its supplier's range"


def test_one_ingredient_twice_in_a_phase_is_said_and_counted_together() -> None:
    lines = [Line("water", 76, phase="water"), OIL, Line("polysorbate 60", 2, phase="oil")]
    lines += [Line("Polysorbate-60", 1, phase="oil"), Line("sorbitan stearate", 1, phase="oil")]
    found = work_out(Formula("x", "o/w cream", lines))
    assert "stands again in the same phase, also in line 3. Put the two together." in found.problem_of(
        "name", 3
    )
    assert found.emulsifier_pct == pytest.approx(4)


@pytest.mark.parametrize("basis", ["jar", "", "oils"])
def test_a_rate_with_no_basis_that_counts_is_refused(basis: str) -> None:
    with pytest.raises(InvalidInput, match="supplier's rate, basis"):
        SupplierRate(4, 6, basis=basis)


def test_a_typed_rate_on_an_odd_basis_keeps_its_text_with_a_sentence() -> None:
    line = Line("my wax", 5, counts="emulsifier", supplier_rate="20 % of the jar")
    assert line.supplier_rate.text == "20 % of the jar"
    assert "'jar' is no basis of a rate. Write % of the formula, oil phase, water phase." in (
        line.supplier_rate.problem
    )
