"""The figures that follow from saved files are those of the version that wrote them.

Where the tool counts otherwise since, the difference stands here with its reason, figure by figure.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import written

from hlbcore import (
    LADDER,
    LadderSheet,
    OwnIngredient,
    OwnReading,
    Store,
    import_all,
    plan_import,
    responses,
    work_out,
)

SAVED = Path(__file__).parent / "saved"
BEFORE = json.loads(written.BEFORE.read_text("utf-8"))
TODAY = json.loads(written.FIGURES.read_text("utf-8"))
NONE: Any = object()
"""Stands for a figure that is not there any more."""

WEIGHED = "amounts that are typed are weighed too"
ANYWHERE = "emulsifiers entered anywhere count in blend and dose"
UNKNOWN = "an emulsifier that nobody knows makes no verdict, and is not left out"
PARTS = "bought blends count by their parts everywhere"
ON_TOP = "what is put to a portion is no part of the base, also where a file names no portions"

Differences = dict[str, tuple[object, str]]
SCRUB: Differences = {
    "amounts/glyceryl stearate": (1.0, ANYWHERE),
    "blend": (10.107692308, ANYWHERE),
    "total": (6.5, ANYWHERE),
    "grams": ([5.0, 17.5, 10.0], WEIGHED),
}
HERBS: Differences = {"grams": ([20.0, 25.0], WEIGHED)}
DIFFER: dict[str, Differences] = {
    "formula_v1_every_field.csv": {
        "products/formula_v1_every_field/oil phase": (63.0, ON_TOP),
        "products/formula_v1_every_field/required": ([7.093650794, 6.023809524, 9.744444444], ON_TOP),
    },
    "sheet_v1_bought_wax": {
        "amounts/house wax": (NONE, PARTS),
        "amounts/cetearyl alcohol in house wax": (3.9, PARTS),
        "amounts/ceteareth-20 in house wax": (1.1, PARTS),
        "grams": ([19.5, 5.5], WEIGHED),
    },
    "sheet_v1_every_field": HERBS,
    "sheet_v1_half_written": {
        "amounts/nobody's ester": (1.0, UNKNOWN),
        "amounts/lecithin": (1.0, ANYWHERE),
        "blend": (None, UNKNOWN),
        "verdict": ("no verdict", UNKNOWN),
        "total": (4.0, f"{ANYWHERE}; {UNKNOWN}"),
        "grams": ([10.0, 5.0, 5.0], WEIGHED),
    },
    "sheet_v1_two_portions": SCRUB,
    "workspace_v2": {
        **{f"Scrub in two portions, version {n}/now/{k}": v for n in (1, 2) for k, v in SCRUB.items()},
        **{f"Herb cream, « trial 3 », version {n}/now/{k}": v for n in (1, 2, 3) for k, v in HERBS.items()},
    },
}
"""What differs from the version that wrote a file, by its place in the figures, with the reason."""


def expected(name: str) -> Any:
    """The figures of the version that wrote a file, but for what counts otherwise since."""
    held = deepcopy(BEFORE[name])
    for place, (value, _) in DIFFER.get(page(name), {}).items():
        # a name holds no slash
        *way, last = place.split("/")
        inner = held
        for step in way:
            inner = inner[step]
        assert inner.get(last) != value, f"{name}, {place}: that is no difference"
        if value is NONE:
            del inner[last]
        else:
            inner[last] = value
    return bare(held)


def page(name: str) -> str:
    """The page that a file holds, for both of its forms."""
    return name.removesuffix("_full.json").removesuffix("_compact.json")


def bare(held: Any) -> Any:
    """Without the fields that had a sentence: they have other names now, see `TOLD`."""
    if isinstance(held, dict):
        return {k: bare(v) for k, v in held.items() if k != "errors"}
    return held


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
    assert {p.name for p in written.files(1)} | {"workspace_v2"} == set(BEFORE)
    assert {p.name for p in written.files(2)} | {"workspace_v2_formulas"} == set(TODAY)
    assert set(DIFFER) <= {page(name) for name in BEFORE}


@pytest.mark.parametrize("path", written.files(1), ids=lambda p: p.name)
def test_the_figures_of_a_saved_file_are_those_of_the_version_that_wrote_it(path: Path) -> None:
    assert written.figures(path) == near(expected(path.name))


@pytest.mark.parametrize("path", written.files(2), ids=lambda p: p.name)
def test_the_figures_of_a_formula_of_schema_2_are_those_of_then(path: Path) -> None:
    assert written.figures(path) == near(TODAY[path.name])


TOTAL = (None, "total")
TOLD: dict[str, set[tuple[int | None, str]]] = {
    "asked_for": {TOTAL},
    "bought_wax": set(),
    "every_field": {TOTAL},
    "example": {TOTAL},
    "grams": {TOTAL},
    "half_written": {TOTAL, (None, "window"), (1, "name"), (2, "amount")},
    "own_emulsifier": {TOTAL},
    "two_portions": {TOTAL, (7, "name")},
}
"""Fields of each page that have a sentence now; the page told nothing of its total before."""


@pytest.mark.parametrize("name", TOLD)
def test_what_a_saved_page_says_of_its_fields(name: str) -> None:
    found = work_out(written.from_json(SAVED / f"sheet_v1_{name}_full.json"))
    assert {(p.line, p.field) for p in found.problems} == TOLD[name]


def test_what_had_a_sentence_before_has_one_still_but_for_the_unknown_emulsifier() -> None:
    before = {page(n).removeprefix("sheet_v1_"): h["errors"] for n, h in BEFORE.items() if "errors" in h}
    assert before == {name: [] for name in TOLD} | {
        "half_written": ["emulsifier 1 name", "line 1 name", "line 2 amount", "window"]
    }


# --- workspaces of form 2


EACH = {"workspace_v2": LadderSheet(steps="7")}
EACH["workspace_v2_formulas"] = LadderSheet(steps="7", name="Soy and wax ladder")
"""Each saved workspace, with what was typed for its ladder."""


@contextmanager
def opened(name: str, kind: str, folder: Path) -> Iterator[Store]:
    path = folder / "w.db"
    if kind == "db":
        shutil.copy(SAVED / f"{name}.db", path)
    with Store(path) as store:
        if kind == "zip":
            import_all(store, plan_import(store, (SAVED / f"{name}.zip").read_bytes()))
        yield store


@pytest.fixture(params=["db", "zip"])
def workspace(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    with opened("workspace_v2", request.param, tmp_path) as store:
        yield store


@pytest.fixture(params=["db", "zip"])
def today(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    with opened("workspace_v2_formulas", request.param, tmp_path) as store:
        yield store


def test_the_figures_of_every_kept_version_are_those_of_then(workspace: Store) -> None:
    assert written.figures_of_store(workspace) == near(expected("workspace_v2"))


def test_the_figures_of_every_version_kept_today_are_those_of_then(today: Store) -> None:
    assert written.figures_of_store(today) == near(TODAY["workspace_v2_formulas"])


def test_formulas_of_form_2_are_there_with_versions_and_branches(workspace: Store) -> None:
    assert sorted(workspace.formulas()["name"]) == ["Herb cream, « trial 3 »", "Scrub in two portions"]
    assert workspace.formulas(removed=True)["name"].tolist() == ["Water in oil"]
    (uid,) = workspace.formulas("herb cream")["uid"]
    table = workspace.history(uid)
    assert table["version"].tolist() == [3, 2, 1]
    first = table["uid"].iloc[-1]
    assert table["parent"].tolist() == [first, first, ""]
    assert table["why"].tolist() == ["", "thinner", ""]
    assert workspace.version(first).body == written.from_json(SAVED / "sheet_v1_every_field_full.json")


def test_formulas_of_today_are_there_with_versions_and_branches(today: Store) -> None:
    assert today.formulas()["name"].tolist() == ["Brook cream, « lot 4 »"]
    assert today.formulas(removed=True)["name"].tolist() == ["Lotion in grams"]
    (uid,) = today.formulas("brook")["uid"]
    table = today.history(uid)
    assert table["version"].tolist() == [3, 2, 1]
    first = table["uid"].iloc[-1]
    assert table["parent"].tolist() == [first, first, ""]
    assert table["why"].tolist() == ["", "thinner", ""]
    assert today.version(first).body == written.FORMULAS["every_field"]


@pytest.mark.parametrize("kind", ["db", "zip"])
@pytest.mark.parametrize("name", EACH)
def test_a_ladder_is_there_with_what_was_typed_and_seen(name: str, kind: str, tmp_path: Path) -> None:
    with opened(name, kind, tmp_path) as store:
        (uid,) = store.listed(LADDER)["uid"]
        held = store.open(uid, kind=LADDER)
    assert (held.number, held.who, held.body.sheet) == (2, "bench two", EACH[name])
    trial = held.body.trial
    # what is planned today may say more; what was said then is kept
    planned = written.recorded_ladder()
    assert trial.ladder.cautions
    assert set(trial.ladder.cautions) <= set(planned.ladder.cautions)
    kept = replace(planned.ladder, cautions=trial.ladder.cautions)
    assert trial == replace(planned, ladder=kept)
    assert responses(trial).values[:, 0].tolist() == [1, 2, 4, 4.5, 4, 2, 1]
    assert trial.broken == {7: 90.0}


@pytest.mark.parametrize("kind", ["db", "zip"])
@pytest.mark.parametrize("name", EACH)
def test_own_items_and_settings_are_there(name: str, kind: str, tmp_path: Path) -> None:
    with opened(name, kind, tmp_path) as store:
        fat, figure, soy, ester = store.overlay()
        withdrawn = [item for _, item, _, _ in store.own(withdrawn=True)]
        who = store.setting("who")
    assert fat == OwnIngredient("meadow fat", "butter", "Pratum Inventum Butter", "pressed", ("hay fat",))
    assert figure == OwnReading("meadow fat", 9.0, 8.0, 11.0, kind="butter")
    assert isinstance(soy, OwnReading)
    assert (soy.trial, soy.dose_pct, soy.half_rung) == ("Soy and wax ladder", 3.5, 0.5)
    assert ester == OwnReading("river ester", 12.0, quantity="HLB", kind="emulsifier")
    assert withdrawn == [OwnReading("beeswax", 10.0)]
    assert who == "bench one"
