"""Saved files of each form are read for ever, and the same figures follow from them."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path

import pytest
import written

from hlbcore import OwnIngredient, OwnReading, Sheet, Store, Trial, import_all, plan_import, responses

SAVED = Path(__file__).parent / "saved"
BEFORE = json.loads(written.FIGURES.read_text("utf-8"))
FILES = written.files()
FULL = sorted(SAVED.glob("sheet_v1_*_full.json"))


def near(value: object) -> object:
    """The figures with the tolerance of the last places printed to the file."""
    if isinstance(value, float):
        return pytest.approx(value, rel=1e-6, abs=1e-6)
    if isinstance(value, dict):
        return {k: near(v) for k, v in value.items()}
    if isinstance(value, list):
        return [near(v) for v in value]
    return value


def test_every_saved_file_has_its_figures_written_down() -> None:
    assert {p.name for p in FILES} | {"workspace_v2"} == set(BEFORE)


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_the_figures_of_a_saved_file_are_those_of_the_version_that_wrote_it(path: Path) -> None:
    assert written.figures(path) == near(BEFORE[path.name])


@pytest.mark.parametrize("path", FULL, ids=lambda p: p.name)
def test_both_forms_of_a_sheet_mean_the_same(path: Path) -> None:
    compact = path.with_name(path.name.replace("_full", "_compact"))
    sheet = Sheet.from_json(path.read_text("utf-8"))
    assert sheet == Sheet.from_json(compact.read_text("utf-8"))
    assert sheet.title == json.loads(path.read_text("utf-8"))["title"]


@pytest.mark.parametrize("name", written.SHEETS)
def test_nothing_of_a_saved_sheet_is_lost(name: str) -> None:
    path = SAVED / f"sheet_v1_{name}_full.json"
    raw = json.loads(path.read_text("utf-8"))
    assert Sheet.from_json(path.read_text("utf-8")) == written.SHEETS[name]
    again = json.loads(written.SHEETS[name].to_json())
    assert {k: again[k] for k in raw} == raw


def test_the_saved_sheets_use_every_field() -> None:
    plain = Sheet()
    for f in fields(Sheet):
        used = [s for s in written.SHEETS.values() if getattr(s, f.name) != getattr(plain, f.name)]
        assert used, f.name
    for kind in ("lines", "emulsifiers", "others"):
        entries = [x for s in written.SHEETS.values() for x in getattr(s, kind)]
        for f in fields(type(entries[0])):
            assert any(getattr(x, f.name) != f.default for x in entries), (kind, f.name)


@pytest.mark.parametrize("name", written.FORMULAS)
def test_nothing_of_a_saved_formula_is_lost(name: str) -> None:
    path = SAVED / f"formula_v1_{name}.json"
    assert type(written.FORMULAS[name]).from_json(path.read_text("utf-8")) == written.FORMULAS[name]


@pytest.fixture(params=["db", "zip"])
def workspace(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    path = tmp_path / "w.db"
    if request.param == "db":
        shutil.copy(SAVED / "workspace_v2.db", path)
    with Store(path) as store:
        if request.param == "zip":
            import_all(store, plan_import(store, (SAVED / "workspace_v2.zip").read_bytes()))
        yield store


def test_the_figures_of_every_kept_version_are_those_of_then(workspace: Store) -> None:
    assert written.figures_of_store(workspace) == near(BEFORE["workspace_v2"])


def test_formulas_of_form_2_are_there_with_versions_and_branches(workspace: Store) -> None:
    assert sorted(workspace.formulas()["name"]) == ["Herb cream, « trial 3 »", "Scrub in two portions"]
    assert workspace.formulas(removed=True)["name"].tolist() == ["Water in oil"]
    (uid,) = workspace.formulas("herb cream")["uid"]
    table = workspace.history(uid)
    assert table["version"].tolist() == [3, 2, 1]
    first = table["uid"].iloc[-1]
    assert table["parent"].tolist() == [first, first, ""]
    assert table["why"].tolist() == ["", "thinner", ""]
    assert workspace.version(first).sheet == written.EVERY_FIELD


def test_a_trial_of_form_2_is_there_with_what_was_seen(workspace: Store) -> None:
    (uid,) = workspace.trials()["uid"]
    held = workspace.open_trial(uid)
    assert (held.number, held.who, held.sheet) == (2, "bench two", '{"steps":"7"}')
    assert held.trial == written.recorded_ladder()
    assert isinstance(held.trial, Trial)
    assert responses(held.trial).values[:, 0].tolist() == [1, 2, 4, 4.5, 4, 2, 1]
    assert held.trial.broken == {7: 90.0}


def test_own_items_and_settings_of_form_2_are_there(workspace: Store) -> None:
    fat, figure, soy, ester = workspace.overlay()
    assert fat == OwnIngredient("meadow fat", "butter", "Pratum Inventum Butter", "pressed", ("hay fat",))
    assert figure == OwnReading("meadow fat", 9.0, 8.0, 11.0, kind="butter")
    assert isinstance(soy, OwnReading)
    assert (soy.trial, soy.dose_pct, soy.half_rung) == ("Soy and wax ladder", 3.5, 0.5)
    assert ester == OwnReading("river ester", 12.0, quantity="HLB", kind="emulsifier")
    withdrawn = [item for _, item, _, _ in workspace.own(withdrawn=True)]
    assert withdrawn == [OwnReading("beeswax", 10.0)]
    assert workspace.setting("who") == "bench one"
