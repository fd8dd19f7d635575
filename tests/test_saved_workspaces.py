"""Kept work of an earlier version is opened for ever, from its file and from its export.

The files were written once by that version; `workspace_v1` holds the same work in both forms.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from hlbcore import Aims, Formula, Line, OwnIngredient, OwnReading, Store, import_all, plan_import

SAVED = Path(__file__).parent / "saved"

CREAM = Formula(
    "Night cream",
    "o/w cream",
    (
        Line("sunflower oil", "12", phase="oil", note="cold pressed"),
        Line("shea butter", "5", phase="oil", own="9"),
        Line("sorbitan stearate", "2", phase="oil", counts="emulsifier"),
        Line("polysorbate 60", "2,5 %", phase="oil", counts="emulsifier"),
        Line("water", "76.6", phase="water"),
        Line("phenoxyethanol", "0.9", phase="cool-down"),
    ),
    facts=(("ph", "5.5"),),
    aims=Aims("closest", "3 to 6", "1"),
    note="Très doux, 15 °C",
)
OWN = (
    OwnReading(
        "shea butter",
        9.0,
        8.5,
        9.5,
        pair="sorbitan stearate with polysorbate 60",
        dose_pct=4.5,
        temperature_c=22.0,
        on="2026-03-01",
        trial="ladder 1",
    ),
    OwnIngredient("meadow butter", "butter"),
)


@pytest.fixture(params=["db", "zip"])
def workspace(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    path = tmp_path / "w.db"
    if request.param == "db":
        shutil.copy(SAVED / "workspace_v1.db", path)
    with Store(path) as store:
        if request.param == "zip":
            data = (SAVED / "workspace_v1.zip").read_bytes()
            import_all(store, plan_import(store, data))
        yield store


def cream(workspace: Store) -> str:
    (uid,) = workspace.formulas("night cream")["uid"]
    return str(uid)


def test_every_saved_workspace_has_its_meaning_written_down() -> None:
    # those of form 2 in tests/test_saved_figures.py
    forms = ("v1", "v2", "v2_formulas")
    names = {f"workspace_{form}.{kind}" for form in forms for kind in ("db", "zip")}
    assert {p.name for p in SAVED.glob("workspace*")} == names


def test_the_current_state_means_what_it_meant(workspace: Store) -> None:
    state = workspace.open(cream(workspace)).body
    assert (state.aims.dose.text, state.aims.window.text) == ("5", "1")
    assert (state.lines, state.facts, state.note) == (CREAM.lines, CREAM.facts, CREAM.note)


def test_all_versions_are_there_with_their_branches(workspace: Store) -> None:
    table = workspace.history(cream(workspace))
    assert table["version"].tolist() == [3, 2, 1]
    assert table["who"].tolist() == ["bench one", "bench two", "bench one"]
    assert table["why"].tolist() == ["", "passed a week at 40 °C", ""]
    assert table["kept"].tolist() == [False, True, False]
    first = table["uid"].iloc[-1]
    assert table["parent"].tolist() == [first, first, ""]
    assert workspace.version(first).body == CREAM


def test_the_figures_kept_with_a_version_are_there(workspace: Store) -> None:
    first = workspace.version(workspace.history(cream(workspace))["uid"].iloc[-1])
    assert first.digest == "d1"
    assert set(first.figures) == {"required", "blend", "total", "word"}


def test_what_was_put_away_is_still_away(workspace: Store) -> None:
    assert workspace.formulas()["name"].tolist() == ["Night cream"]
    assert workspace.formulas(removed=True)["name"].tolist() == ["Old balm"]


def test_own_figures_mean_what_they_meant(workspace: Store) -> None:
    assert workspace.overlay() == OWN
    assert [item for _, item, _, _ in workspace.own(withdrawn=True)] == [OwnReading("beeswax", 10.0)]


def test_settings_are_there(workspace: Store) -> None:
    assert workspace.setting("who") == "bench one"


def test_an_old_workspace_can_be_worked_in(workspace: Store) -> None:
    state = workspace.open(cream(workspace))
    assert workspace.save(CREAM, on=state).number == 4


def test_a_file_brought_to_the_newest_form_is_built_like_a_new_one(workspace: Store) -> None:
    def built(store: Store) -> list[tuple[str, ...]]:
        with store.reading() as link:
            rows = link.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL")
            return sorted((name, " ".join(sql.split())) for name, sql in rows)

    with Store(in_memory=True) as new:
        assert built(workspace) == built(new)
