"""All checks together: order, portions apart, sources that resolve, and what is never said."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore import Estimate, Facts, Finding, Formula, Library, Line, Portion, check
from hlbcore import checks as room
from hlbcore.findings import LEVELS

NAMES = [
    m.name
    for m in pkgutil.iter_modules(room.__path__)
    if not m.name.startswith("_") and m.name != "ranked"  # how findings are shown, no check
]
TYPES = [t.name for t in hlb.product_types()]
EXAMPLES = hlb.example_formulas()
CREAM = "o/w cream"
ROWS = ("inputs", "rule", "source", "levels", "mend")
KEY = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
CASES = [(name, kind) for name in EXAMPLES for kind in TYPES]


def of_kind(name: str, kind: str) -> list[Finding]:
    return check(replace(hlb.example_formula(name), product_type=kind))


@pytest.fixture(scope="module")
def everything() -> dict[tuple[str, str], list[Finding]]:
    """Findings on each example as each product type, and with nothing known beside the lines."""
    held = {case: of_kind(*case) for case in CASES}
    for name in EXAMPLES:
        held[name, "no facts"] = check(replace(hlb.example_formula(name), facts=Facts()))
    return held


def texts(finding: Finding) -> str:
    return " ".join((finding.title, finding.detail, finding.figure, finding.rule, finding.mend))


# --- the list and its files


@pytest.mark.parametrize("name", NAMES)
def test_every_file_is_a_check_that_is_listed_once(name: str) -> None:
    module = importlib.import_module(f"hlbcore.checks.{name}")
    assert [c for c in room.CHECKS if c.__module__ == module.__name__] == [getattr(module, name)]


def test_every_check_of_the_list_has_a_file_of_its_own() -> None:
    assert [c.__module__.rpartition(".")[2] for c in room.CHECKS] == [c.__name__ for c in room.CHECKS]
    assert sorted(c.__name__ for c in room.CHECKS) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_every_check_has_a_test_file_of_its_own(name: str) -> None:
    own = Path(__file__).with_name(f"test_{name}.py")
    assert own.is_file(), f"Write tests/checks/{own.name} for the check '{name}'."
    assert re.search(rf"import.*\b{name}\b", own.read_text("utf-8"))


@pytest.mark.parametrize("name", NAMES)
def test_the_docstring_of_a_check_has_its_table(name: str) -> None:
    text = inspect.getdoc(importlib.import_module(f"hlbcore.checks.{name}")) or ""
    found = re.findall(r"^(\w+) {2,}\S", text, re.MULTILINE)
    assert tuple(found) == ROWS
    assert text.count("=========  ===") == 2


@pytest.mark.parametrize("name", NAMES)
def test_inputs_of_a_check_have_their_units(name: str) -> None:
    text = inspect.getdoc(importlib.import_module(f"hlbcore.checks.{name}")) or ""
    inputs = text[text.index("\ninputs") : text.index("\nrule")]
    assert re.search(r"\[[^\]]*%|\[°C|\[-\]", inputs)


@pytest.mark.parametrize("name", NAMES)
def test_levels_of_a_check_are_those_of_findings(name: str) -> None:
    text = inspect.getdoc(importlib.import_module(f"hlbcore.checks.{name}")) or ""
    levels = text[text.index("\nlevels") : text.index("\nmend")]
    assert [w for w in LEVELS if w in levels] != []


# --- order, problems, portions


@pytest.mark.parametrize("name", EXAMPLES)
def test_the_worst_comes_first(name: str) -> None:
    order = [LEVELS.index(f.level) for f in check(hlb.example_formula(name))]
    assert order == sorted(order)
    assert order


def test_problems_come_first_within_their_level() -> None:
    formula = hlb.example_formula("faulty_lotion")
    odd = replace(formula, lines=(*formula.lines, Line("nobody knows", 1, phase="oil")))
    cautions = [f for f in check(odd) if f.level == "caution"]
    assert cautions[0].title == "The formula is not whole"
    total, unknown = odd.problems()
    assert cautions[0].detail == total.text
    assert (cautions[1].title, cautions[1].detail) == ("Not in the tables: nobody knows", unknown.text)


def test_a_whole_formula_has_no_problem_among_its_findings() -> None:
    assert "The formula is not whole" not in {f.title for f in check(hlb.example_formula())}


def test_each_portion_is_checked_apart_under_its_name(two_colour_scrub: Formula) -> None:
    titles = [f.title for f in check(two_colour_scrub)]
    for portion in ("lavender", "orange"):
        assert f"Two-colour sugar scrub, {portion}: Colours listed in the US for the body" in titles


def test_figures_of_a_portion_are_those_after_what_is_added_on_top() -> None:
    base = (Line("olive oil", 99, phase="oil"), Line("phenoxyethanol", 1, phase="oil"))
    thick = Line("iron oxides", 25, phase="cool-down", portion="red")
    formula = Formula(
        "x", "whipped butter", (*base, thick), portions=(Portion("red", 50), Portion("plain", 50))
    )
    shares = {f.title: f.figure for f in check(formula) if f.title.endswith("phenoxyethanol: share")}
    assert shares["x, red: phenoxyethanol: share"] == "0.8 % of the jar"
    assert shares["x, plain: phenoxyethanol: share"] == "1 % of the jar"


def test_a_colour_that_is_not_permitted_is_told_for_its_portion_alone(two_colour_scrub: Formula) -> None:
    formula = two_colour_scrub
    bad = Line("chlorophyllin", 0.1, phase="cool-down", portion="orange")
    stops = [f for f in check(replace(formula, lines=(*formula.lines, bad))) if f.level == "stop"]
    assert [f.title for f in stops] == [
        "Two-colour sugar scrub, orange: chlorophyllin: not permitted on the body"
    ]


def test_one_portion_alone_needs_no_name_before_its_findings() -> None:
    formula = Formula(
        "x", "whipped butter", (Line("olive oil", 100, phase="oil"),), portions=(Portion("all", 100),)
    )
    assert "Who to ask" in {f.title for f in check(formula)}


def test_no_finding_is_said_twice(everything: dict[tuple[str, str], list[Finding]]) -> None:
    for found in everything.values():
        assert len(set(found)) == len(found)


# --- sources


def test_every_source_key_resolves(
    everything: dict[tuple[str, str], list[Finding]], library: Library
) -> None:
    rules = {f.rule for found in everything.values() for f in found if f.rule}
    assert len(rules) > 20
    assert sorted({k for r in rules for k in KEY.findall(r)} - set(library.sources)) == []


@pytest.mark.parametrize("level", ["stop", "caution"])
def test_what_is_serious_has_something_to_do(
    everything: dict[tuple[str, str], list[Finding]], level: str
) -> None:
    bare = {
        f.title
        for found in everything.values()
        for f in found
        if f.level == level and not f.mend and f.title != "The formula is not whole"
    }
    assert bare == set()


def test_every_stop_names_its_rule(everything: dict[tuple[str, str], list[Finding]]) -> None:
    stops = [f for found in everything.values() for f in found if f.level == "stop"]
    assert stops
    assert [f.title for f in stops if not f.rule] == []


# --- what is never said


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c[0]} as {c[1]}")
def test_no_text_says_stable_or_that_a_preservative_may_be_left_out(
    everything: dict[tuple[str, str], list[Finding]], case: tuple[str, str]
) -> None:
    said = " ".join(texts(f) for f in everything[case])
    assert not re.search(r"\bstable\b", said, re.IGNORECASE)
    assert not re.search(
        r"preservative (?:\w+ )?(?:may|can) be left out|needs no preservative|preservative-free",
        said,
        re.IGNORECASE,
    )


# --- missing input is said, nothing is guessed


def found(kind: str, *lines: Line, **facts: object) -> str:
    formula = Formula("x", kind, lines, facts=Facts(**facts))  # type: ignore[arg-type]
    return " | ".join(texts(f) for f in check(formula))


WATER, OIL = Line("water", 70, phase="water"), Line("olive oil", 20, phase="oil")
SYSTEM = (Line("polysorbate 60", 2, phase="oil"), Line("sorbitan stearate", 3, phase="oil"))
MISSING = {
    "total": ((WATER, OIL), "10 % is missing"),
    "name": ((WATER, Line("", 1)), "Line 2 has no name"),
    "ingredient": ((WATER, Line("house oil", 5, phase="oil")), "'house oil' is not in the tables"),
    "phase": ((WATER, Line("olive oil", 20)), "No phase yet: olive oil"),
    "emulsifier": ((WATER, OIL), "Add emulsifiers"),
    "preservative": ((WATER, OIL), "Water and no preservative"),
    "dioxane": ((WATER, OIL, *SYSTEM), "1,4-dioxane is not known"),
    "pH": ((WATER, OIL, Line("sodium benzoate", 0.5, phase="water")), "pH is missing"),
    "maximum of a fragrance": (
        (WATER, OIL, Line("fragrance", 1, phase="cool-down")),
        "supplier's maximum is not known",
    ),
    "allergens": ((WATER, OIL, Line("fragrance", 1, phase="cool-down")), "its allergens are not known"),
}


@pytest.mark.parametrize(("lines", "words"), MISSING.values(), ids=MISSING)
def test_a_missing_input_is_said(lines: tuple[Line, ...], words: str) -> None:
    assert words in found(CREAM, *lines)


@pytest.mark.parametrize(
    ("words", "facts"),
    [
        ("1,4-dioxane is not known", {"dioxane_ppm": 5}),
        ("supplier's maximum is not known", {"fragrance_max_pct": 2}),
        ("its allergens are not known", {"fragrance_allergens": (("linalool", 1.0),)}),
    ],
)
def test_a_fact_that_is_given_is_asked_for_no_more(words: str, facts: dict[str, object]) -> None:
    lines = (WATER, OIL, *SYSTEM, Line("fragrance", 1, phase="cool-down"))
    assert words in found(CREAM, *lines)
    assert words not in found(CREAM, *lines, **facts)


def test_no_required_hlb_is_guessed_for_a_wax_without_a_figure() -> None:
    lines = (Line("sunflower wax", 5, phase="oil"), *SYSTEM, Line("water", 90, phase="water"))
    worked = hlb.work_out(Formula("x", "w/o cream", lines))
    assert worked.required is None
    assert not [f for f in check(worked) if "class range" in f.detail]


def test_a_check_that_cannot_take_the_amounts_says_so_and_stops_no_other() -> None:
    heavy = (Line("polysorbate 60", 60, phase="oil"), Line("polysorbate 80", 60, phase="oil"))
    held = check(Formula("x", CREAM, (*heavy, Line("beeswax", 1, phase="oil"))))
    (told,) = [f for f in held if f.title == "The check 'cautions' cannot run"]
    assert "ethoxylated ingredients: 120 % is out of range" in told.detail
    assert "Hard share of the fat base" in {f.title for f in held}


@pytest.mark.parametrize("kind", TYPES)
def test_an_empty_formula_is_half_written_and_no_error(kind: str) -> None:
    assert "The formula is not whole" in {f.title for f in check(Formula("", kind))}


# --- any formula


NAMED = st.sampled_from(
    [
        "water",
        "olive oil",
        "stearic acid",
        "triethanolamine",
        "sodium hydroxide",
        "polysorbate 60",
        "sorbitan stearate",
        "glyceryl stearate",
        "emulsifying wax NF",
        "xanthan gum",
        "glycerin",
        "fragrance",
        "lavender oil",
        "phenoxyethanol",
        "sodium benzoate",
        "bronopol",
        "sugar",
        "salt",
        "magnesium sulfate",
        "iron oxides",
        "ultramarines",
        "carbomer",
        "behentrimonium chloride",
        "lecithin",
        "house oil",
        "",
    ]
)
ANY = st.builds(
    Line,
    NAMED,
    st.sampled_from([0, 1e-9, 0.5, 20, 99, 1e6]),
    phase=st.sampled_from(["water", "oil", "cool-down", "solids", ""]),
    active_pct=st.sampled_from([0, 30, 100]),
    portion=st.sampled_from([None, None, "a", "b"]),
)
KNOWN = st.builds(
    Facts,
    ph=st.sampled_from([None, 0, 5.5, 14]),
    area=st.sampled_from(["body", "eye area"]),
    cleansing=st.sampled_from([None, True, False]),
    hottest_c=st.sampled_from([None, -30, 75, 250]),
    cool_down_c=st.sampled_from([None, 40]),
    fragrance_max_pct=st.sampled_from([None, 0, 1]),
    fragrance_max_c=st.sampled_from([None, 40]),
    dioxane_ppm=st.sampled_from([None, 0, 10]),
    fragrance_allergens=st.sampled_from([(), (("linalool", 0.0),), (("linalool", 100.0),)]),
)


@settings(max_examples=100)
@given(st.lists(ANY, max_size=8), st.sampled_from(TYPES), KNOWN, st.booleans())
def test_any_formula_can_be_checked(lines: list[Line], kind: str, facts: Facts, split: bool) -> None:
    portions = (Portion("a", 50), Portion("b", 50)) if split else ()
    held = check(Formula("x", kind, tuple(lines), portions=portions, facts=facts))
    assert not re.search(r"\bstable\b|\bnan\b|\binf\b", " ".join(map(texts, held)))


def cream(*lines: Line) -> str:
    """All findings on an o/w cream as one text."""
    found = check(Formula("x", "o/w cream", lines))
    return "\n".join(f"{f.level}: {f.title}: {f.detail} {f.mend}" for f in found)


WET = (Line("water", 70, phase="water"), Line("olive oil", 20, phase="oil"))


def test_an_emulsifier_of_the_users_own_counts_as_one() -> None:
    own = Line("my emulsifier", 2, phase="oil", role="emulsifier", own=Estimate.exactly(15))
    assert "The blend has HLB 9.7" in cream(*WET, own, Line("sorbitan oleate", 2, phase="oil"))  # 15 and 4.3


def test_an_oil_that_nobody_knows_is_said_to_be_bounded() -> None:
    text = cream(*WET, Line("zork butter", 10, phase="oil"), Line("polysorbate 60", 4, phase="oil"))
    assert "note: zork butter has no figure" in text


def test_a_soap_cream_is_not_told_that_it_has_no_emulsifier() -> None:
    text = cream(*WET, Line("stearic acid", 10, phase="oil"), Line("triethanolamine", 1))
    assert "note: The emulsifier is soap" in text
    assert "There is no emulsifier" not in text


def test_left_over_triethanolamine_is_no_lye() -> None:
    text = cream(*WET, Line("stearic acid", 1, phase="oil"), Line("triethanolamine", 2))
    assert "caution: More base than fatty acid" in text
    assert "caustic" not in text


def test_a_booster_alone_does_not_preserve_water() -> None:
    text = cream(*WET, Line("ethylhexylglycerin", 0.3, phase="cool-down"))
    assert "stop: Water and no preservative" in text
    assert "a booster, no listed preservative" in text


def test_iodopropynyl_butylcarbamate_is_stopped_in_a_body_cream() -> None:
    assert "stop: EU: conditions for" in cream(*WET, Line("iodopropynyl butylcarbamate", 0.01))


def test_the_suppliers_rate_of_a_wax_is_checked() -> None:
    wax = Line("house wax", 3, phase="oil", role="emulsifier", supplier_rate=(4, 6), oil_limit=15)
    text = cream(*WET, wax)
    assert "note: Emulsifiers: outside its supplier's range" in text
    assert "the supplier says 4 to 6 %" in text
    assert "the supplier says up to 15 %" in text


def test_whipped_butter_gets_no_word_on_hlb_values() -> None:
    butter = Formula("x", "whipped butter", (Line("murumuru butter", 100, phase="oil"),))
    titles = [f.title for f in check(butter)]
    assert not any("No required HLB" in t or "dissolved" in t for t in titles)


def test_essential_oils_beside_a_fragrance_are_named() -> None:
    text = cream(*WET, Line("fragrance", 0.5), Line("bergamot oil", 1.5))
    assert "caution: Essential oils beside the fragrance: bergamot oil" in text


def test_buckwheat_is_no_wheat() -> None:
    assert "Food allergens" not in cream(*WET, Line("buckwheat extract", 1))


def test_a_wax_without_parts_is_said_to_count_whole() -> None:
    assert "up to 6 % ethoxylated" in cream(*WET, Line("emulsifying wax NF", 6, phase="oil"))
