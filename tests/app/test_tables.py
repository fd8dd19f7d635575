"""What the app says of a table that was spoilt."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from opened_app import opened, said

from hlbcore import library
from hlbcore.folders import data_folder


@pytest.fixture
def spoilt(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Callable[..., None]]:
    """Lets the app read a copy of the tables with one piece of text changed."""
    held = (library._built_in, library._laid_over)

    def change(table: str, old: str, new: str) -> None:
        folder = tmp_path / "data"
        shutil.copytree(data_folder(), folder)
        path = folder / f"{table}.csv"
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), "utf-8")
        monkeypatch.setattr(library, "data_folder", lambda: folder)
        for each in held:
            each.cache_clear()

    yield change
    for each in held:
        each.cache_clear()


def test_a_reading_that_was_left_out_is_said_and_the_app_works(spoilt: Callable[..., None]) -> None:
    spoilt("required_hlb", ",griffin_1949_recalled,", ",no_such_source,")
    app = opened()
    assert not app.exception
    told = [said(w.value) for w in app.warning]
    assert any("'no_such_source' is no key of sources.csv, so this reading is left out." in t for t in told)
    assert app.title


def test_a_table_that_cannot_be_read_is_named_with_its_row(spoilt: Callable[..., None]) -> None:
    spoilt("required_hlb", ",o/w,", ",o-w,")
    app = opened()
    assert not app.exception
    (told,) = [said(e.value) for e in app.error]
    assert "The tables cannot be read: required_hlb.csv, line 2, column 'emulsion'" in told
    assert "Mend that row" in told
