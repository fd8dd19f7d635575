"""Where new lines go, what comes out of recipe files, and the ways to a sum of 100 %."""

from __future__ import annotations

import io

import openpyxl
import pytest

import hlbcore as hlb
from hlbcore.formula.placing import lines_of, read_formula_file, read_recipe, usual_phase, with_list
from hlbcore.formula.reading import as_fractions, by_volume
from hlbcore.formula.sums import phase_sums, ways_to_whole
from hlbcore.product_types import product_type

LIB = hlb.load_library()


def test_sugar_of_a_scrub_lands_among_the_grains_and_of_a_cream_in_the_water() -> None:
    rows = hlb.read_list("sugar 50 %")
    assert lines_of(rows, hlb.Formula(), LIB, anhydrous=True)[0].phase == "solids"
    assert lines_of(rows, hlb.Formula(), LIB)[0].phase == "water"


@pytest.mark.parametrize(
    ("name", "phase"),
    [
        ("water", "water"),
        ("shea butter", "oil"),
        ("polysorbate 60", "oil"),
        ("phenoxyethanol", "cool-down"),
        ("lavender oil", "cool-down"),
    ],
)
def test_each_kind_has_its_usual_phase(name: str, phase: str) -> None:
    assert usual_phase(LIB.find(name), hlb.Formula()) == phase


def test_a_phase_that_the_formula_has_not_is_left_blank() -> None:
    assert usual_phase(LIB.find("water"), hlb.Formula(phases=("a", "b"))) == ""


def test_a_name_that_nobody_knows_stands_among_the_oils() -> None:
    assert lines_of(hlb.read_list("linden complex 1 %"), hlb.Formula(), LIB)[0].phase == "oil"


def test_a_list_instead_takes_portions_along_and_one_behind_keeps_all() -> None:
    base = hlb.example_formula("three_scent_lotion")
    rows = hlb.read_list("olive oil 20 %\nwater 80 %")
    instead = with_list(base, rows, LIB)
    assert [x.name for x in instead.lines] == ["olive oil", "water"]
    assert instead.portion_list == ()
    behind = with_list(base, rows, LIB, instead=False)
    assert behind.lines[: len(base.lines)] == base.lines
    assert behind.portion_list == base.portion_list


def test_a_recipe_in_grams_sets_the_batch() -> None:
    made = with_list(hlb.Formula(), hlb.read_list("water 150 g\nolive oil 50 g"), LIB)
    assert made.aims.batch.value == 200
    assert made.pcts == pytest.approx((75, 25))


@pytest.mark.parametrize("ending", ["csv", "xlsx", "txt"])
def test_a_recipe_file_of_each_form_is_read(ending: str) -> None:
    if ending == "xlsx":
        book = openpyxl.Workbook()
        for row in (("ingredient", "%"), ("olive oil", 25), ("water", 75)):
            book.active.append(row)
        out = io.BytesIO()
        book.save(out)
        data = out.getvalue()
    else:
        mark = ";" if ending == "csv" else "\t"
        data = f"ingredient{mark}%\nolive oil{mark}25\nwater{mark}75\n".encode()
    rows = read_recipe(data, f"r.{ending}")
    assert [(r.name, float(r.amount)) for r in rows] == [("olive oil", 25), ("water", 75)]


def test_own_files_come_back_whole_and_others_as_lines() -> None:
    made = hlb.example_formula()
    assert read_formula_file(made.to_json().encode(), "a.json", "o/w cream") == made
    again = read_formula_file(made.to_csv().encode(), "a.csv", "o/w cream")
    assert isinstance(again, hlb.Formula)
    assert again.pcts == made.pcts
    assert isinstance(read_formula_file(b"name,pct\nolive oil,5\n", "a.csv", "o/w cream"), tuple)


@pytest.mark.parametrize("data", [b"", b"\x00\x01", b'{"schema": "a recipe"}'])
def test_a_broken_file_is_refused_in_words(data: bytes) -> None:
    with pytest.raises(hlb.HlbError, match=r"cannot be read|empty"):
        read_formula_file(data, "a.json", "o/w cream")


@pytest.mark.parametrize("text", ["water .875 %\nolive oil .125 %", "water 0.7\nolive oil 0.3"])
def test_amounts_that_add_to_one_look_like_fractions(text: str) -> None:
    made = as_fractions(hlb.read_list(text))
    assert made is not None
    assert sum(float(r.amount.rstrip(" %")) for r in made) == pytest.approx(100)


@pytest.mark.parametrize("text", ["water 75\nolive oil 25", "fragrance 0.3 %\ntocopherol 0.2 %", "water 1 g"])
def test_other_amounts_do_not(text: str) -> None:
    assert as_fractions(hlb.read_list(text)) is None


@pytest.mark.parametrize(
    "text", ["1 tbsp oil", "olive oil 2 cups", "½ cup water", "20 drops rose", "5 ml oil"]
)
def test_spoons_cups_drops_and_millilitres_are_told_why_not(text: str) -> None:
    found = by_volume(text)
    assert found is not None
    assert "type the grams" in found.mend


@pytest.mark.parametrize("text", ["shea butter 12 %", "cup cakes wax", "olive oil 5 g"])
def test_weights_and_names_are_not_taken_for_spoons(text: str) -> None:
    assert by_volume(text) is None


def test_sums_by_phase_follow_the_unit_and_leave_portions_out() -> None:
    lines = [
        hlb.Line("water", "60", phase="water"),
        hlb.Line("olive oil", "15", phase="oil"),
        hlb.Line("fragrance", "1", phase="oil", portion="rose"),
    ]
    made = hlb.Formula(lines=lines, aims=hlb.Aims(batch=150, unit="g"))
    assert phase_sums(made) == pytest.approx({"water": 60, "oil": 15})


def words(formula: hlb.Formula) -> list[str]:
    kind = product_type(formula.product_type)
    return [w.words for w in ways_to_whole(formula, kind, LIB)]


def test_each_way_leads_to_a_whole() -> None:
    lines = [hlb.Line("water", 70, phase="water"), hlb.Line("olive oil", 28, phase="oil")]
    made = hlb.Formula(lines=lines)
    for way in ways_to_whole(made, product_type("o/w cream"), LIB):
        assert way.formula.total_pct == pytest.approx(100, abs=1e-6)


@pytest.mark.parametrize(
    ("product", "amounts", "wanted"),
    [
        ("o/w cream", {"olive oil": 20}, ["Fill up with water, 80 %"]),
        ("o/w cream", {"water": 71, "olive oil": 30}, ["Take 1 % from the water", "Rescale all lines"]),
        ("cleansing balm", {"olive oil": 95}, ["Rescale all lines"]),
        ("cleansing balm", {"olive oil": 40}, []),
        ("whipped butter", {"shea butter": 95}, ["Rescale all lines"]),
        ("o/w cream", {"water": 1, "olive oil": 60, "shea butter": 59.5}, []),
        ("o/w cream", {"water": 75, "olive oil": 25}, []),
    ],
)
def test_only_what_is_sensible_is_offered(product: str, amounts: dict[str, float], wanted: list[str]) -> None:
    lines = [hlb.Line(n, f"{a} %", phase="oil") for n, a in amounts.items()]
    assert words(hlb.Formula("", product, lines)) == wanted
