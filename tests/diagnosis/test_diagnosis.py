from __future__ import annotations

import re
from dataclasses import fields, replace

import pytest

import hlbcore as hlb
from hlbcore import Facts, Formula, InvalidInput, Library, Line, Portion
from hlbcore.diagnosis._causes import ROWS, SYMPTOMS
from hlbcore.diagnosis.diagnose import DIAGNOSIS_COLUMNS, Cause
from hlbcore.product_types import PRACTICE

ASKED = {
    "too soft",
    "cloudy",
    "thin",
    "split at once",
    "split next day",
    "oil on top",
    "water below",
    "grains at the bottom",
    "hard after days",
    "grainy",
    "white on rubbing",
    "sticky",
    "lumps",
    "crumbs of wax",
    "slippery tub",
    "film left",
    "does not rinse",
    "not white on rinsing",
}
CREAM = Formula(
    "cream",
    "o/w cream",
    (
        Line("water", 70),
        Line("sunflower oil", 20),
        Line("sorbitan stearate", 2.8),
        Line("polysorbate 60", 2.2),
        Line("glycerin", 3),
        Line("xanthan gum", 0.2),
        Line("cetearyl alcohol", 1.8),
    ),
    facts=Facts(ph=6, hottest_c=75),
)


def with_lines(formula: Formula, *lines: Line, **facts: float) -> Formula:
    return replace(formula, lines=(*formula.lines, *lines), facts=replace(formula.known_facts, **facts))


def cause(formula: Formula, symptom: str, word: str) -> Cause:
    return next(c for c in hlb.diagnose(formula, symptom=symptom).causes if word in c.cause)


def test_symptoms_are_the_words_of_the_trade() -> None:
    assert set(hlb.symptoms()) == ASKED


def test_unknown_symptom_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"symptom 'runny'.* Use thin, split at once, .*"):
        hlb.diagnose(CREAM, symptom="runny")


def test_case_and_spacing_of_a_symptom_are_free() -> None:
    assert hlb.diagnose(CREAM, symptom="  Oil  ON top ").symptom == "oil on top"


@pytest.mark.parametrize("symptom", sorted(ASKED))
@pytest.mark.parametrize("name", hlb.example_formulas())
def test_every_cause_is_complete_for_every_example(name: str, symptom: str) -> None:
    causes = hlb.diagnose(hlb.example_formula(name), symptom=symptom).causes
    assert [c.rank for c in causes] == list(range(1, len(causes) + 1))
    for c in causes:
        assert all(str(getattr(c, f.name)).strip() for f in fields(Cause))


@pytest.mark.parametrize("symptom", sorted(ASKED))
def test_causes_that_the_figure_points_at_come_first(symptom: str) -> None:
    formula = hlb.example_formula("faulty_lotion")
    points = [c.points for c in hlb.diagnose(formula, symptom=symptom).causes]
    assert points == sorted(points, reverse=True)


def test_within_a_group_the_order_is_that_of_the_trade() -> None:
    formula = hlb.example_formula("faulty_lotion")
    order = [ROWS[k].cause for k in SYMPTOMS["split next day"]]
    causes = hlb.diagnose(formula, symptom="split next day").causes
    for group in (True, False):
        held = [order.index(c.cause) for c in causes if c.points is group]
        assert held == sorted(held)


@pytest.mark.parametrize("symptom", sorted(ASKED))
def test_half_written_formula_is_no_error(symptom: str) -> None:
    assert hlb.diagnose(Formula("x", "o/w cream"), symptom=symptom).formula == "x"


def test_formula_with_portions_is_looked_at_as_its_base() -> None:
    formula = replace(
        with_lines(CREAM, Line("fragrance", 5, portion="rose")), portions=(Portion("rose", 100),)
    )
    causes = hlb.diagnose(formula, symptom="split next day").causes
    assert not any("fragrance" in c.cause for c in causes)


def test_table_has_the_named_columns_and_a_row_a_cause() -> None:
    found = hlb.diagnose(CREAM, symptom="thin")
    assert list(found.table.columns) == list(DIAGNOSIS_COLUMNS)
    assert list(found.table["cause"]) == [c.cause for c in found.causes]
    assert [f.name for f in fields(Cause)] == list(DIAGNOSIS_COLUMNS)


def test_chilled_spoonful_tells_melting_from_separating() -> None:
    found = cause(hlb.example_formula("evening_cleansing_balm"), "oil on top", "it melted")
    assert "if it sets, it melted, it did not separate" in found.test
    assert found.rank == 1


def test_emulsion_does_not_melt_apart() -> None:
    assert not any("it melted" in c.cause for c in hlb.diagnose(CREAM, symptom="oil on top").causes)


@pytest.mark.parametrize(
    ("symptom", "word", "line", "facts", "value"),
    [
        pytest.param(
            "water below", "salt breaks", Line("magnesium sulfate", 2), {}, "2 % magnesium sulfate", id="salt"
        ),
        pytest.param("thin", "pH too low", Line("lactic acid", 1), {"ph": 4.6}, "pH 4.6", id="pH"),
        pytest.param(
            "sticky",
            "too much humectant",
            Line("propanediol", 4),
            {},
            "7 % of the formula: 3 % glycerin, 4 % propanediol",
            id="humectants",
        ),
        pytest.param(
            "split at once", "more fragrance", Line("fragrance", 2), {}, "2 % of the formula", id="fragrance"
        ),
        pytest.param(
            "crumbs of wax",
            "not everything was melted",
            Line("carnauba wax", 1),
            {},
            "carnauba wax melts at 83 °C, hottest 75 °C",
            id="heat",
        ),
        pytest.param(
            "hard after days", "one fatty alcohol alone", Line("cetyl alcohol", 0), {}, "", id="mixed alcohol"
        ),
        pytest.param(
            "grainy",
            "butter cooled slowly",
            Line("shea butter", 5),
            {},
            "5 % shea butter = 15.7 % of the fat base",
            id="butter",
        ),
        pytest.param(
            "white on rubbing", "white powder", Line("zinc oxide", 3), {}, "3 % zinc oxide", id="powder"
        ),
        pytest.param(
            "split at once",
            "anionic and cationic",
            Line("cetrimonium chloride", 1),
            {},
            "",
            id="charge needs both",
        ),
    ],
)
def test_figure_of_this_formula_points_at_the_cause(
    symptom: str, word: str, line: Line, facts: dict[str, float], value: str
) -> None:
    causes = hlb.diagnose(with_lines(CREAM, line, **facts), symptom=symptom).causes
    held = [c for c in causes if word in c.cause and c.points]
    assert [c.value for c in held] == ([value] if value else [])


@pytest.mark.parametrize(
    ("symptom", "word"),
    [
        ("water below", "salt breaks"),
        ("grainy", "butter"),
        ("split at once", "more fragrance"),
        ("white on rubbing", "white powder"),
    ],
)
def test_cause_that_cannot_apply_is_left_out(symptom: str, word: str) -> None:
    assert not any(word in c.cause for c in hlb.diagnose(CREAM, symptom=symptom).causes)


def test_salt_helps_a_w_o_cream_and_its_lack_is_a_cause() -> None:
    formula = replace(CREAM, product_type="w/o cream")
    assert cause(formula, "water below", "without salt").points
    salted = with_lines(formula, Line("magnesium sulfate", 1))
    assert not cause(salted, "water below", "without salt").points
    assert not any("breaks" in c.cause for c in hlb.diagnose(salted, symptom="water below").causes)


def test_low_dose_points_and_its_mend_is_computed() -> None:
    weak = {n: x.pct / 4 for n, x in enumerate(CREAM.lines) if "ate 60" in x.name or "sorbitan" in x.name}
    found = cause(CREAM.with_pct(weak), "thin", "too little emulsifier")
    assert found.points
    assert "Start from 4 % of the formula" in found.mend


def test_glyceryl_stearate_alone_is_half_a_system() -> None:
    formula = Formula(
        "x", "o/w cream", (Line("water", 76), Line("sunflower oil", 20), Line("glyceryl stearate", 4))
    )
    assert cause(formula, "split at once", "only half").points


def test_heat_that_was_not_given_is_said_and_the_mend_computed() -> None:
    formula = Formula("x", "cleansing balm", (Line("olive oil", 80), Line("beeswax", 20)))
    found = cause(formula, "lumps", "not everything was melted")
    assert found.value == "beeswax melts at 63.5 °C; hottest temperature not given"
    assert not found.points
    assert "74 °C or more" in found.mend


def test_acid_butter_and_wax_together_point_without_a_threshold() -> None:
    balm = Formula(
        "x",
        "wash-off scrub",
        (Line("olive oil", 60), Line("stearic acid", 10), Line("cocoa butter", 20), Line("beeswax", 10)),
    )
    assert cause(balm, "hard after days", "too little liquid oil").points
    without = replace(balm, lines=balm.lines[:2] + balm.lines[3:])
    assert not cause(without, "hard after days", "too little liquid oil").points


@pytest.mark.parametrize("key", ROWS)
def test_every_cause_names_a_source_or_practice(key: str, library: Library) -> None:
    rule = ROWS[key].rule
    held = set(re.findall(r"\w+", rule)) & set(library.sources)
    assert held or rule in (PRACTICE, "general chemistry, from memory")


def test_every_cause_belongs_to_a_symptom() -> None:
    assert set(ROWS) == {k for keys in SYMPTOMS.values() for k in keys}


def test_no_text_promises_a_stable_product() -> None:
    assert not [k for k, r in ROWS.items() if "stable" in f"{r.cause} {r.test} {r.mend}"]
