"""Keeping without a browser: what the bar says, a file that fails, lists, own values."""

from __future__ import annotations

import gc
import sqlite3
from pathlib import Path

import pytest
from opened_app import MAIN, brief, everything, field, formula, line, opened, pressed, said, typed
from streamlit.testing.v1 import AppTest

import hlbcore as hlb

SUNFLOWER = "sunflower oil"
KEPT, OWN = "views/kept.py", "views/own.py"


def amount(app: AppTest) -> str:
    return next(x.amount.text for x in formula(app).lines if x.name == SUNFLOWER)


def errors(app: AppTest) -> str:
    return " ".join(said(e.value) for e in app.error)


def kept(path: Path) -> hlb.Store:
    return hlb.Store(path)


def test_looking_keeps_nothing(own_file: Path) -> None:
    opened()
    with kept(own_file) as store:
        assert store.formulas().empty


def test_each_edit_is_kept_at_once(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11")
    with kept(own_file) as store:
        (uid,) = store.formulas()["uid"]
        assert store.open(uid).body.lines[3].amount.text == "11"
        assert store.history(uid)["what"].tolist()[0] == "sunflower oil amount 9 → 11"
    assert app.query_params["formula"] == uid


def test_a_field_that_cannot_be_used_is_kept_too(own_file: Path) -> None:
    line(opened(), SUNFLOWER, "lots")
    with kept(own_file) as store:
        assert store.open(store.formulas()["uid"][0]).body.lines[3].amount.text == "lots"


def test_undo_leads_back_to_the_example(own_file: Path) -> None:
    app = pressed(line(opened(), SUNFLOWER, "11"), "Undo")
    assert amount(app) == "9"
    assert [b.disabled for b in app.button if b.label == "Undo"] == [True]


def test_the_last_work_opens_by_itself(own_file: Path) -> None:
    line(opened(), SUNFLOWER, "11")
    app = opened()
    assert amount(app) == "11"
    line(app, SUNFLOWER, "12")
    with kept(own_file) as store:
        assert len(store.formulas()) == 1


def test_the_example_leaves_no_copy_until_it_is_changed(own_file: Path) -> None:
    app = opened()
    pressed(app, "Type my own")
    pressed(app, "Open")
    app = opened()
    with kept(own_file) as store:
        assert store.formulas().empty


def test_a_formula_without_a_name_is_listed_by_its_first_oils(own_file: Path) -> None:
    app = typed(opened(), "Name of the formula", "")
    with kept(own_file) as store:
        assert store.formulas()["name"].tolist() == ["sunflower oil, shea butter"]
    assert app.text_input(key=f"bar_title_{app.session_state['draft'].version}").placeholder == (
        "sunflower oil, shea butter"
    )


def test_a_formula_is_duplicated_under_a_name_of_its_own(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11").switch_page(KEPT).run()
    app = pressed(app, "Duplicate Winter hand cream")
    assert not app.exception
    with kept(own_file) as store:
        assert sorted(store.formulas()["name"]) == ["Winter hand cream", "Winter hand cream, copy"]


def test_two_kept_formulas_are_compared(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11").switch_page(KEPT).run()
    pressed(app, "Duplicate Winter hand cream")
    app.switch_page("views/formula.py").run()
    line(app, SUNFLOWER, "14")
    app.switch_page(KEPT).run()
    with kept(own_file) as store:
        uid = next(r.uid for r in store.formulas().itertuples() if r.name == "Winter hand cream")
    field(app, "and this one").set_value(uid).run()
    assert "sunflower oil, amount 14 11" in " ".join(said(h.value) for h in app.html)


def test_an_address_that_names_nothing_shows_the_example_and_says_so(own_file: Path) -> None:
    app = AppTest.from_file(str(MAIN.resolve()), default_timeout=30)
    app.query_params["formula"] = "nobody"
    app.run()
    assert "'nobody' names none" in everything(app)
    assert amount(app) == "9"
    assert "formula" not in app.query_params


def test_a_damaged_file_is_told_and_work_goes_on(own_file: Path) -> None:
    kept(own_file).close()
    for backup in own_file.parent.glob("backups/*.db"):
        backup.unlink()
    head = own_file.read_bytes()[:100]
    own_file.write_bytes(head + b"x" * 20_000)
    app = line(opened(), SUNFLOWER, "11")
    assert "is damaged. It now lies at" in errors(app)
    assert "kept in the memory of this program only" in errors(app)
    app = pressed(app, "Start with an empty file")
    assert errors(app) == ""
    with kept(own_file) as store:  # what was typed meanwhile came along
        assert store.open(store.formulas()["uid"][0]).body.lines[3].amount.text == "11"
    assert len(list(own_file.parent.glob("kept-damaged-*.db"))) == 1


def test_the_last_backup_can_be_taken(own_file: Path) -> None:
    with kept(own_file) as store:
        store.save(hlb.example_formula())
    for backup in own_file.parent.glob("backups/*.db"):
        backup.unlink()
    kept(own_file).close()  # its backup of today holds the formula
    own_file.write_bytes(own_file.read_bytes()[:100] + b"x" * 20_000)
    app = pressed(opened(), "Start from the last backup")
    assert errors(app) == ""
    with kept(own_file) as store:
        assert len(store.formulas()) == 1


def test_every_window_brings_along_what_it_made_without_the_file(own_file: Path) -> None:
    kept(own_file).close()
    for backup in own_file.parent.glob("backups/*.db"):
        backup.unlink()
    own_file.write_bytes(own_file.read_bytes()[:100] + b"x" * 20_000)
    first, second = opened(), opened()
    first, second = line(first, SUNFLOWER, "11"), line(second, SUNFLOWER, "12")
    pressed(first, "Start with an empty file")
    second = line(second, SUNFLOWER, "13")
    assert errors(second) == ""
    with kept(own_file) as store:
        held = [store.open(uid).body.lines[3].amount.text for uid in store.formulas()["uid"]]
    assert sorted(held) == ["11", "13"]


def test_a_newer_file_is_not_touched(own_file: Path) -> None:
    kept(own_file).close()
    link = sqlite3.connect(own_file)
    link.execute("PRAGMA user_version = 99")
    link.commit()
    link.close()
    before = own_file.read_bytes()
    app = line(opened(), SUNFLOWER, "11")
    assert "was written by a later version of this tool" in errors(app)
    assert amount(app) == "11"
    assert own_file.read_bytes() == before


def test_a_text_too_long_to_keep_is_told_and_stays(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "1" * 40)
    assert not app.exception
    assert amount(app) == "1" * 40


@pytest.mark.parametrize("page", [KEPT, OWN])
def test_the_page_opens_on_a_fresh_file(own_file: Path, page: str) -> None:
    app = opened().switch_page(page).run()
    assert not app.exception
    assert "None yet" in everything(app)


def test_a_formula_put_away_can_be_brought_back(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11").switch_page(KEPT).run()
    app = pressed(app, "Put Winter hand cream away")
    assert "None yet." in everything(app)
    field(app, "Show those put away").set_value(True).run()
    app = pressed(app, "Bring Winter hand cream back")
    field(app, "Show those put away").set_value(False).run()
    assert "versions: 2" in everything(app)


def test_who_works_here_stands_beside_each_version(own_file: Path) -> None:
    app = opened().switch_page(KEPT).run()
    typed(app, "Who works here", "bench two").switch_page("views/formula.py").run()
    line(app, SUNFLOWER, "11")
    with kept(own_file) as store:
        assert set(store.history(store.formulas()["uid"][0])["who"]) == {"bench two"}


def test_a_bad_figure_of_ones_own_is_told_and_nothing_kept(own_file: Path) -> None:
    app = opened().switch_page(OWN).run()
    field(app, "Ingredient").set_value("shea butter")
    field(app, "Figure [HLB]").set_value("99")
    app.button[[b.label for b in app.button].index("Keep this figure")].click().run()
    assert "99 is out of range" in errors(app)
    assert field(app, "Figure [HLB]").value == "99"
    with kept(own_file) as store:
        assert store.own() == ()


def test_a_figure_of_ones_own_leads_until_it_is_taken_out_of_use(own_file: Path) -> None:
    app = opened()
    before = brief(app)
    app.switch_page(OWN).run()
    field(app, "Ingredient").set_value(SUNFLOWER)
    field(app, "Figure [HLB]").set_value("9")
    app.button[[b.label for b in app.button].index("Keep this figure")].click().run()
    assert "required HLB o/w 9.0 (8.5 to 9.5)" in everything(app)
    assert brief(app.switch_page("views/formula.py").run()) != before
    pressed(app.switch_page(OWN).run(), f"Take out of use: {SUNFLOWER}")
    assert brief(app.switch_page("views/formula.py").run()) == before


def again(app: AppTest) -> AppTest:
    """Another window at the address of the first."""
    other = AppTest.from_file(str(MAIN.resolve()), default_timeout=30)
    other.query_params["formula"] = app.query_params["formula"]
    return other.run()


def test_undo_that_meets_a_change_of_another_window_shows_both(own_file: Path) -> None:
    first = line(opened(), SUNFLOWER, "11")
    line(again(first), SUNFLOWER, "12")
    first = pressed(first, "Undo")
    assert "changed in another window" in errors(first)
    first = pressed(first, "Take theirs")
    assert amount(first) == "12"


def test_what_a_restored_backup_does_not_hold_is_kept_as_new(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11")
    with kept(own_file) as store, store.writing() as link:
        link.execute("PRAGMA defer_foreign_keys = ON")
        link.execute("DELETE FROM version")
        link.execute("DELETE FROM formula")
    line(app, SUNFLOWER, "12")
    assert errors(app) == ""
    with kept(own_file) as store:
        assert store.open(store.formulas()["uid"][0]).body.lines[3].amount.text == "12"


def test_what_lasts_is_left_out_of_the_collection_of_garbage(own_file: Path) -> None:
    opened()
    assert gc.get_freeze_count() > 100_000


def test_what_was_put_away_can_be_deleted_for_good(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11").switch_page(KEPT).run()
    pressed(app, "Put Winter hand cream away")
    app.toggle(key="kept_away").set_value(True).run()
    pressed(app, "Yes, delete Winter hand cream for good")
    assert not app.exception
    with kept(own_file) as store:
        assert store.formulas(removed=True).empty
    line(app.switch_page("views/formula.py").run(), SUNFLOWER, "12")  # the open one is kept anew
    with kept(own_file) as store:
        assert store.formulas()["versions"].tolist() == [2]
