from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace

import pytest
from hlbcore.sheets.sheet import GOALS, UNITS
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import (
    Facts,
    Sheet,
    SheetChange,
    SheetEmulsifier,
    SheetLine,
    SheetOther,
    changes_in_words,
    compare_sheets,
    example_sheet,
    sheet_changes,
)
from hlbcore.kept.changes import FACT_WORDS

OLD = Sheet(
    title="cream",
    lines=(SheetLine("cocoa butter", "10"), SheetLine("olive oil", "5"), SheetLine("shea", "3")),
    emulsifiers=(SheetEmulsifier("polysorbate 60", now="2"), SheetEmulsifier("lecithin")),
    others=(SheetOther("water", "70"), SheetOther("sugar", "5")),
    facts=(("area", "face"), ("ph", "5.5")),
)


def oils(*lines: SheetLine) -> Sheet:
    return replace(OLD, lines=lines)


def said(new: Sheet, old: Sheet = OLD) -> list[str]:
    return [change.words for change in sheet_changes(old, new)]


# --- nothing can change unseen

OTHER_VALUES: dict[str, object] = {
    "unit": UNITS[1],
    "product": "w/o cream",
    "objective": GOALS[-1],
    "count_fragrance": False,
    "ionics": True,
    "phases": ("one",),
    "lines": (),
    "emulsifiers": (),
    "others": (),
    "facts": (("ph", "6"),),
}
FIELDS = pytest.mark.parametrize("name", [f.name for f in fields(Sheet)])


@FIELDS
def test_every_field_of_a_sheet_is_seen(name: str) -> None:
    new = replace(OLD, **{name: OTHER_VALUES.get(name, "7")})  # type: ignore[arg-type]
    assert new != OLD
    assert sheet_changes(OLD, new)
    assert sheet_changes(new, OLD)


LISTS: dict[str, Callable[..., SheetLine | SheetEmulsifier | SheetOther]] = {
    "lines": SheetLine,
    "emulsifiers": SheetEmulsifier,
    "others": SheetOther,
}


@pytest.mark.parametrize(("where", "name"), [(w, f.name) for w, kind in LISTS.items() for f in fields(kind)])
def test_every_field_of_a_line_is_seen_by_itself(where: str, name: str) -> None:
    old = getattr(OLD, where)
    new = replace(OLD, **{where: (replace(old[0], **{name: "7"}), *old[1:])})
    (change,) = sheet_changes(OLD, new)
    assert (change.before, change.after) == (getattr(old[0], name), "7")


@pytest.mark.parametrize("name", [f.name for f in fields(Facts)])
def test_every_fact_is_named_in_words_of_the_bench(name: str) -> None:
    (change,) = sheet_changes(Sheet(), Sheet(facts=((name, "7"),)))
    assert change == SheetChange(FACT_WORDS[name], "", "7")
    assert "_" not in change.where


words = st.text(max_size=4) | st.sampled_from(["", "5", "olive oil", "Olive Oil", "shea"])
lines = st.lists(st.builds(SheetLine, words, words, words, note=words), max_size=4).map(tuple)
sheets = st.builds(
    Sheet,
    title=words,
    unit=st.sampled_from(UNITS),
    objective=st.sampled_from(GOALS),
    lines=lines,
    emulsifiers=st.lists(st.builds(SheetEmulsifier, words, words), max_size=3).map(tuple),
    others=st.lists(st.builds(SheetOther, words, words), max_size=3).map(tuple),
    ionics=st.booleans(),
    phases=st.lists(words, max_size=2).map(tuple),
    facts=st.lists(st.tuples(st.sampled_from(["ph", "area", "x"]), words), max_size=3).map(tuple),
)


@settings(max_examples=150)
@given(sheets, sheets)
def test_there_are_no_changes_only_between_equal_sheets(old: Sheet, new: Sheet) -> None:
    assert (sheet_changes(old, new) == ()) == (old == new)
    assert sheet_changes(old, replace(old)) == ()


@settings(max_examples=150)
@given(lines, lines)
def test_lines_that_differ_are_seen_whatever_else_is_equal(
    old: tuple[SheetLine, ...], new: tuple[SheetLine, ...]
) -> None:
    assert bool(sheet_changes(oils(*old), oils(*new))) == (old != new)


@settings(max_examples=60)
@given(st.permutations(OLD.lines))
def test_lines_in_another_order_are_one_change(shuffled: list[SheetLine]) -> None:
    found = sheet_changes(OLD, oils(*shuffled))
    assert [c.where for c in found] == ["order of the oil phase"] * (tuple(shuffled) != OLD.lines)


# --- lines are followed


def test_an_amount_is_named_with_its_line() -> None:
    cocoa, olive, shea = OLD.lines
    assert sheet_changes(OLD, oils(cocoa, replace(olive, amount="6"), shea)) == (
        SheetChange("olive oil, amount", "5", "6"),
    )


def test_a_renamed_line_is_one_change() -> None:
    cocoa, olive, shea = OLD.lines
    assert said(oils(replace(cocoa, name="mango butter"), olive, shea)) == ["cocoa butter → mango butter"]


def test_a_renamed_line_is_followed_where_others_came_and_went_before_it() -> None:
    _, olive, shea = OLD.lines
    new = oils(olive, replace(shea, name="mango butter", amount="4"))
    assert said(new) == ["shea → mango butter", "mango butter amount 3 → 4", "cocoa butter 10 removed"]


def test_a_name_spelt_in_another_way_is_the_same_line() -> None:
    cocoa, olive, shea = OLD.lines
    assert said(oils(replace(cocoa, name="Cocoa Butter", amount="9"), olive, shea)) == [
        "cocoa butter → Cocoa Butter",
        "Cocoa Butter amount 10 → 9",
    ]


def test_an_added_and_a_removed_line_are_named_with_their_amount() -> None:
    cocoa, olive, _ = OLD.lines
    new = replace(oils(cocoa, olive), others=(*OLD.others, SheetOther("gum", "0.3")))
    assert said(new) == ["shea 3 removed", "gum 0.3 added"]
    assert [c.where for c in sheet_changes(OLD, new)] == [
        "removed from the oil phase",
        "added to the other lines",
    ]


def test_the_removed_one_of_two_lines_of_one_name_is_found() -> None:
    first, second = SheetLine("olive oil", "5"), SheetLine("olive oil", "7")
    assert said(oils(second), oils(first, second)) == ["olive oil 5 removed"]


def test_a_line_of_a_name_that_stands_twice_has_its_number() -> None:
    twice = (SheetLine("olive oil", "5"), SheetLine("olive oil", "7"))
    new = oils(twice[0], replace(twice[1], amount="8"))
    assert sheet_changes(oils(*twice), new) == (SheetChange("olive oil (line 2), amount", "7", "8"),)


def test_a_line_without_a_name_has_its_number() -> None:
    new = oils(*OLD.lines, SheetLine("", "1"))
    assert sheet_changes(new, oils(*OLD.lines, SheetLine("", "2"))) == (
        SheetChange("(line 4), amount", "1", "2"),
    )


def test_limits_are_called_as_on_the_page() -> None:
    new = replace(OLD, emulsifiers=(replace(OLD.emulsifiers[0], high="3"), OLD.emulsifiers[1]))
    assert sheet_changes(OLD, new) == (SheetChange("polysorbate 60, at most", "", "3"),)


# --- settings and facts


def test_choices_read_as_yes_and_no() -> None:
    (change,) = sheet_changes(OLD, replace(OLD, ionics=True))
    assert change == SheetChange("ionic emulsifiers allowed", "no", "yes")


def test_facts_in_another_order_are_one_change() -> None:
    (change,) = sheet_changes(OLD, replace(OLD, facts=OLD.facts[::-1]))
    assert change.where == "list of the facts"


def test_title_and_product_come_first() -> None:
    found = sheet_changes(OLD, replace(example_sheet(), product="w/o cream"))
    assert [c.where for c in found][:2] == ["title", "product type"]


# --- in one sentence


def test_three_are_named_and_the_rest_counted() -> None:
    new = replace(OLD, window="1.5", total="5", batch="1 kg", scale="1 g", smallest="0.2")
    assert changes_in_words(sheet_changes(OLD, new)) == (
        "total of the emulsifiers 3 to 6 → 5; window 1 → 1.5; batch 500 g → 1 kg; and 2 more"
    )


def test_three_changes_leave_no_rest() -> None:
    new = replace(OLD, window="1.5", batch="1 kg", smallest="0.2")
    assert changes_in_words(sheet_changes(OLD, new)) == (
        "window 1 → 1.5; batch 500 g → 1 kg; smallest amount blank → 0.2"
    )


def test_no_change_says_so() -> None:
    assert changes_in_words(()) == "nothing changed"


@pytest.mark.parametrize(
    ("new", "sentence"),
    [
        (replace(OLD, note="x" * 5000), "note changed"),
        (replace(OLD, title=" cream"), "title changed"),
        (oils(*OLD.lines[::-1]), "order of the oil phase changed"),
        (replace(OLD, window=""), "window 1 → blank"),
    ],
    ids=["long text", "spaces", "order", "blank"],
)
def test_what_cannot_be_quoted_is_only_named(new: Sheet, sentence: str) -> None:
    assert changes_in_words(sheet_changes(OLD, new)) == sentence


def test_the_sentence_stays_short_for_long_names() -> None:
    new = oils(*(SheetLine("x" * 2000 + str(n), "1" * 2000) for n in range(200)))
    sentence = changes_in_words(sheet_changes(OLD, new))
    assert "\n" not in sentence
    assert len(sentence) < 400


# --- as a table


def test_the_table_holds_every_change_as_typed() -> None:
    new = replace(OLD, window="1.5", note="a\nb")
    table = compare_sheets(OLD, new)
    assert list(table.columns) == ["where", "before", "after"]
    assert table.values.tolist() == [["window", "1", "1.5"], ["note", "", "a\nb"]]


def test_the_table_of_equal_sheets_is_blank() -> None:
    assert compare_sheets(OLD, OLD).empty
    assert list(compare_sheets(OLD, OLD).columns) == ["where", "before", "after"]
