from __future__ import annotations

from dataclasses import fields, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import Aims, Facts, Formula, Line, example_formula
from hlbcore.formula.aims import GOALS, UNITS
from hlbcore.formula.lines import COUNTS
from hlbcore.kept.changes import (
    FACT_WORDS,
    FormulaChange,
    changes_in_words,
    compare_formulas,
    formula_changes,
)

OILS = (Line("cocoa butter", "10"), Line("olive oil", "5"), Line("shea", "3"))
REST = (
    *(Line("polysorbate 60", "2"), Line("lecithin")),
    *(Line("water", "70", phase="water"), Line("sugar", "5", phase="solids")),
)
OLD = Formula(
    "cream",
    lines=(*OILS, *REST),
    facts=(("area", "face"), ("ph", "5.5")),
    aims=Aims("closest", "3 to 6", "1"),
)


def lines(*held: Line) -> Formula:
    """The formula with other lines before the rest."""
    return replace(OLD, lines=(*held, *REST))


def aimed(**change: object) -> Formula:
    return replace(OLD, aims=replace(OLD.aims, **change))  # type: ignore[arg-type]


def said(new: Formula, old: Formula = OLD) -> list[str]:
    return [change.words for change in formula_changes(old, new)]


# --- nothing can change unseen

OTHER_VALUES: dict[str, object] = {
    "product_type": "w/o cream",
    "phases": ("one",),
    "lines": (),
    "facts": (("ph", "6"),),
    "aims": Aims(),
}


def settable(kind: type) -> list[str]:
    return [f.name for f in fields(kind) if f.init]


@pytest.mark.parametrize("name", settable(Formula))
def test_every_field_of_a_formula_is_seen(name: str) -> None:
    new = replace(OLD, **{name: OTHER_VALUES.get(name, "7")})  # type: ignore[arg-type]
    assert new != OLD
    assert formula_changes(OLD, new)
    assert formula_changes(new, OLD)


AIM_VALUES: dict[str, object] = {
    "goal": GOALS[-1],
    "unit": UNITS[1],
    "fragrance_counts": False,
    "ionics": True,
}


@pytest.mark.parametrize("name", settable(Aims))
def test_every_aim_is_seen_by_itself(name: str) -> None:
    (change,) = formula_changes(OLD, aimed(**{name: AIM_VALUES.get(name, "7")}))
    assert "_" not in change.where
    assert change.before != change.after


@pytest.mark.parametrize("name", settable(Line))
def test_every_field_of_a_line_is_seen_by_itself(name: str) -> None:
    value = COUNTS[1] if name == "counts" else "7"
    (change,) = formula_changes(OLD, lines(replace(OILS[0], **{name: value}), *OILS[1:]))  # type: ignore[arg-type]
    held = getattr(OILS[0], name)
    assert (change.before, change.after) == ("" if held is None else str(held), value)
    assert "_" not in change.where


@pytest.mark.parametrize("name", [f.name for f in fields(Facts)])
def test_every_fact_is_named_in_words_of_the_bench(name: str) -> None:
    (change,) = formula_changes(Formula(), Formula(facts=((name, "7"),)))
    assert change == FormulaChange(FACT_WORDS[name], "", "7")
    assert "_" not in change.where


words = st.text(max_size=4) | st.sampled_from(["", "5", "olive oil", "Olive Oil", "shea"])
any_lines = st.lists(st.builds(Line, words, words, own=words, note=words), max_size=5).map(tuple)
formulas = st.builds(
    Formula,
    words,
    lines=any_lines,
    phases=st.lists(words, max_size=2),
    portions=words,
    blends=words,
    facts=st.lists(st.tuples(st.sampled_from(["ph", "area", "x"]), words), max_size=3),
    aims=st.builds(Aims, st.sampled_from(GOALS), words, ionics=st.booleans(), unit=st.sampled_from(UNITS)),
    note=words,
)


@settings(max_examples=150)
@given(formulas, formulas)
def test_there_are_no_changes_only_between_equal_formulas(old: Formula, new: Formula) -> None:
    assert (formula_changes(old, new) == ()) == (old == new)
    assert formula_changes(old, replace(old)) == ()


@settings(max_examples=150)
@given(any_lines, any_lines)
def test_lines_that_differ_are_seen_whatever_else_is_equal(
    old: tuple[Line, ...], new: tuple[Line, ...]
) -> None:
    assert bool(formula_changes(lines(*old), lines(*new))) == (old != new)


@settings(max_examples=60)
@given(st.permutations(OILS))
def test_lines_in_another_order_are_one_change(shuffled: list[Line]) -> None:
    found = formula_changes(OLD, lines(*shuffled))
    assert [c.where for c in found] == ["order of the lines"] * (tuple(shuffled) != OILS)


# --- lines are followed


def test_an_amount_is_named_with_its_line() -> None:
    cocoa, olive, shea = OILS
    assert formula_changes(OLD, lines(cocoa, replace(olive, amount="6"), shea)) == (
        FormulaChange("olive oil, amount", "5", "6"),
    )


def test_a_renamed_line_is_one_change() -> None:
    cocoa, olive, shea = OILS
    assert said(lines(replace(cocoa, name="mango butter"), olive, shea)) == ["cocoa butter → mango butter"]


def test_a_renamed_line_is_followed_where_others_came_and_went_before_it() -> None:
    _, olive, shea = OILS
    new = lines(olive, replace(shea, name="mango butter", amount="4"))
    assert said(new) == ["shea → mango butter", "mango butter amount 3 → 4", "cocoa butter 10 removed"]


def test_a_name_spelt_in_another_way_is_the_same_line() -> None:
    cocoa, olive, shea = OILS
    assert said(lines(replace(cocoa, name="Cocoa Butter", amount="9"), olive, shea)) == [
        "cocoa butter → Cocoa Butter",
        "Cocoa Butter amount 10 → 9",
    ]


def test_an_added_and_a_removed_line_are_named_with_their_amount() -> None:
    cocoa, olive, _ = OILS
    new = replace(OLD, lines=(cocoa, olive, *REST, Line("gum", "0.3")))
    assert said(new) == ["gum 0.3 added", "shea 3 removed"]
    assert [c.where for c in formula_changes(OLD, new)] == ["added", "removed"]


def test_the_removed_one_of_two_lines_of_one_name_is_found() -> None:
    first, second = Line("olive oil", "5"), Line("olive oil", "7")
    assert said(lines(second), lines(first, second)) == ["olive oil 5 removed"]


def test_a_line_of_a_name_that_stands_twice_has_its_number() -> None:
    twice = (Line("olive oil", "5"), Line("olive oil", "7"))
    new = lines(twice[0], replace(twice[1], amount="8"))
    assert formula_changes(lines(*twice), new) == (FormulaChange("olive oil (line 2), amount", "7", "8"),)


def test_a_line_without_a_name_has_its_number() -> None:
    new = lines(*OILS, Line("", "1"))
    assert formula_changes(new, lines(*OILS, Line("", "2"))) == (FormulaChange("(line 4), amount", "1", "2"),)


def test_limits_are_called_as_on_the_page() -> None:
    new = replace(OLD, lines=(*OILS, replace(REST[0], high="3"), *REST[1:]))
    assert formula_changes(OLD, new) == (FormulaChange("polysorbate 60, at most", "", "3"),)


# --- settings and facts


def test_choices_read_as_yes_and_no() -> None:
    (change,) = formula_changes(OLD, aimed(ionics=True))
    assert change == FormulaChange("ionic emulsifiers allowed", "no", "yes")


def test_facts_in_another_order_are_one_change() -> None:
    (change,) = formula_changes(OLD, replace(OLD, facts=OLD.facts[::-1]))
    assert change.where == "list of the facts"


def test_name_and_product_come_first() -> None:
    found = formula_changes(OLD, replace(example_formula(), product_type="w/o cream"))
    assert [c.where for c in found][:2] == ["name", "product type"]


# --- in one sentence


def test_three_are_named_and_the_rest_counted() -> None:
    new = aimed(window="1.5", dose="5", batch="1 kg", scales="1 g", smallest="0.2")
    assert changes_in_words(formula_changes(OLD, new)) == (
        "total of the emulsifiers 3 to 6 → 5; window 1 → 1.5; batch 500 g → 1 kg; and 2 more"
    )


def test_three_changes_leave_no_rest() -> None:
    new = aimed(window="1.5", batch="1 kg", smallest="0.2")
    assert changes_in_words(formula_changes(OLD, new)) == (
        "window 1 → 1.5; batch 500 g → 1 kg; smallest amount blank → 0.2"
    )


def test_no_change_says_so() -> None:
    assert changes_in_words(()) == "nothing changed"


@pytest.mark.parametrize(
    ("new", "sentence"),
    [
        (replace(OLD, note="x" * 5000), "note changed"),
        (replace(OLD, name=" cream"), "name changed"),
        (lines(*OILS[::-1]), "order of the lines changed"),
        (aimed(window=""), "window 1 → blank"),
    ],
    ids=["long text", "spaces", "order", "blank"],
)
def test_what_cannot_be_quoted_is_only_named(new: Formula, sentence: str) -> None:
    assert changes_in_words(formula_changes(OLD, new)) == sentence


def test_the_sentence_stays_short_for_long_names() -> None:
    new = lines(*(Line("x" * 2000 + str(n), "1" * 2000) for n in range(200)))
    sentence = changes_in_words(formula_changes(OLD, new))
    assert "\n" not in sentence
    assert len(sentence) < 400


# --- as a table


def test_the_table_holds_every_change_as_typed() -> None:
    table = compare_formulas(OLD, replace(aimed(window="1.5"), note="a\nb"))
    assert list(table.columns) == ["where", "before", "after"]
    assert table.values.tolist() == [["window", "1", "1.5"], ["note", "", "a\nb"]]


def test_the_table_of_equal_formulas_is_blank() -> None:
    assert compare_formulas(OLD, OLD).empty
    assert list(compare_formulas(OLD, OLD).columns) == ["where", "before", "after"]
