"""The page of the bench ladder: what is typed arrives, is kept, and the answer is shown."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from opened_app import MAIN, everything, field, figures, opened, pressed, said, sentences, typed, verdict
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore.batch.prices import Price, PriceList
from hlbcore.formula.lines import Line
from hlbcore.kept.affected import affected
from hlbcore.kept.kinds import LADDER as OF_LADDER
from hlbcore.ladder.planner import work_out_ladder
from hlbcore.ladder.record import record_of
from hlbcore.ladder.result import read_ladder
from hlbcore.ladder.sheet import Cell, LadderSheet
from hlbcore.ladder.words import plan_table, plan_words

LADDER, VALUES = "views/ladder.py", "views/values.py"
START = "Make this ladder and record it"
ACCEPT = "Keep as my own value"
SCORES = ("0", "2", "3", "4", "4", "3", "1")


@pytest.fixture
def app() -> AppTest:
    return opened().switch_page(LADDER).run()


def one_oil(app: AppTest) -> AppTest:
    typed(app, "Oil phase of the ladder [% of the vial]", "mineral oil 20")
    typed(app, "Middle [HLB]", "10")
    return typed(app, "Half width [HLB]", "3")


def started(app: AppTest) -> AppTest:
    pressed(app, START)
    assert not app.exception
    return app


def seen(app: AppTest, *scores: str) -> AppTest:
    """Scores as the table of readings would hand them over."""
    now = app.session_state["ladder"]
    cells = [Cell(str(n), "score", "1 day", "", t) for n, t in enumerate(scores, 1)]
    now.sheet = replace(now.sheet, cells=tuple(cells))
    app.run()
    assert not app.exception
    return app


def cells(app: AppTest) -> Any:
    """What the table of readings shows, as data."""
    sys.path.insert(0, str(MAIN.parent))
    try:
        import ladder_rows
    finally:
        sys.path.remove(str(MAIN.parent))
    now = app.session_state["ladder"]
    return ladder_rows.readings(now.ladder, now.sheet, record_of(now.ladder, now.sheet))


def kept(path: Path) -> hlb.Trial:
    with hlb.Store(path) as store:
        (uid,) = store.listed(OF_LADDER)["uid"]
        return store.open(str(uid)).body.trial


def test_the_page_opens_with_a_ladder_for_the_open_formula(app: AppTest) -> None:
    made = work_out_ladder(hlb.work_out(hlb.example_formula()), LadderSheet()).ladder
    assert not app.exception
    assert made is not None
    assert said(plan_words(made)) in everything(app)
    for text in plan_table(made).iloc[0]:
        assert text in figures(app)


def test_what_is_typed_changes_the_plan(app: AppTest) -> None:
    one_oil(app)
    assert "HLB 7 to 13" in everything(app)


@pytest.mark.parametrize("label", ["Middle [HLB]", "Mass of a vial", "Steps", "Vials made twice"])
def test_a_field_that_cannot_be_used_is_told(app: AppTest, label: str) -> None:
    for text in ("abc", "-3", "nan", "<b>1</b>"):
        typed(app, label, text)
        assert not app.exception, text
        assert len(sentences(app)) == 1, text
        assert "the ladder stands here" in everything(app)


def test_hot_wax_and_skin_are_cautioned(app: AppTest) -> None:
    assert "Hot fat and hot water burn" in everything(app)
    assert "never use them on skin" in everything(app)


def test_labels_and_sheets_can_be_had(app: AppTest) -> None:
    names = {said(b.label) for b in app.get("download_button")}
    assert {"Labels", "Weighing and reading sheet", "Ladder as CSV"} <= names


def test_a_started_ladder_is_kept_and_stands_still(app: AppTest, own_file: Path) -> None:
    started(one_oil(app))
    trial = kept(own_file)
    assert dict(trial.ladder.oils) == {"mineral oil": 20}
    now = app.session_state["draft"]
    now.put(replace(now.formula, product_type="w/o cream"))
    app.run()
    assert app.session_state["ladder"].ladder == trial.ladder


def test_readings_are_kept_and_answered(app: AppTest, own_file: Path) -> None:
    seen(started(one_oil(app)), *SCORES)
    result = read_ladder(kept(own_file))
    assert result.fit is not None
    assert verdict(app) == said(f"{result.word.capitalize()} · 7 of 21 read {result.sentence}")


@pytest.mark.parametrize("text", ["9", "good", "<b>", "1e999"])
def test_a_reading_that_cannot_be_used_is_told_and_stays(app: AppTest, own_file: Path, text: str) -> None:
    seen(started(one_oil(app)), "0", text, "3", "4", "4", "3", "1")
    assert "6 of 21 read; 1 cell cannot be used" in verdict(app)
    (row,) = [r for r in cells(app).rows if r.problems]
    assert (row.id, row.texts["score, 1 day"]) == ("2", text)
    assert row.problems[0].field == "score, 1 day"
    assert text in app.session_state["ladder"].sheet.to_json()
    assert len(kept(own_file).observations) == 6


def test_a_ladder_comes_back_after_a_visit_elsewhere_and_after_a_reload(app: AppTest) -> None:
    seen(started(one_oil(app)), *SCORES)
    before = verdict(app)
    app.switch_page(VALUES).run()
    app.switch_page(LADDER).run()
    assert verdict(app) == before
    again = opened().switch_page(LADDER).run()
    pressed(again, "Open mineral oil")
    assert not again.exception
    assert verdict(again) == before


def test_the_next_ladder_is_planned_by_one_press(app: AppTest, own_file: Path) -> None:
    seen(started(one_oil(app)), *SCORES)
    (first, *_) = read_ladder(kept(own_file)).proposed
    pressed(app, f"Plan {first.words}")
    assert not app.exception
    sheet = app.session_state["ladder"].sheet
    assert replace(sheet, seed="") == first.sheet
    assert int(sheet.seed) != kept(own_file).ladder.seed
    assert field(app, "Middle [HLB]").value == first.sheet.centre


def test_an_accepted_value_leads_and_names_the_formulas_that_it_moves(app: AppTest, own_file: Path) -> None:
    oils = replace(hlb.example_formula(), name="Sun cream")
    with hlb.Store(own_file) as store:
        store.save(oils)
    typed(app, "Oil phase of the ladder [% of the vial]", "sunflower oil 20")
    typed(app, "Middle [HLB]", "10")
    typed(app, "Half width [HLB]", "3")
    seen(started(app), *SCORES)
    typed(app, "Made on", "2026-03-01")
    pressed(app, ACCEPT)
    assert not app.exception
    with hlb.Store(own_file) as store:
        (item,) = store.overlay()
        moved = affected(store, item).iloc[0]
        assert store.formulas()["versions"].tolist() == [1]
    fit = read_ladder(kept(own_file)).fit
    assert fit is not None
    assert fit.estimate is not None
    assert (item.name, item.on) == ("sunflower oil", "2026-03-01")
    assert item.value == pytest.approx(fit.estimate.value, abs=0.051)
    row = f"Sun cream {moved.required_before:.1f} {moved.required_after:.1f}"
    assert row in figures(app)
    assert "Nothing in them is changed" in everything(app)
    assert "Kept as your own value" in [b.label for b in app.button if b.disabled]


def test_the_table_range_stays_beside_an_accepted_value(app: AppTest) -> None:
    seen(started(one_oil(app)), *SCORES)
    before = [h.value for h in app.html if "The tables say" in h.value and "told" in h.value]
    pressed(app, ACCEPT)
    assert [h.value for h in app.html if "The tables say" in h.value and "told" in h.value] == before
    assert len(before) == 1


def test_blinded_labels_hide_the_answer_until_they_are_uncovered(app: AppTest) -> None:
    one_oil(app)
    field(app, "Blinded labels").set_value(True).run()
    seen(started(app), *SCORES)
    assert "it comes when the readings are closed" in verdict(app)
    assert not [r for r in cells(app).rows if r.about]
    assert "polysorbate 60 g" not in figures(app)
    assert "Ladder as CSV" not in {said(b.label) for b in app.get("download_button")}
    pressed(app, "Close the readings and uncover the labels")
    assert verdict(app).startswith("Clear optimum")
    pressed(app, "Undo here")
    assert "it comes when the readings are closed" in verdict(app)


def test_another_window_is_told_and_either_state_can_go_on(app: AppTest, own_file: Path) -> None:
    seen(started(one_oil(app)), "1")
    with hlb.Store(own_file) as store:
        (uid,) = store.listed(OF_LADDER)["uid"]
        theirs = store.open(str(uid))
        changed = replace(theirs.body, trial=replace(theirs.body.trial, note="theirs"))
        store.save(changed, on=theirs)
    seen(app, "2")
    assert "Another window has changed this ladder" in " ".join(said(e.value) for e in app.error)
    pressed(app, "Put mine on top")
    assert not app.error
    assert kept(own_file).observations[0].value == 2


def test_edits_after_a_conflict_follow_on_one_another(app: AppTest, own_file: Path) -> None:
    seen(started(one_oil(app)), "1")
    with hlb.Store(own_file) as store:
        (uid,) = store.listed(OF_LADDER)["uid"]
        on = store.open(str(uid))
        theirs = store.save(replace(on.body, trial=replace(on.body.trial, note="theirs")), on=on)
    for reading in ("2", "3", "4"):
        seen(app, reading)
    with hlb.Store(own_file) as store:
        table = store.history(str(uid)).set_index("uid")
        assert store.open(str(uid)) == theirs
        mine = [u for u in table.index if table.loc[u, "version"] > theirs.number]
        assert [table.loc[u, "parent"] for u in mine] == [*mine[1:], on.uid]


def test_a_name_with_markup_stays_text(app: AppTest) -> None:
    typed(started(one_oil(app)), "Name of the ladder", "<script>x</script> **bold**")
    assert not app.exception
    assert not any("<script>" in h.value for h in app.html)


def test_a_ladder_can_be_put_away_and_brought_back(app: AppTest) -> None:
    started(one_oil(app))
    pressed(app, "Put away mineral oil")
    assert "None yet" in everything(app)
    field(app, "Show those put away").set_value(True).run()
    pressed(app, "Bring back mineral oil")
    assert "Put away mineral oil" in [said(b.label) for b in app.button]


def test_readings_of_a_file_go_into_the_table(app: AppTest, own_file: Path) -> None:
    started(one_oil(app))
    made = app.session_state["ladder"].ladder
    table = "vial;time;score\n" + "".join(
        f"{made.vial(n).label};1 day;{s}\n" for n, s in enumerate(SCORES, 1)
    )
    (upload,) = [u for u in app.file_uploader if u.label.startswith("Readings")]
    upload.upload("seen.csv", (table + "99;1 day;3\n").encode(), "text/csv").run()
    pressed(app, "Put the readings in the table")
    assert not app.exception
    assert verdict(app).startswith("Clear optimum")
    assert len(kept(own_file).observations) == 7
    assert "the ladder has no such vial" in figures(app)


def test_any_two_versions_of_a_ladder_are_compared(app: AppTest) -> None:
    started(one_oil(app))
    seen(app, *SCORES)
    seen(app, "1", *SCORES[1:])
    field(app, "Compare version").set_value(1).run()
    assert not app.exception
    listed = figures(app)
    assert "version 1" in listed
    assert "score, 1 day" in listed
    field(app, "with version").set_value(1).run()
    assert "Choose two different versions" in everything(app)


def test_a_ready_emulsifier_is_tried_at_three_doses_and_needs_no_hlb(app: AppTest) -> None:
    now = app.session_state["draft"]
    lines = (Line("almond oil", "20"), Line("emulsifying wax NF", "5"), Line("water", "75"))
    now.put(replace(now.formula, lines=lines))
    app.run()
    assert not app.exception
    assert field(app, "Emulsifier sold ready").placeholder == "emulsifying wax NF"
    assert "HLB of all vials" not in {said(t.label) for t in app.text_input}
    assert "3 vials" in everything(app)


def test_prices_of_the_kept_list_stand_in_the_cost(app: AppTest, own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        store.save(PriceList("Spring", "EUR", (Price("mineral oil", "5"),)))
    app = one_oil(opened().switch_page(LADDER).run())
    assert "EUR for what has a price" in everything(app)
