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

from hlbcore import OwnIngredient, OwnReading, Store, import_all, plan_import, work_out
from hlbcore.kept.kinds import LADDER
from hlbcore.ladder.arrays import responses
from hlbcore.ladder.sheet import LadderSheet

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

BEESWAX = "beeswax 12 (9 to 16) is 13 (9 to 16)"
CAPRYLIC = "caprylic/capric triglyceride 5 (4 to 14) is 9.5 (5 to 14)"
CETEARETH = "ceteareth-20 15.6 (14.2 to 17) is 15.2 (14.7 to 15.7)"
CETEARYL = "cetearyl alcohol 15 (14 to 16) is 15.5 (14.5 to 16.5)"
CETYL = "cetyl alcohol 15.1 (13 to 16.1) is 15.5 (13 to 16.5)"
LANOLIN = "lanolin 10 (9 to 15) is 9 (8 to 15)"
MINERAL = "mineral oil in w/o 4 (3 to 6) is 6 (4 to 7)"
SOY = "soybean oil 7 (6 to 8) is 6 (5 to 7)"
STEARIC = "stearic acid 15 (14 to 17) is 17 (15 to 18)"
ESSENTIAL = "fragrance and essential oils take their class range, 13 (11 to 16)"
BOUNDED = "what has neither figure nor class is bounded by 4 and 17, and not left out"
NOMINAL = "inside or outside by the nominal HLB; the doubt stands beside the word"
RINSE = "the word names what decides"
SAID = "the word says which rule judges, and why it cannot"
NO_WO = "HLB has no say in a w/o cream, so no blend is solved for"

MOVED: dict[str, Differences] = {
    "formula_v1_evening_cleansing_balm.json": {
        "products/Evening cleansing balm/required": (
            [9.020979021, 6.575757576, 11.151515152],
            f"{BEESWAX}; {CAPRYLIC}; {CETEARYL}; {CETYL}",
        )
    },
    "formula_v1_every_field.csv": {
        "products/formula_v1_every_field/oil phase": (83.0, f"{CAPRYLIC}; {CETYL}; {ESSENTIAL}; {BOUNDED}"),
        "products/formula_v1_every_field/required": (
            [8.047619048, 5.692771084, 11.512048193],
            f"{CAPRYLIC}; {CETYL}; {ESSENTIAL}; {BOUNDED}",
        ),
    },
    "formula_v1_every_field.json": {
        "products/Hedge balm, every field, dawn/blend": (
            ["HLB 10.7"],
            f"{CAPRYLIC}; {CETEARETH}; {CETEARYL}; {CETYL}; {ESSENTIAL}",
        ),
        "products/Hedge balm, every field, dawn/required": (
            [8.76070901, 7.126784835, 10.911619892],
            f"{CAPRYLIC}; {CETEARETH}; {CETEARYL}; {CETYL}; {ESSENTIAL}",
        ),
        "products/Hedge balm, every field, dusk/blend": (
            ["HLB 10.7"],
            f"{CAPRYLIC}; {CETEARETH}; {CETEARYL}; {CETYL}; {ESSENTIAL}",
        ),
        "products/Hedge balm, every field, dusk/required": (
            [8.791788856, 7.155180841, 10.948924731],
            f"{CAPRYLIC}; {CETEARETH}; {CETEARYL}; {CETYL}; {ESSENTIAL}",
        ),
    },
    "formula_v1_faulty_lotion.json": {
        "products/Green lotion that failed/required": (
            [8.639538813, 7.073044208, 9.887256181],
            f"{STEARIC}; {ESSENTIAL}",
        )
    },
    "formula_v1_plain.csv": {"products/formula_v1_plain/required": ([6.0, 5.0, 7.0], SOY)},
    "formula_v1_plain.json": {"products/Plain lotion/required": ([6.0, 5.0, 7.0], SOY)},
    "formula_v1_two_portions.json": {
        "products/Two-colour sugar scrub, lavender/required": (
            [8.50802139, 7.128342246, 9.540106952],
            f"{CETEARYL}; {STEARIC}; {ESSENTIAL}",
        ),
        "products/Two-colour sugar scrub, orange/required": (
            [8.531914894, 7.14893617, 9.574468085],
            f"{CETEARYL}; {STEARIC}; {ESSENTIAL}",
        ),
    },
    "formula_v1_winter_hand_cream.json": {
        "products/Winter hand cream/required": (
            [8.227722772, 6.435643564, 9.326732673],
            f"{BEESWAX}; {CETYL}",
        )
    },
    "sheet_v1_asked_for": {
        "amounts/polysorbate 60": (1.530251358, f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "amounts/sorbitan stearate": (1.469748642, f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "blend": (9.927350427, f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "grams": ([14.7, 15.3], f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "required": ([8.427350427, 6.961538462, 10.294871795], f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "verdict": ("inside", NOMINAL),
    },
    "sheet_v1_bought_wax": {"verdict": ("no verdict: one emulsifier alone", SAID)},
    "sheet_v1_every_field": {
        "required": ([8.347826087, 6.891304348, 10.195652174], f"{BEESWAX}; {CETYL}; {ESSENTIAL}"),
        "verdict": ("outside", NOMINAL),
    },
    "sheet_v1_example": {
        "amounts/polysorbate 60": (1.556348282, f"{BEESWAX}; {CETYL}"),
        "amounts/sorbitan stearate": (2.943651718, f"{BEESWAX}; {CETYL}"),
        "blend": (8.227722772, f"{BEESWAX}; {CETYL}"),
        "grams": ([14.7, 7.8], f"{BEESWAX}; {CETYL}"),
        "required": ([8.227722772, 6.435643564, 9.326732673], f"{BEESWAX}; {CETYL}"),
    },
    "sheet_v1_grams": {
        "amounts/polysorbate 80": (0.344459278, SOY),
        "amounts/sorbitan oleate": (1.655540722, SOY),
        "blend": (6.142857138, SOY),
        "grams": ([3.4, 0.6], SOY),
        "required": ([5.928571429, 5.0, 7.285714286], SOY),
    },
    "sheet_v1_half_written": {
        "oil phase": (20.0, BOUNDED),
        "required": ([9.352941176, 7.95, 11.1], BOUNDED),
        "verdict": ("cannot say: a mixture of both kinds", SAID),
    },
    "sheet_v1_own_emulsifier": {
        "amounts/polysorbate 80": (NONE, NO_WO),
        "amounts/river ester": (NONE, NO_WO),
        "blend": (None, NO_WO),
        "grams": (None, NO_WO),
        "required": ([5.833333333, 4.166666667, 6.666666667], MINERAL),
        "total": (0, NO_WO),
        "verdict": ("no verdict: no emulsifier", NO_WO),
    },
    "sheet_v1_two_portions": {
        "required": ([7.666666667, 6.6, 8.666666667], STEARIC),
        "verdict": ("no verdict: the rinse test decides", RINSE),
    },
    "workspace_v2": {
        "Herb cream, « trial 3 », version 1/now/required": (
            [8.347826087, 6.891304348, 10.195652174],
            f"{BEESWAX}; {CETYL}; {ESSENTIAL}",
        ),
        "Herb cream, « trial 3 », version 1/now/verdict": ("outside", NOMINAL),
        "Herb cream, « trial 3 », version 2/now/required": (
            [8.347826087, 6.891304348, 10.195652174],
            f"{BEESWAX}; {CETYL}; {ESSENTIAL}",
        ),
        "Herb cream, « trial 3 », version 2/now/verdict": ("outside", NOMINAL),
        "Herb cream, « trial 3 », version 3/now/required": (
            [8.347826087, 6.891304348, 10.195652174],
            f"{BEESWAX}; {CETYL}; {ESSENTIAL}",
        ),
        "Herb cream, « trial 3 », version 3/now/verdict": ("outside", NOMINAL),
        "Scrub in two portions, version 1/now/required": ([7.666666667, 6.6, 8.666666667], STEARIC),
        "Scrub in two portions, version 1/now/verdict": ("no verdict: the rinse test decides", RINSE),
        "Scrub in two portions, version 2/now/required": ([7.666666667, 6.6, 8.666666667], STEARIC),
        "Scrub in two portions, version 2/now/verdict": ("no verdict: the rinse test decides", RINSE),
        "Water in oil, version 1/now/amounts/polysorbate 80": (NONE, NO_WO),
        "Water in oil, version 1/now/amounts/river ester": (NONE, NO_WO),
        "Water in oil, version 1/now/blend": (None, NO_WO),
        "Water in oil, version 1/now/grams": (None, NO_WO),
        "Water in oil, version 1/now/required": ([5.833333333, 4.166666667, 6.666666667], MINERAL),
        "Water in oil, version 1/now/total": (0, NO_WO),
        "Water in oil, version 1/now/verdict": ("no verdict: no emulsifier", NO_WO),
    },
}
"""What differs since the tables are counted by root and each system is judged by its own rule."""

for _name, _held in MOVED.items():
    DIFFER[_name] = {**DIFFER.get(_name, {}), **_held}


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
    """Without the fields that had a sentence: they have other names now, see `TOLD`.

    Of the figures of the checks only the HLB stays: the dose stands in findings of its own.
    """
    if isinstance(held, dict):
        return {k: bare(v) for k, v in held.items() if k != "errors"}
    if isinstance(held, list):
        return [v for v in held if not isinstance(v, str) or (v and not v.endswith("% of the jar"))]
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
    "two_portions": {TOTAL},  # the tables know bamboo powder now
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


EACH = {"workspace_v2": LadderSheet(steps="7", seed="1")}
EACH["workspace_v2_formulas"] = LadderSheet(steps="7", seed="1", name="Soy and wax ladder")
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
    # its labels, the figures of its emulsifiers and its remarks stay those of the day it was planned
    planned = written.recorded_ladder()
    assert [(n, e.value) for n, e in trial.ladder.emulsifiers] == [
        (n, e.value) for n, e in planned.ladder.emulsifiers
    ]
    vials = zip(planned.ladder.vials, trial.ladder.vials, strict=True)
    kept = replace(
        planned.ladder,
        vials=tuple(replace(now, label=then.label) for now, then in vials),
        emulsifiers=trial.ladder.emulsifiers,
        cautions=trial.ladder.cautions,
    )
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
