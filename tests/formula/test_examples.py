from __future__ import annotations

import json

import pytest

import hlbcore as hlb
from hlbcore import Formula, InvalidInput
from hlbcore.folders import data_folder

WHOLE = hlb.example_formulas()[:-1]


@pytest.mark.parametrize("name", hlb.example_formulas())
def test_example_loads_and_is_written_as_it_stands(name: str) -> None:
    text = (data_folder() / "examples" / "formulas" / f"{name}.json").read_text("utf-8")
    assert json.loads(hlb.example_formula(name).to_json()) == json.loads(text)


def test_every_file_is_listed() -> None:
    held = {p.stem for p in (data_folder() / "examples" / "formulas").glob("*.json")}
    assert held == set(hlb.example_formulas())


def test_each_is_of_another_product_type() -> None:
    types = [hlb.example_formula(n).product_type for n in hlb.example_formulas()]
    assert len(set(types)) == 4


@pytest.mark.parametrize("name", WHOLE)
def test_all_but_the_last_are_whole(name: str) -> None:
    formula = hlb.example_formula(name)
    assert formula.problems() == ()
    assert formula.total_pct == pytest.approx(100, abs=1e-9)


@pytest.mark.parametrize("name", WHOLE)
def test_all_but_the_last_have_no_stop(name: str) -> None:
    assert "stop" not in {f.level for f in hlb.check(hlb.example_formula(name))}


def test_unknown_name_is_refused_with_the_list() -> None:
    with pytest.raises(InvalidInput, match=r"'x'.*Use winter_hand_cream, garden_hand_scrub"):
        hlb.example_formula("x")


def test_lotion_gives_each_portion_its_own_scent() -> None:
    finished = hlb.example_formula("three_scent_lotion").finished()
    base = set.intersection(*({x.name for x in f.lines} for f in finished))
    assert [{x.name for x in f.lines} - base for f in finished] == [
        {"lavender oil"},
        {"sweet orange oil"},
        {"rosemary oil"},
    ]
    assert [f.total_pct for f in finished] == pytest.approx([100] * 3)


def test_each_portion_of_a_scrub_has_its_own_colour_and_fragrance(two_colour_scrub: Formula) -> None:
    lavender, orange = two_colour_scrub.finished()
    assert {x.name for x in lavender.lines} ^ {x.name for x in orange.lines} == {
        "lavender oil",
        "ultramarines",
        "sweet orange oil",
        "iron oxides",
    }
    assert lavender.total_pct == pytest.approx(100)


@pytest.fixture(scope="module")
def faults() -> list[hlb.Finding]:
    return hlb.check(hlb.example_formula("faulty_lotion"))


def test_faulty_one_adds_to_101() -> None:
    (problem,) = hlb.example_formula("faulty_lotion").problems()
    assert "101 %: 1 % is too much" in problem.text


@pytest.mark.parametrize(
    ("level", "title"),
    [
        ("stop", "An amine with a nitrosating partner"),
        ("caution", "The formula is not whole"),
        ("note", "A soap forms"),
        ("note", "1,4-dioxane is not known"),
        ("note", "Hot fat burns"),
    ],
)
def test_checks_find_the_faults(faults: list[hlb.Finding], level: str, title: str) -> None:
    assert (level, title) in {(f.level, f.title) for f in faults}


@pytest.mark.parametrize(
    ("symptom", "cause"),
    [
        ("water below", "salt breaks the emulsion"),
        ("thin", "not everything was melted, or the phases met at unlike temperatures"),
        ("lumps", "gum went into water dry"),
        ("crumbs of wax", "not everything was melted, or the phases met at unlike temperatures"),
    ],
)
def test_diagnosis_of_the_faulty_one_points_at_the_fault(symptom: str, cause: str) -> None:
    found = hlb.diagnose(hlb.example_formula("faulty_lotion"), symptom=symptom)
    assert cause in {c.cause for c in found.causes if c.points}


def test_an_example_is_a_formula_of_its_own_each_time() -> None:
    assert isinstance(hlb.example_formula(), Formula)
    assert hlb.example_formula() == hlb.example_formula("winter_hand_cream")
