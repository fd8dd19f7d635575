from __future__ import annotations

import json
import math
from dataclasses import asdict, fields, replace

import pytest
from hlbcore.sheets.sheet import CHECK_ONLY, GOALS, GRAMS, UNITS
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hlbcore import (
    InvalidInput,
    Library,
    Outcome,
    Sheet,
    SheetEmulsifier,
    SheetLine,
    example_sheet,
    product_types,
    readings_to_choose,
    work_out,
)

OILS = (SheetLine("alpha oil", "10"), SheetLine("beta oil", "10"))
PAIR = (SheetEmulsifier("delta ester"), SheetEmulsifier("epsilon ester"))
SHEET = Sheet(lines=OILS, emulsifiers=PAIR, total="5")
REQUIRED = 8.25  # 6.5, the median of the better grade, and 10, half and half


def with_line(sheet: Sheet = SHEET, /, **change: str) -> Sheet:
    """The sheet with its first line changed."""
    return replace(sheet, lines=(replace(sheet.lines[0], **change), *sheet.lines[1:]))


def with_first(sheet: Sheet = SHEET, /, **change: str) -> Sheet:
    """The sheet with its first emulsifier changed."""
    first, *rest = sheet.emulsifiers
    return replace(sheet, emulsifiers=(replace(first, **change), *rest))


def test_the_example_is_worked_out_without_a_word_of_error() -> None:
    found = work_out(example_sheet())
    assert (found.errors, found.pending, found.unreachable) == ({}, (), None)
    assert found.required is not None
    # 9 at 7, 5 at 8, 3 at 6, 2 at 15.1, 1 at 12, and 0.2 at 6 of the cool-down
    assert found.required.value == pytest.approx((63 + 40 + 18 + 30.2 + 12 + 1.2) / 20.2)
    assert found.blend is not None
    assert found.blend.hlb == pytest.approx(found.required.value)
    assert found.verdict is not None
    assert found.verdict.word == "inside"
    assert found.weighed is not None
    assert found.weighed.total_g == 22.5


def test_pair_is_split_by_the_rule_of_mixtures(tiny_library: Library) -> None:
    found = work_out(SHEET, tiny_library)
    share = (REQUIRED - 4) / (15 - 4)
    assert found.amounts == pytest.approx({"delta ester": 5 * (1 - share), "epsilon ester": 5 * share})


BAD = {
    "line 0 amount": with_line(amount="-2"),
    "line 0 amount, blank": with_line(amount=""),
    "line 0 amount, word": with_line(amount="a bit"),
    "line 0 amount, above 100 %": with_line(amount="101"),
    "line 0 amount, more than the batch": with_line(amount="501 g"),
    "line 0 amount, spoons": with_line(amount="2 tbsp"),
    "line 0 own": with_line(own="41"),
    "line 0 own, word": with_line(own="nonsense"),
    "line 0 own, range turned round": with_line(own="9 to 7"),
    "line 0 own, kind without a range": with_line(own="butter"),
    "line 0 own, no such reading": with_line(own="reading 30"),
    "line 0 own, reading that is no number": with_line(own="reading x"),
    "line 0 name": with_line(name=""),
    "line 0 name, unknown": with_line(name="alpha oill"),
    "batch": replace(SHEET, batch="0"),
    "batch, per cent": replace(SHEET, batch="5 %"),
    "scale": replace(SHEET, scale="fine"),
    "scale, coarser than the blend": replace(SHEET, scale="1 kg"),
    "scale, far too fine": replace(SHEET, scale="1e-320"),
    "window": replace(SHEET, window="-1"),
    "total": replace(SHEET, total="0"),
    "total, turned round": replace(SHEET, total="6 to 3"),
    "total, above 100": replace(SHEET, total="5 to 101"),
    "total, grams": replace(SHEET, total="5 g"),
    "smallest": replace(SHEET, smallest="-1"),
    "smallest, grams": replace(SHEET, smallest="1 g"),
    "emulsifier 0 name": with_first(name="alpha oil"),
    "emulsifier 1 name, twice": replace(SHEET, emulsifiers=(*PAIR[:1], *PAIR)),
    "emulsifier 0 now": with_first(now="x"),
    "emulsifier 0 low": with_first(low="-1"),
    "emulsifier 0 low, above the high one": with_first(low="3", high="2"),
    "emulsifier 0 high": with_first(high="200"),
    "emulsifier 0 price": with_first(price="cheap"),
    "emulsifier 0 hlb": with_first(hlb="41"),
    "emulsifier 0 hlb, word": with_first(hlb="low"),
    "emulsifier 0 rate": with_first(rate="6 to 4"),
    "emulsifier 0 rate, above 100 %": with_first(rate="4 to 101"),
    "emulsifier 0 oil_limit": with_first(rate="4 to 6", oil_limit="-1"),
    "emulsifier 0 oil_limit, without a rate": with_first(oil_limit="25"),
    "objective": replace(SHEET, objective="cheapest"),
    "objective, no amounts in use": replace(SHEET, objective="least change"),
}
CASES = pytest.mark.parametrize(("key", "sheet"), BAD.items(), ids=BAD.keys())


@CASES
def test_a_bad_field_has_one_sentence_under_its_own_key(
    key: str, sheet: Sheet, tiny_library: Library
) -> None:
    errors = work_out(sheet, tiny_library).errors
    assert list(errors) == [key.partition(",")[0]]
    (sentence,) = errors.values()
    assert sentence.endswith((".", ")."))
    assert " " in sentence


@CASES
def test_the_rest_is_worked_out_beside_a_bad_field(key: str, sheet: Sheet, tiny_library: Library) -> None:
    found = work_out(sheet, tiny_library)
    assert found.required is not None
    counts = {p.name for p in found.required.parts}
    assert counts >= ({"beta oil"} if key.startswith("line") else {"alpha oil", "beta oil"})
    # without a total, a window or an aim there is nothing to judge
    unsolved = key.partition(",")[0] in ("total", "window", "objective")
    assert (found.verdict is None and found.unreachable is None) == unsolved


@CASES
def test_nothing_typed_is_lost(key: str, sheet: Sheet, tiny_library: Library) -> None:
    assert work_out(sheet, tiny_library).sheet is sheet


def test_every_field_that_takes_figures_has_a_bad_case() -> None:
    keys = {k.partition(",")[0] for k in BAD}
    words = {"side", "phase", "note"}
    assert keys >= {f"line 0 {f.name}" for f in fields(SheetLine) if f.name not in words}
    assert keys >= {f"emulsifier 0 {f.name}" for f in fields(SheetEmulsifier) if f.name not in words}
    assert keys >= {"total", "window", "batch", "scale", "smallest", "objective"}


def test_several_bad_fields_are_all_named(tiny_library: Library) -> None:
    sheet = replace(with_line(amount="x"), batch="y", window="z")
    assert set(work_out(sheet, tiny_library).errors) == {"line 0 amount", "batch", "window"}


def test_unknown_name_brings_close_matches_and_waits(tiny_library: Library) -> None:
    found = work_out(with_line(name="alpha oill"), tiny_library)
    assert found.unknown[0][0] == "alpha oil"
    assert "Did you mean 'alpha oil'" in found.errors["line 0 name"]
    assert found.pending == ("alpha oill",)
    assert found.required is not None
    assert [p.name for p in found.required.parts] == ["beta oil"]


def test_a_line_without_a_name_waits_under_its_number(tiny_library: Library) -> None:
    assert work_out(with_line(name=""), tiny_library).pending == ("line 1",)


def test_a_blank_line_is_passed_over(tiny_library: Library) -> None:
    found = work_out(replace(SHEET, lines=(SheetLine(""), *OILS)), tiny_library)
    assert (found.errors, found.pending) == ({}, ())


def test_unknown_name_counts_with_a_value_of_the_users_own(tiny_library: Library) -> None:
    found = work_out(with_line(name="my oil", own="9"), tiny_library)
    assert (found.errors, found.unknown) == ({}, {})
    assert found.required is not None
    assert found.required.value == pytest.approx(9.5)


@pytest.mark.parametrize(
    ("own", "low", "value", "high"),
    [("9", 9, 9, 9), ("8 to 12", 8, 10, 12), ("8,5-9,5", 8.5, 9, 9.5)],
    ids=["number", "range", "decimal comma"],
)
def test_own_value_leads_over_the_tables(
    own: str, low: float, value: float, high: float, tiny_library: Library
) -> None:
    found = work_out(with_line(own=own), tiny_library).required
    assert found is not None
    mine = found.parts[0]
    assert (mine.estimate.low, mine.estimate.value, mine.estimate.high) == (low, value, high)
    assert mine.basis == "own value"


def test_own_kind_takes_the_range_of_the_kind(library: Library) -> None:
    found = work_out(Sheet(lines=(SheetLine("my butter", "10", own="Butter"),))).required
    assert found is not None
    spread, _ = library.class_range("butter")
    assert (found.low, found.value, found.high) == (spread.low, spread.value, spread.high)
    assert found.parts[0].basis.startswith("class range (butter")


@pytest.mark.parametrize("reading", [9, 14])
def test_a_chosen_reading_keeps_the_range_of_the_tables(reading: int, tiny_library: Library) -> None:
    sheet = replace(SHEET, lines=(SheetLine("gamma wax", "10", own=f"reading {reading}"),))
    found = work_out(sheet, tiny_library)
    assert found.errors == {}
    assert found.required is not None
    assert (found.required.low, found.required.value, found.required.high) == (9, reading, 14)


def test_readings_to_choose_are_those_that_the_sheet_takes(tiny_library: Library) -> None:
    offered = readings_to_choose("gamma wax", "o/w", tiny_library)
    assert offered == ("reading 9", "reading 12", "reading 14")
    for own in offered:
        sheet = replace(SHEET, lines=(SheetLine("gamma wax", "10", own=own),))
        assert work_out(sheet, tiny_library).errors == {}


@pytest.mark.parametrize("name", ["alpha oil", "nobody", "delta ester"])
def test_there_is_nothing_to_choose_where_sources_agree(name: str, tiny_library: Library) -> None:
    assert readings_to_choose(name, "", tiny_library) == ()


@pytest.mark.parametrize(
    ("side", "value"), [("", 12.5), ("oil", 12.5), ("emulsifier", 10.0)], ids=["default", "oil", "emulsifier"]
)
def test_two_sided_ingredient_counts_on_the_side_chosen(
    side: str, value: float, tiny_library: Library
) -> None:
    lines = (SheetLine("zeta alcohol", "10", side), SheetLine("beta oil", "10"))
    found = work_out(replace(SHEET, lines=lines), tiny_library)
    assert found.required is not None
    assert found.required.value == pytest.approx(value)


def test_side_of_a_one_sided_ingredient_is_not_heeded(tiny_library: Library) -> None:
    found = work_out(with_line(side="emulsifier"), tiny_library)
    assert found.errors == {}
    assert found.required is not None
    assert found.required.value == REQUIRED


def test_plain_numbers_in_grams_are_taken_of_the_batch(tiny_library: Library) -> None:
    found = work_out(replace(SHEET, unit=GRAMS, batch="200 g"), tiny_library).required
    assert found is not None
    assert found.mass == pytest.approx(10.0)


@pytest.mark.parametrize("amount", ["10 %", "50 g", "0.05 kg", "50000 mg", "1.763698 oz", "0.1102311 lb"])
@pytest.mark.parametrize("unit", UNITS)
def test_a_unit_behind_the_number_leads_over_the_unit_of_the_sheet(
    amount: str, unit: str, tiny_library: Library
) -> None:
    sheet = replace(with_line(amount=amount), unit=unit)
    found = work_out(sheet, tiny_library).required
    assert found is not None
    assert found.parts[0].mass == pytest.approx(10.0, rel=1e-6)


def test_units_may_be_mixed_from_line_to_line(tiny_library: Library) -> None:
    lines = (SheetLine("alpha oil", "50 g"), SheetLine("beta oil", "10 %"))
    found = work_out(replace(SHEET, lines=lines), tiny_library)
    assert found.errors == {}
    assert found.required is not None
    assert found.required.value == pytest.approx(REQUIRED)


def test_grams_wait_for_a_batch_and_per_cents_do_not(tiny_library: Library) -> None:
    lines = (SheetLine("alpha oil", "50 g"), SheetLine("beta oil", "10 %"))
    found = work_out(replace(SHEET, lines=lines, batch=""), tiny_library)
    assert set(found.errors) == {"batch", "line 0 amount"}
    assert "Mend the batch first." in found.errors["line 0 amount"]
    assert found.pending == ("alpha oil",)
    assert found.required is not None
    assert found.required.value == 10.0


def test_the_same_ingredient_twice_is_added(tiny_library: Library) -> None:
    lines = (*OILS, SheetLine("first oil", "20"))
    found = work_out(replace(SHEET, lines=lines), tiny_library).required
    assert found is not None
    assert found.value == pytest.approx((30 * 6.5 + 10 * 10) / 40)


def test_two_lines_of_60_per_cent_bring_an_error_and_no_crash(tiny_library: Library) -> None:
    lines = (SheetLine("alpha oil", "60"), SheetLine("beta oil", "60"))
    found = work_out(replace(SHEET, lines=lines), tiny_library)
    assert found.required is not None
    assert found.required.mass == 120.0
    assert "120 % of the formula, more than 100 %" in found.errors["phase"]


NAMES = {
    role: [t.name for t in product_types() if t.role == role] for role in ("governs", "secondary", "none")
}


@pytest.mark.parametrize("name", [n for n in NAMES["governs"] if n != "w/o cream"])
def test_where_hlb_governs_the_blend_meets_the_target(name: str, tiny_library: Library) -> None:
    found = work_out(replace(SHEET, product=name), tiny_library)
    assert found.blend is not None
    assert found.blend.hlb == pytest.approx(REQUIRED)
    assert found.verdict is not None
    assert found.verdict.word in ("inside", "doubtful")


def test_w_o_cream_takes_no_value_from_o_w(tiny_library: Library) -> None:
    found = work_out(replace(SHEET, product="w/o cream"), tiny_library)
    assert "the o/w value is never used for w/o" in found.errors["phase"]
    assert "beta oil" in found.errors["phase"]
    assert (found.required, found.blend) == (None, None)


@pytest.mark.parametrize("name", NAMES["secondary"])
def test_one_hydrophilic_emulsifier_far_above_the_window_is_for_the_rinse_test(
    name: str, tiny_library: Library
) -> None:
    found = work_out(replace(SHEET, product=name, emulsifiers=PAIR[1:]), tiny_library)
    assert found.unreachable is None
    assert found.amounts == pytest.approx({"epsilon ester": 5.0})
    assert found.verdict is not None
    assert found.verdict.word == "rinse test"
    assert [f for f in found.verdict.findings if f.level == "stop"] == []


@pytest.mark.parametrize("name", NAMES["none"])
def test_where_hlb_decides_nothing_no_blend_is_solved(name: str, tiny_library: Library) -> None:
    found = work_out(replace(SHEET, product=name), tiny_library)
    assert found.blend is None
    assert found.verdict is not None
    assert found.verdict.word == "no verdict"
    assert "HLB decides nothing" in found.verdict.sentence


def test_check_only_judges_the_amounts_in_use(tiny_library: Library) -> None:
    pair = (replace(PAIR[0], now="2"), replace(PAIR[1], now="15 g"))
    found = work_out(replace(SHEET, objective=CHECK_ONLY, emulsifiers=pair), tiny_library)
    assert found.blend is None
    assert found.amounts == pytest.approx({"delta ester": 2.0, "epsilon ester": 3.0})
    assert found.verdict is not None
    assert found.verdict.blend is not None
    assert found.verdict.blend.value == pytest.approx((2 * 4 + 3 * 15) / 5)


def test_least_change_asks_for_the_amounts_in_use(tiny_library: Library) -> None:
    found = work_out(replace(SHEET, objective="least change"), tiny_library)
    assert "needs the amounts in use" in found.errors["objective"]
    assert found.blend is None


def test_least_change_leaves_alone_what_meets_the_window(tiny_library: Library) -> None:
    pair = (replace(PAIR[0], now="3"), replace(PAIR[1], now="2"))
    found = work_out(replace(SHEET, objective="least change", emulsifiers=pair), tiny_library)
    assert found.amounts == pytest.approx({"delta ester": 3.0, "epsilon ester": 2.0}, abs=1e-4)


def test_cheapest_names_the_emulsifier_without_a_price(tiny_library: Library) -> None:
    pair = (replace(PAIR[0], price="14"), PAIR[1])
    found = work_out(replace(SHEET, objective="cheapest", emulsifiers=pair), tiny_library)
    assert "'epsilon ester'" in found.errors["objective"]
    assert "a missing price is not 0" in found.errors["objective"]


def test_cheapest_goes_to_the_edge_of_the_window_towards_the_cheap_one(tiny_library: Library) -> None:
    pair = (replace(PAIR[0], price="10"), replace(PAIR[1], price="20"))
    found = work_out(replace(SHEET, objective="cheapest", emulsifiers=pair), tiny_library)
    assert found.blend is not None
    assert found.blend.hlb == pytest.approx(REQUIRED - 1, abs=1e-4)


def test_unreachable_target_names_what_is_reached_and_a_way_out(tiny_library: Library) -> None:
    found = work_out(replace(SHEET, emulsifiers=PAIR[:1]), tiny_library)
    assert (found.blend, found.verdict) == (None, None)
    assert found.unreachable is not None
    assert found.unreachable.reachable == pytest.approx((4.0, 4.0))
    assert "widen the window" in str(found.unreachable)


def test_limits_hold_the_blend(tiny_library: Library) -> None:
    found = work_out(with_first(high="2.9"), tiny_library)
    assert found.limits == {"delta ester": (0.0, 2.9)}
    assert found.blend is not None
    assert found.blend.masses[0] == pytest.approx(2.9, abs=1e-6)
    assert found.blend.binding == ("delta ester at its upper limit 2.9 %",)


def test_own_hlb_leads_over_the_tables(tiny_library: Library) -> None:
    found = work_out(with_first(hlb="5 to 7"), tiny_library)
    assert found.amounts["delta ester"] == pytest.approx(5 * (15 - REQUIRED) / (15 - 6))


def test_unknown_emulsifier_counts_with_an_hlb_of_the_users_own(tiny_library: Library) -> None:
    found = work_out(with_first(name="my ester", hlb="6"), tiny_library)
    assert found.errors == {}
    assert found.blend is not None
    assert found.blend.labels == ("my ester", "epsilon ester")


def test_unknown_wax_is_checked_against_its_suppliers_rate(tiny_library: Library) -> None:
    wax = SheetEmulsifier("my wax", now="8", rate="4 to 6", oil_limit="15")
    found = work_out(replace(SHEET, objective=CHECK_ONLY, emulsifiers=(wax,)), tiny_library)
    assert found.errors == {}
    assert found.verdict is not None
    assert found.verdict.word == "no verdict"
    assert [f.title for f in found.verdict.findings if f.level == "caution"] == [
        "Supplier's rate of my wax",
        "More oil than my wax carries",
    ]


def test_no_hlb_is_made_up_for_an_unknown_wax(tiny_library: Library) -> None:
    wax = SheetEmulsifier("my wax", now="5", rate="4 to 6")
    found = work_out(replace(SHEET, emulsifiers=(wax,)), tiny_library)
    assert (found.blend, found.errors) == (None, {})
    assert found.verdict is not None
    assert found.verdict.sentence.startswith("No HLB is known for my wax.")


@pytest.mark.parametrize("name", [*NAMES["governs"][:2], *NAMES["secondary"]])
def test_the_tool_chooses_with_a_reason_where_no_emulsifier_is_named(name: str) -> None:
    found = work_out(replace(example_sheet(), product=name, emulsifiers=()))
    assert found.errors == {}
    assert found.reason
    assert found.blend is not None
    assert len(found.blend.labels) == (2 if name in NAMES["governs"] else 1)


def test_the_users_choice_has_no_reason_of_the_tool(tiny_library: Library) -> None:
    assert work_out(SHEET, tiny_library).reason == ""


def test_an_empty_sheet_brings_neither_figure_nor_error(tiny_library: Library) -> None:
    found = work_out(Sheet(), tiny_library)
    assert (found.errors, found.required, found.verdict) == ({}, None, None)


def test_text_ends_in_the_outcome_as_an_error_and_is_clipped(tiny_library: Library) -> None:
    found = work_out(with_line(name="x" * 10_000, amount="y" * 10_000), tiny_library)
    assert {len(e) < 300 for e in found.errors.values()} == {True}
    assert set(found.errors) == {"line 0 name", "line 0 amount"}


# ---- sheets as text ----

TEXT = st.text(max_size=30)
LINE = st.builds(SheetLine, name=TEXT, amount=TEXT, side=TEXT, own=TEXT)
EMULSIFIER = st.builds(SheetEmulsifier, **dict.fromkeys((f.name for f in fields(SheetEmulsifier)), TEXT))
FREE = ("title", "total", "window", "batch", "scale", "smallest")


def sheets(
    line: st.SearchStrategy[SheetLine],
    emulsifier: st.SearchStrategy[SheetEmulsifier],
    **free: st.SearchStrategy[str],
) -> st.SearchStrategy[Sheet]:
    return st.builds(
        Sheet,
        product=st.sampled_from([t.name for t in product_types()]),
        unit=st.sampled_from(UNITS),
        objective=st.sampled_from(GOALS),
        lines=st.lists(line, max_size=4).map(tuple),
        emulsifiers=st.lists(emulsifier, max_size=4).map(tuple),
        count_fragrance=st.booleans(),
        ionics=st.booleans(),
        **free,
    )


@given(sheets(LINE, EMULSIFIER, **dict.fromkeys(FREE, TEXT)))
def test_a_sheet_comes_back_from_its_text(sheet: Sheet) -> None:
    assert Sheet.from_json(sheet.to_json()) == sheet


def test_missing_fields_take_their_default() -> None:
    assert Sheet.from_json("{}") == Sheet()


def test_numbers_written_by_hand_are_taken_as_typed() -> None:
    text = '{"total": 5, "lines": [{"name": "olive oil", "amount": 2.5}]}'
    sheet = Sheet.from_json(text)
    assert (sheet.total, sheet.lines[0].amount) == ("5", "2.5")


ODD = {
    "field that nobody knows": ('{"colour": "red"}', "'colour' is not a field"),
    "field of a line that nobody knows": ('{"lines": [{"name": "a", "x": 1}]}', "'x' is not a field"),
    "field of an emulsifier that nobody knows": (
        '{"emulsifiers": [{"name": "a", "x": 1}]}',
        "'x' is not a field",
    ),
    "line without a name": ('{"lines": [{"amount": "1"}]}', "name"),
    "list for text": ('{"title": ["a"]}', "'title' is not text"),
    "nothing for text": ('{"batch": null}', "'batch' is not text"),
    "object for text": ('{"lines": [{"name": {"a": 1}}]}', "'name' is not text"),
    "word for yes or no": ('{"ionics": "false"}', "true or false"),
    "number for lines": ('{"lines": 5}', "not iterable"),
    "text for lines": ('{"lines": "abc"}', "not a field"),
    "nothing for lines": ('{"lines": null}', "not iterable"),
    "product that nobody knows": ('{"product": "paint"}', "'paint'"),
    "unit that nobody knows": ('{"unit": "cups"}', "'cups'"),
    "objective that nobody knows": ('{"objective": "best"}', "'best'"),
    "list": ("[]", "it cannot be read"),
    "nothing": ("null", "it cannot be read"),
    "not JSON": ("title: cream", "it cannot be read"),
    "blank": ("", "it cannot be read"),
    "half a file": ('{"title": "a"', "it cannot be read"),
    "deep nesting": ("[" * 100_000, "it cannot be read"),
    "deep nesting, closed": ('{"title": ' + "[" * 500 + "]" * 500 + "}", "'title' is not text"),
    "a million characters": ('{"x": "' + "y" * 1_000_000 + '"}', "'x' is not a field"),
    "a million digits": ("1" * 1_000_000, "it cannot be read"),
}


@pytest.mark.parametrize(("text", "said"), ODD.values(), ids=ODD.keys())
def test_what_is_no_sheet_is_refused_in_a_short_sentence(text: str, said: str) -> None:
    with pytest.raises(InvalidInput, match=r"^sheet: it cannot be read: .*Choose a file") as caught:
        Sheet.from_json(text)
    assert said in str(caught.value)
    assert len(str(caught.value)) < 250


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | TEXT,
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.sampled_from([f.name for f in fields(Sheet)]) | TEXT, inner, max_size=4)
        ),
    )
)
def test_any_json_is_a_sheet_or_refused(value: object) -> None:
    try:
        sheet = Sheet.from_json(json.dumps(value))
    except InvalidInput:
        return
    assert set(asdict(sheet)) == {f.name for f in fields(Sheet)}
    assert isinstance(work_out(sheet), Outcome)


# ---- whatever is typed ----

FIGURES = st.sampled_from(
    [
        "",
        "0",
        "5",
        "5 %",
        "12,5",
        "1 oz",
        "1,000",
        "-1",
        "1e308",
        "1e-320",
        "3 to 6",
        "6-3",
        "reading 9",
        "reading",
        "butter",
        "nan",
        "∞",
        "½",
        "−2",
        "40",
        "100",
        "1 2",
        "=1+1",
        "٣",
    ]
)
OIL_NAMES = st.sampled_from(
    [
        "shea butter",
        "beeswax",
        "cetyl alcohol",
        "dimethicone",
        "water",
        "polysorbate 60",
        "glyceryl stearate",
        "lavender essential oil",
        "stearic acid",
        "sodium hydroxide",
        "my oil",
    ]
)
SHELF = st.sampled_from(
    [
        "sorbitan stearate",
        "polysorbate 60",
        "glyceryl stearate",
        "lecithin",
        "beeswax",
        "my wax",
        "sodium stearoyl lactylate",
        "emulsifying wax",
        "cetearyl alcohol",
        "ceteareth-20",
    ]
)
TYPED = TEXT | FIGURES
SIDE = st.sampled_from(["", "oil", "emulsifier"])
ANY_SHEET = sheets(
    st.builds(SheetLine, name=TEXT | OIL_NAMES, amount=TYPED, side=TEXT | SIDE, own=TYPED),
    st.builds(
        SheetEmulsifier,
        name=TEXT | SHELF,
        **dict.fromkeys([f.name for f in fields(SheetEmulsifier)][1:], TYPED),
    ),
    **dict.fromkeys(FREE, TYPED),
)


@settings(max_examples=300, suppress_health_check=[HealthCheck.too_slow])
@given(ANY_SHEET)
def test_nothing_that_is_typed_stops_the_rest(sheet: Sheet) -> None:
    found = work_out(sheet)
    assert found.sheet is sheet
    for key, sentence in found.errors.items():
        assert sentence.endswith((".", ")")), (key, sentence)
        assert len(sentence.split()) > 2, (key, sentence)
    for amount in found.amounts.values():
        assert math.isfinite(amount)
        assert amount >= 0
