"""The file is taken away or damaged while the app runs: told, work goes on, and the ways back work."""

from __future__ import annotations

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from opened_app import everything, formula, line, opened, pressed, said
from streamlit.testing.v1 import AppTest

import hlbcore as hlb

SUNFLOWER = "sunflower oil"
KEPT, OWN = "views/kept.py", "views/own.py"


@pytest.fixture
def own_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """In a folder of its own, which a test may rename."""
    path = tmp_path / "work" / "kept.db"
    monkeypatch.setenv("HLB_FILE", str(path))
    return path


def errors(app: AppTest) -> str:
    return " ".join(said(e.value) for e in app.error)


def amounts(path: Path) -> list[str]:
    """Amounts of sunflower oil in all versions of the one formula, the newest first."""
    with hlb.Store(path) as store:
        (uid,) = store.formulas()["uid"]
        return [store.version(u).body.lines[3].amount.text for u in store.history(uid)["uid"]]


def removed(path: Path) -> None:
    for tail in ("", "-wal", "-shm"):
        Path(f"{path}{tail}").unlink()


def folder_renamed(path: Path) -> None:
    path.parent.rename(path.parent.with_name("tidied"))


def emptied(path: Path) -> None:
    os.truncate(path, 0)


def log_removed(path: Path) -> None:
    Path(f"{path}-wal").unlink()


@pytest.mark.parametrize(
    "way", [removed, folder_renamed, emptied, log_removed], ids=lambda w: str(w.__name__)
)
def test_a_file_taken_away_is_told_and_put_back_with_all_that_was_line(own_file: Path, way) -> None:
    app = line(line(opened(), SUNFLOWER, "11"), SUNFLOWER, "12")
    way(own_file)
    app = line(app, SUNFLOWER, "13")
    assert not app.exception
    assert "Not saved in" in errors(app)
    assert "kept in the memory of this program only" in errors(app)
    app = line(app, SUNFLOWER, "14")
    assert "Export of everything" in [b.label for b in app.get("download_button")]
    app = pressed(app, "Put back what is open here")
    assert errors(app) == ""
    assert amounts(own_file) == ["14", "13", "12", "11", "9"]
    line(app, SUNFLOWER, "15")
    assert amounts(own_file)[0] == "15"


def test_looking_alone_tells_that_the_file_is_gone(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11")
    removed(own_file)
    assert "Not saved in" in errors(app.run())


def test_a_folder_that_is_named_back_goes_on(own_file: Path) -> None:
    app = line(opened(), SUNFLOWER, "11")
    folder_renamed(own_file)
    app = line(app, SUNFLOWER, "12")
    own_file.parent.with_name("tidied").rename(own_file.parent)
    app = pressed(app, "Try again")
    assert errors(app) == ""
    assert amounts(own_file) == ["12", "11", "9"]


def copied_over(own_file: Path, tmp_path: Path) -> AppTest:
    """An older copy, with the amount 11, was put over the file by hand."""
    app = line(opened(), SUNFLOWER, "11")
    shutil.copyfile(own_file, tmp_path / "copy.db")
    app = line(app, SUNFLOWER, "12")
    shutil.copyfile(tmp_path / "copy.db", own_file)
    return line(app, SUNFLOWER, "13")


def test_an_older_copy_is_noticed_and_opened_as_it_is(own_file: Path, tmp_path: Path) -> None:
    app = copied_over(own_file, tmp_path)
    assert "an older copy was written over it" in errors(app)
    assert own_file.read_bytes() == (tmp_path / "copy.db").read_bytes()
    app = pressed(app, "Go on with the copy that stands there")
    assert errors(app) == ""
    assert amounts(own_file) == ["11", "9"]
    (beside,) = own_file.parent.glob("kept-open-*.db")
    assert amounts(beside) == ["13", "12", "11", "9"]


def test_what_is_newer_can_be_added_to_an_older_copy(own_file: Path, tmp_path: Path) -> None:
    pressed(copied_over(own_file, tmp_path), "Try again")
    assert amounts(own_file) == ["13", "12", "11", "9"]


def test_what_was_open_can_take_the_place_of_an_older_copy(own_file: Path, tmp_path: Path) -> None:
    pressed(copied_over(own_file, tmp_path), "Put back what is open here")
    assert amounts(own_file) == ["13", "12", "11", "9"]
    (aside,) = own_file.parent.glob("kept-replaced-*.db")
    assert amounts(aside) == ["11", "9"]


def changed(path: Path, sql: str) -> None:
    with closing(sqlite3.connect(path)) as link:
        link.execute(sql)
        link.commit()


def test_a_damaged_own_value_is_named_and_can_be_taken_out(own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        store.add_own(hlb.OwnReading("shea butter", 9.0), hlb.OwnReading("beeswax", 10.0))
    changed(own_file, "UPDATE own SET body = '{bad' WHERE rowid = 1")
    app = opened()
    assert not app.exception
    app = app.switch_page(OWN).run()
    assert "cannot be read and is left out" in everything(app)
    assert "beeswax" in everything(app)
    app.button[[b.label for b in app.button].index("Take out of use")].click().run()
    assert "cannot be read" not in everything(app)


def test_a_damaged_version_is_named_and_the_one_before_it_is_shown(own_file: Path) -> None:
    app = line(line(opened(), SUNFLOWER, "11"), SUNFLOWER, "12").switch_page(KEPT).run()
    changed(own_file, "UPDATE version SET sheet = '{bad' WHERE number = 3")
    app = pressed(app, "Look whether all of it can be read")
    assert not app.exception
    shown = " ".join(said(h.value) for h in app.html)
    assert "version 3" in shown
    again = AppTest.from_file(str(Path(__file__).parents[2] / "app" / "main.py"), default_timeout=30)
    again.query_params["formula"] = app.query_params["formula"]
    again.run()
    assert not again.exception
    assert "version 3, is damaged in the file" in everything(again)
    assert next(x.amount.text for x in formula(again).lines if x.name == SUNFLOWER) == "11"


def test_what_can_be_read_of_a_damaged_file_goes_on(own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        store.save(hlb.example_formula())
        for n in range(40):
            store.save(hlb.Formula(f"Balm {n}", note="x" * 3000))
    shutil.rmtree(own_file.parent / "backups")
    data = bytearray(own_file.read_bytes())
    data[20 * 4096 : 21 * 4096] = b"\xa5" * 4096
    own_file.write_bytes(data)
    app = opened()
    assert "is damaged" in errors(app)
    app = pressed(app, "Start with what can be read of it")
    assert not app.exception
    assert errors(app) == ""
    assert "Not everything could be read of the damaged file" in app.expander[0].label
    with hlb.Store(own_file) as store:
        assert 30 < len(store.formulas()) < 41


def test_a_file_that_holds_less_than_was_saved_is_told_at_the_next_start(
    own_file: Path, tmp_path: Path
) -> None:
    with hlb.Store(own_file) as store:
        first = store.save(hlb.example_formula())
        shutil.copyfile(own_file, tmp_path / "copy.db")
        store.save(hlb.Formula("Balm"), on=first)
    shutil.copyfile(tmp_path / "copy.db", own_file)
    app = opened()
    assert "holds less than was saved in it: 1 version of 'Balm'" in everything(app)
    app = pressed(app, "Bring them back")
    assert "holds less" not in everything(app)
    with hlb.Store(own_file) as store:
        assert store.formulas()["name"].tolist() == ["Balm"]
