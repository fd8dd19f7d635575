"""The page of the bench ladder without the page: what is typed, what is recorded, what follows."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore.intake.ingredients import Rows, read_rows
from hlbcore.kept.affected import affected
from hlbcore.ladder.fit_kinds import fit_trial
from hlbcore.ladder.planner import work_out_ladder
from hlbcore.ladder.record import check_times, record_of
from hlbcore.ladder.record_cells import (
    read_places,
    ready_to_record,
    record_columns,
    record_table,
    with_record,
    with_weighed,
)
from hlbcore.ladder.record_upload import cell_text, with_upload
from hlbcore.ladder.result import read_ladder
from hlbcore.ladder.sheet import LADDERS, Cell, LadderSheet
from hlbcore.ladder.value import Measured, measured_value, oils_of
from hlbcore.ladder.words import plan_table, plan_words, same_grams

EXAMPLE = hlb.example_formula()
OPEN = hlb.work_out(EXAMPLE)
OIL = LadderSheet(oils="mineral oil 20", centre="10", half_width="3", seed="1")
SCORES = ("0", "2", "3", "4", "4", "3", "1")


def planned(sheet: LadderSheet = OIL) -> hlb.Ladder:
    made = work_out_ladder(OPEN, sheet)
    assert made.ladder is not None, made.errors
    return made.ladder


def scored(*texts: str, time: str = "1 day", sheet: LadderSheet = OIL) -> LadderSheet:
    cells = [Cell(str(n), "score", time, "", t) for n, t in enumerate(texts or SCORES, 1)]
    return replace(sheet, cells=(*sheet.cells, *cells))


def trial(sheet: LadderSheet, ladder: hlb.Ladder | None = None) -> hlb.Trial:
    return record_of(ladder or planned(), sheet).trial


def rows(text: str) -> Rows:
    return read_rows(text.encode(), "seen.csv")


# --- the plan


def test_blank_fields_plan_a_ladder_for_the_open_formula() -> None:
    made = work_out_ladder(OPEN, LadderSheet())
    assert made.ladder is not None
    assert OPEN.required is not None
    assert dict(made.ladder.oils) == {p.name: p.mass for p in OPEN.required.parts}
    rungs = [v.target_hlb for v in made.ladder.vials]
    assert min(r for r in rungs if r) < OPEN.required.low
    assert max(r for r in rungs if r) > OPEN.required.high


def test_typed_fields_arrive_in_the_ladder() -> None:
    typed = replace(
        OIL,
        steps="5",
        vial_mass="30 g",
        dose="3",
        scale="0,01 g",
        duplicates="2",
        seed="9",
        blinded=True,
        others="glycerin 4",
        stirring="500/min, 5 min",
        first="sorbitan stearate",
        second="polysorbate 60",
    )
    ladder = planned(typed)
    assert (len(ladder.vials), ladder.vial_mass_g, ladder.emulsifier_pct) == (7, 30.0, 3.0)
    assert [n for n, _ in ladder.emulsifiers] == ["sorbitan stearate", "polysorbate 60"]
    assert (ladder.seed, ladder.blinded, dict(ladder.others)) == (9, True, {"glycerin": 4.0})
    assert ladder.process.stirring == "500/min, 5 min"


@pytest.mark.parametrize(
    ("kind", "product"),
    [
        ("coarse", "o/w cream"),
        ("rinse", "wash-off scrub"),
        ("rinse", "cleansing balm"),
        ("clarity", "clear solubilised product"),
    ],
)
def test_the_product_type_asks_for_its_kind(kind: str, product: str) -> None:
    formula = hlb.Formula(product_type=product)
    typed = LadderSheet(oils="sunflower oil 1")
    made = work_out_ladder(hlb.work_out(formula), typed)
    assert made.ladder is not None, made.errors
    assert made.ladder.kind == kind


@pytest.mark.parametrize("kind", [k for k in LADDERS if k not in ("rinse", "clarity")])
def test_every_kind_of_emulsion_ladder_can_be_planned(kind: str) -> None:
    assert planned(replace(OIL, kind=kind)).kind == kind


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("centre", "ten", "not a number"),
        ("centre", "50", "out of range"),
        ("centre", "nan", "not an amount"),
        ("half_width", "0", "too small"),
        ("half_width", "-1", "too small"),
        ("steps", "2.5", "whole number"),
        ("steps", "many", "not a number"),
        ("vial_mass", "", "blank"),
        ("vial_mass", "20 ml", "weighed"),
        ("scale", "0", "too small"),
        ("scale", "", "blank"),
        ("dose", "120", "out of range"),
        ("dose", "1e308", "out of range"),
        ("duplicates", "-1", "negative"),
        ("seed", "x", "not a number"),
        ("oils", "<b>oil</b>", "no name with a number"),
        ("oils", "olive oil 0", "too small"),
        ("oils", "olive oil 5, olive oil 5", "twice"),
        ("others", "gum", "no name with a number"),
    ],
)
def test_a_field_that_cannot_be_used_is_told_beside_it(field: str, text: str, words: str) -> None:
    made = work_out_ladder(OPEN, replace(OIL, **{field: text}))
    assert made.ladder is None
    assert words in made.errors[field]


def test_one_emulsifier_alone_is_told() -> None:
    made = work_out_ladder(OPEN, replace(OIL, first="polysorbate 80"))
    assert "Name both" in made.errors["pair"]


def test_what_the_pair_cannot_reach_is_told_for_the_whole() -> None:
    far = replace(OIL, centre="15", first="sorbitan oleate", second="polysorbate 80")
    made = work_out_ladder(OPEN, far)
    assert "reach" in made.errors["plan"]


def test_a_product_without_emulsion_has_no_usual_ladder() -> None:
    made = work_out_ladder(hlb.work_out(hlb.Formula(product_type="whipped butter")), OIL)
    assert "no usual ladder" in made.errors["kind"]


def test_the_rinse_test_of_a_cream_is_refused_in_words_of_the_page() -> None:
    made = work_out_ladder(OPEN, replace(OIL, kind="rinse"))
    assert made.ladder is None
    assert "washed off" in made.errors["kind"]


def test_an_oil_without_a_figure_is_in_the_ladder_of_the_formula() -> None:
    with_new = replace(EXAMPLE, lines=(*EXAMPLE.lines, hlb.Line("house butter", "4", phase="oil")))
    made = work_out_ladder(hlb.work_out(with_new), LadderSheet())
    assert made.ladder is not None
    assert dict(made.ladder.oils)["house butter"] == 4
    assert "No figure is known for house butter" in [f.title for f in made.findings]


def test_an_oil_phase_without_any_figure_asks_for_a_middle() -> None:
    made = work_out_ladder(OPEN, replace(OIL, oils="house butter 20", centre=""))
    assert "Enter a middle" in made.errors["centre"]


def test_an_oil_without_a_figure_is_told_where_the_others_give_the_middle() -> None:
    typed = LadderSheet(oils="mineral oil 10, house butter 10")
    title = "No figure is known for house butter"
    found = [f.title for f in work_out_ladder(OPEN, typed).findings]
    assert title in found
    centred = work_out_ladder(OPEN, replace(typed, centre="10"))
    assert title not in [f.title for f in centred.findings]


def test_hot_wax_gets_its_caution_and_liquid_oil_does_not() -> None:
    waxy = work_out_ladder(OPEN, replace(OIL, oils="beeswax 4, mineral oil 16"))
    liquid = work_out_ladder(OPEN, OIL)
    assert "Hot fat and hot water burn" in [f.title for f in waxy.findings]
    assert "Hot fat and hot water burn" not in [f.title for f in liquid.findings]
    assert "Vials are for looking at only" in [f.title for f in liquid.findings]


def test_blurring_steps_bring_premixed_stocks() -> None:
    assert work_out_ladder(OPEN, replace(OIL, scale="0.1 g", steps="9")).stocks is not None
    assert work_out_ladder(OPEN, OIL).stocks is None


def test_the_weighing_table_shows_what_differs_and_the_rest_is_said() -> None:
    ladder = planned()
    assert list(plan_table(ladder).columns)[1:3] == ["sorbitan stearate g", "polysorbate 60 g"]
    assert "10.00 g mineral oil" in same_grams(ladder)


def test_blinded_tables_tell_no_hlb() -> None:
    ladder = planned(replace(OIL, blinded=True))
    assert not [c for c in plan_table(ladder).columns if "HLB" in c]
    assert not any("HLB" in v for v in record_table(ladder, OIL)["vial"])
    assert "HLB 7" not in plan_words(ladder)


# --- the file form


texts = st.text(st.characters(codec="utf-8", exclude_categories=("Cs",)), max_size=12)


@settings(max_examples=40)
@given(
    st.builds(
        LadderSheet,
        name=texts,
        centre=texts,
        oils=texts,
        blinded=st.booleans(),
        kind=st.sampled_from(LADDERS),
        kinds=st.lists(texts, max_size=3).map(tuple),
        cells=st.lists(st.builds(Cell, *[texts] * 5), max_size=3).map(tuple),
        weighed=st.lists(st.tuples(texts, texts, texts), max_size=3).map(tuple),
    )
)
def test_a_sheet_comes_back_from_its_text(sheet: LadderSheet) -> None:
    assert LadderSheet.from_json(sheet.to_json()) == sheet


GOOD = json.loads(OIL.to_json())


@pytest.mark.parametrize(
    "raw",
    [
        "",
        "null",
        "[]",
        "{}",
        '"x"',
        "[" * 5000,
        *(
            json.dumps(GOOD | change)
            for change in (
                {"schema": "hlbcore ladder"},
                {"version": 3},
                {"version": 0},
                {"version": True},
                {"price": "3"},
                {"centre": 10},
                {"blinded": "yes"},
                {"kind": "spiral"},
                {"cells": [["1", "score"]]},
                {"cells": [["1", "score", "1 h", "", 3]]},
                {"weighed": "all"},
                {"kinds": [1]},
                {"name": "\ud800"},
                {"note": "x" * 20_001},
                {"cells": [["1", "score", "1 h", "", "3"]] * 5_001},
            )
        ),
    ],
)
def test_any_other_text_is_refused(raw: str) -> None:
    with pytest.raises(hlb.HlbError):
        LadderSheet.from_json(raw)


# --- the record


def test_columns_are_kinds_by_time_and_place_then_type_and_note() -> None:
    typed = replace(OIL, times="1 h, 2 days", temperatures="5, 40", kinds=("score", "oil layer"))
    names = [c.name for c in record_columns(planned(), typed)]
    assert names[0] == "score, 1 h, 5 °C"
    assert len(names) == 2 * 2 * 2 + 3
    assert names[-3:] == ["drop in water", "drop in oil", "note"]


SCRUB = LadderSheet(oils="sunflower oil 70, beeswax 10")


def rinsed() -> hlb.Ladder:
    made = work_out_ladder(hlb.work_out(hlb.Formula(product_type="wash-off scrub")), SCRUB).ladder
    assert made is not None
    return made


@pytest.mark.parametrize(
    ("typed", "places"),
    [
        ("5, 22,5; 40", ["5", "22,5", "40"]),
        ("41, 104 F", ["5", "40"]),
        ("41 °F, 40 °C", ["5", "40"]),
        ("5 °C, 40", ["5", "40"]),
        ("", []),
    ],
)
def test_vials_may_stand_at_temperatures_in_either_unit(typed: str, places: list[str]) -> None:
    assert read_places(typed) == (places, "")


def test_rinse_water_has_its_own_times_and_jars_stand_at_three_temperatures() -> None:
    ladder = rinsed()
    names = [c.name for c in record_columns(ladder, ready_to_record(SCRUB, ladder))]
    assert names[:4] == ["milkiness, at once", "oil ring, 5 min", "oil ring, 15 min", "film on glass, 15 min"]
    jars = [f"{k}, 1 day, {c} °C" for c in (5, 22, 40) for k in ("hardness", "oil layer", "settled layer")]
    assert names[4:-1] == jars


def test_times_that_were_typed_stay_as_a_rinse_ladder_begins() -> None:
    typed = replace(SCRUB, times="2 h")
    assert ready_to_record(typed, rinsed()) == typed


def test_the_day_of_making_is_noted_unless_it_was_typed() -> None:
    made = rinsed()
    assert ready_to_record(SCRUB, made, "2026-03-01").made_on == "2026-03-01"
    typed = replace(SCRUB, made_on="last Monday")
    assert ready_to_record(typed, made, "2026-03-01").made_on == "last Monday"


def test_a_rinse_ladder_is_judged_by_its_milk_before_its_jars() -> None:
    cells = (Cell("1", "oil layer", "1 day", "5", "3/40"), Cell("1", "milkiness", "at once", "", "4"))
    made = read_ladder(trial(replace(SCRUB, cells=cells), rinsed()))
    assert made.kind == "milkiness"
    assert made.sentence.startswith("Best by milkiness at once, 4: ")


def test_a_rinse_reading_of_a_file_goes_into_its_column() -> None:
    ladder = rinsed()
    sheet = ready_to_record(SCRUB, ladder)
    after, _ = with_upload(sheet, ladder, rows("vial;time;oil ring\n1;5 min;3\n"))
    assert record_columns(ladder, after) == record_columns(ladder, sheet)


def test_a_column_that_holds_something_stays_when_its_time_is_not_asked_for() -> None:
    typed = scored(time="3 days", sheet=replace(OIL, times="1 h"))
    assert "score, 3 days" in [c.name for c in record_columns(planned(), typed)]


def test_edited_cells_arrive_and_a_blank_takes_out() -> None:
    ladder = planned()
    shown = list(record_table(ladder, OIL).columns)
    once = with_record(OIL, ladder, {3: {"score, 1 h": "4", "note": "odd"}}, shown)
    assert trial(once, ladder).observations[0].value == 4
    assert trial(once, ladder).note == f"vial {ladder.vial(3).label}: odd"
    assert with_record(once, ladder, {3: {"score, 1 h": None}}, shown).cells == tuple(
        c for c in once.cells if c.kind == "note"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("9", "outside the scale"),
        ("good", "not a number"),
        ("-1", "negative"),
        ("1e400", "finite"),
        ("<script>", "not a number"),
        ("3/40", "not a number"),
    ],
)
def test_a_cell_that_cannot_be_used_is_told_and_stays(text: str, words: str) -> None:
    typed = scored("0", text, "3")
    made = record_of(planned(), typed)
    assert [o.value for o in made.trial.observations] == [0, 3]
    assert words in made.problems["problem"][0]
    assert made.problems["column"][0] == "score, 1 day"
    assert text in list(record_table(planned(), typed)["score, 1 day"])


def test_a_broken_vial_and_a_missing_reading_are_recorded() -> None:
    made = trial(scored("0", "broke", "-"))
    assert made.broken == {2: 24.0}
    assert [o.value for o in made.observations if o.vial == 3] == [None]


def test_two_times_that_are_the_same_are_told() -> None:
    twice = scored("3", time="24 h", sheet=scored("3", time="1 day"))
    assert "twice" in record_of(planned(), twice).problems["problem"][0]


def test_what_was_weighed_leads_over_the_plan() -> None:
    ladder = planned()
    typed = with_weighed(OIL, ladder, {1: {"polysorbate 60 [g]": "1,25"}})
    made = trial(typed, ladder)
    assert made.grams(1)["polysorbate 60"] == 1.25
    assert made.hlb(1) > made.hlb(2)


@pytest.mark.parametrize("text", ["much", "-1", "nan", "3 oz"])
def test_a_weighed_amount_that_cannot_be_used_is_told(text: str) -> None:
    made = record_of(planned(), replace(OIL, weighed=(("1", "mineral oil", text),)))
    assert made.problems["column"].tolist() == ["mineral oil [g]"]
    assert made.trial.weighed == ()


def test_rows_of_a_file_go_into_the_table() -> None:
    ladder = planned()
    first, second = ladder.vial(1).label, ladder.vial(2).label
    seen = rows(f"vial;time;score;water layer;drop in water\n{first};1 day;3;5/40;\n{second};at once;;;no\n")
    after, problems = with_upload(scored("1"), ladder, seen)
    assert problems.empty
    assert {(c.kind, c.time, c.text) for c in after.cells} == {
        ("score", "1 day", "3"),
        ("water layer", "1 day", "5/40"),
        ("drop in water", "at once", "no"),
    }


def test_rows_of_a_file_that_cannot_be_used_are_told_by_their_number() -> None:
    after, problems = with_upload(OIL, planned(), rows("vial;time;score\n99;1 h;3\n1;1 h;7\n"))
    assert after.cells == ()
    assert problems["row"].tolist() == [2, 3]


def test_a_row_with_a_decimal_comma_in_a_file_of_commas_is_told_and_not_read() -> None:
    after, problems = with_upload(OIL, planned(), rows("vial,time,score\n1,1 h,3,5\n2,1 h,4\n"))
    assert [c.text for c in after.cells] == ["4"]
    assert problems["row"].tolist() == [2]
    assert "part the columns by semicolons" in problems["problem"][0]


def test_a_file_whose_headings_repeat_is_told() -> None:
    after, problems = with_upload(OIL, planned(), rows("vial;time;score;score\n1;1 h;3;4\n"))
    assert (after.cells, len(problems)) == ((), 1)


@pytest.mark.parametrize(
    ("kind", "value", "of", "limit", "text"),
    [
        ("score", 3, None, "", "3"),
        ("water layer", 2.5, 40, "<", "<2.5/40"),
        ("separated", 1, None, "", "yes"),
        ("emulsion type", 0, None, "", "w/o"),
        ("score", None, None, "", "-"),
        ("broken", None, None, "", "broke"),
    ],
)
def test_a_reading_as_text_is_read_back(
    kind: str, value: float | None, of: float | None, limit: str, text: str
) -> None:
    seen = hlb.Observation(1, 24, kind, value, of, limit)
    assert cell_text(seen) == text
    typed = replace(OIL, cells=(Cell("1", kind, "24 h", "", text),))
    assert trial(typed).observations == (seen,)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"times": "soon"}, "times"),
        ({"times": ""}, "times"),
        ({"times": "3"}, "times"),
        ({"temperatures": "warm"}, "temperatures"),
        ({"temperatures": "900"}, "temperatures"),
    ],
)
def test_times_and_places_that_cannot_be_read_are_told(changes: dict[str, str], field: str) -> None:
    assert list(check_times(replace(OIL, **changes))) == [field]


# --- what it says


def test_a_clear_optimum_proposes_finer_steps_then_families_and_doses() -> None:
    made = read_ladder(trial(scored()))
    assert made.word == "clear optimum"
    kinds = [p.sheet.kind for p in made.proposed]
    assert kinds == ["fine", "family", "loading"]
    for p in made.proposed:
        assert work_out_ladder(OPEN, p.sheet).ladder is not None


def test_the_fine_ladder_keeps_oils_pair_dose_and_vials() -> None:
    old = planned()
    fine = planned(read_ladder(trial(scored())).proposed[0].sheet)
    assert (fine.oils, fine.emulsifiers, fine.emulsifier_pct, fine.vial_mass_g) == (
        old.oils,
        old.emulsifiers,
        old.emulsifier_pct,
        old.vial_mass_g,
    )
    assert fine.rung is not None
    assert old.rung is not None
    assert len(fine.vials) == 5
    assert fine.seed != old.seed


@pytest.mark.parametrize(
    ("scores", "outcome", "words"),
    [
        (("0", "1", "1", "2", "3", "4", "5"), "edge", "vials beyond the end"),
        (("5", "5", "5", "5", "5", "5", "5"), "all good", "half the dose"),
        (("0", "0", "0", "0", "0", "0", "0"), "all bad", "twice the dose"),
        (("4", "0", "4", "0", "4", "0", "4"), "flat", "twice each"),
    ],
)
def test_each_outcome_proposes_a_ladder_that_can_be_planned(
    scores: tuple[str, ...], outcome: str, words: str
) -> None:
    made = read_ladder(trial(scored(*scores)))
    assert made.fit is not None
    assert made.fit.outcome == outcome
    assert words in made.proposed[0].words
    assert work_out_ladder(OPEN, made.proposed[0].sheet).ladder is not None


def test_nothing_read_says_so() -> None:
    assert "Nothing was read yet" in read_ladder(trial(OIL)).sentence


def test_two_vials_are_told_to_be_too_few() -> None:
    made = read_ladder(trial(scored("3", "4")))
    assert made.fit is None
    assert made.word == "readings"
    assert made.sentence


def test_the_verdict_can_rest_on_another_kind_and_temperature() -> None:
    cells = [
        Cell(str(n), kind, "1 day", warm, text)
        for warm in ("5", "40")
        for kind, row in (("score", "0234431"), ("oil layer", "9631258"))
        for n, text in enumerate((t if kind == "score" else f"{t}/40" for t in row), 1)
    ]
    made = read_ladder(trial(replace(OIL, cells=tuple(cells))), "oil layer", temperature_c=40)
    assert (made.kind, made.kinds) == ("oil layer", ("score", "oil layer"))
    assert (made.temperature_c, made.temperatures) == (40, (5, 40))


def test_doses_name_the_best_vials_without_an_optimum() -> None:
    ladder = planned(replace(OIL, kind="loading"))
    made = read_ladder(trial(scored("1", "2", "4", "4", "4", "3"), ladder))
    assert made.fit is None
    assert made.sentence.startswith("Threshold: 15.2 % of the oils is as good as more")
    assert "Best by score after 1 day, 4: " in made.sentence
    assert all(f"vial {ladder.vial(n).label} (" in made.sentence for n in (3, 4, 5))


# --- the value that is kept


def measured(sheet: LadderSheet, name: str, ladder: hlb.Ladder | None = None) -> Measured:
    made = trial(sheet, ladder)
    fit = read_ladder(made).fit
    assert fit is not None
    return measured_value(made, fit, name)


def test_a_ladder_of_one_oil_gives_its_value_with_all_that_it_belongs_to() -> None:
    typed = scored(sheet=replace(OIL, made_on="2026-03-01", name="March ladder"))
    item = measured(typed, "mineral oil").item
    assert (item.value, item.emulsion, item.on, item.trial) == (10.5, "o/w", "2026-03-01", "March ladder")
    assert item.pair == "sorbitan stearate with polysorbate 60"
    assert item.dose_pct == 2.5
    assert item.method.startswith("bench ladder of 7 vials by score, 1 day; tables ")


def test_a_mixture_gives_the_value_of_the_oil_that_had_none() -> None:
    mixed = replace(OIL, oils="mineral oil 10, house butter 10")
    ladder = planned(mixed)
    made = trial(scored(sheet=mixed), ladder)
    assert oils_of(made)[0] == "house butter"
    found = measured(scored(sheet=mixed), "house butter", ladder)
    fit = read_ladder(made).fit
    assert fit is not None
    assert fit.estimate is not None
    mineral = hlb.load_library().oil("mineral oil").required_hlb()
    assert mineral is not None
    assert found.estimate.value == pytest.approx(2 * fit.estimate.value - mineral.value)
    assert found.back is not None


def test_a_ladder_without_an_optimum_gives_no_value() -> None:
    with pytest.raises(hlb.InvalidInput, match="no clear optimum"):
        measured(scored("0", "1", "1", "2", "3", "4", "5"), "mineral oil")


def test_ladders_of_two_emulsion_types_are_not_used_together() -> None:
    made = trial(scored())
    other = replace(made, ladder=replace(made.ladder, emulsion="w/o"), name="other")
    fit = fit_trial(made)
    with pytest.raises(hlb.InvalidInput, match="'other': it is a ladder of w/o emulsions"):
        measured_value(made, fit, "mineral oil", more=[(other, fit)])


def test_an_oil_that_the_ladder_does_not_hold_gets_no_value() -> None:
    with pytest.raises(hlb.InvalidInput, match="holds none of it"):
        measured(scored(), "olive oil")


def test_six_vials_are_called_provisional() -> None:
    sheet = replace(OIL, steps="6")
    found = measured(scored("0", "2", "4", "5", "3", "1", sheet=sheet), "mineral oil", planned(sheet))
    assert "The value is provisional" in [f.title for f in found.findings]


# --- kept formulas


def test_only_formulas_with_the_oil_are_listed_and_none_is_changed() -> None:
    store = hlb.Store(in_memory=True)
    first = store.save(EXAMPLE)
    store.save(hlb.Formula("other", lines=(hlb.Line("olive oil", "20", phase="oil"),)))
    item = hlb.OwnReading("shea butter", 12.0)
    before = affected(store, item)
    assert before["name"].tolist() == [EXAMPLE.name]
    assert store.open(first.work) == first
    store.add_own(item)
    assert affected(store, item).equals(before)


def test_the_move_is_that_of_the_formula_worked_out_with_the_figure() -> None:
    store = hlb.Store(in_memory=True)
    store.save(EXAMPLE)
    item = hlb.OwnReading("shea butter", 12.0)
    row = affected(store, item).iloc[0]
    after = hlb.work_out(EXAMPLE, hlb.load_library(overlay=[item])).required
    assert after is not None
    assert OPEN.required is not None
    assert row["required_before"] == pytest.approx(OPEN.required.value)
    assert row["required_after"] == pytest.approx(after.value)


def test_an_oil_is_found_under_any_of_its_names() -> None:
    store = hlb.Store(in_memory=True)
    store.save(EXAMPLE)
    alias = hlb.load_library().oil("shea butter").inci
    assert len(affected(store, hlb.OwnReading(alias, 12.0))) == 1


def test_no_kept_formula_gives_an_empty_table() -> None:
    assert affected(hlb.Store(in_memory=True), hlb.OwnReading("shea butter", 12.0)).empty
