"""Suppliers' sheets: typed once, kept with the material, used in every formula."""

from __future__ import annotations

import json

import pytest

import hlbcore as hlb
from hlbcore import Formula, InvalidInput, Line, OwnSheet, load_library, work_out
from hlbcore.errors import UnknownIngredient
from hlbcore.formula.sheets import sheet_of_line, without_sheet
from hlbcore.own import own_from_json, own_in_words, own_to_json, sheet_that_fits
from hlbcore.sheets import own_sheet

SHEET = OwnSheet("meadow wax", 4, 6, oil_high_pct=25, ph_low=5, ph_high=8, hlb=11)


def cream(*lines: Line, ph: float | None = None, sheets: tuple[OwnSheet, ...] = (SHEET,)) -> hlb.Worked:
    rest = 100 - sum(x.pct for x in lines)
    facts = hlb.Facts(ph=ph) if ph is not None else None
    made = Formula("x", "o/w cream", [Line("water", rest, phase="water"), *lines], facts=facts or hlb.Facts())
    return work_out(made, load_library(overlay=sheets))


OIL = Line("olive oil", 20, phase="oil")


@pytest.mark.parametrize(
    ("dose", "oil", "ph", "word", "said"),
    [
        (5, 20, None, "in its supplier's range", "4 to 6 %"),
        (7, 20, None, "outside its supplier's range", "7 % of the formula, the supplier says 4 to 6 %"),
        (5, 30, None, "outside its supplier's range", "30 % oil phase, the supplier says up to 25 %"),
        (5, 20, 4.2, "outside its supplier's range", "pH 4.2, the supplier says 5 to 8"),
    ],
)
def test_a_kept_sheet_judges_a_new_emulsifier_in_every_formula(
    dose: float, oil: float, ph: float | None, word: str, said: str
) -> None:
    found = cream(Line("olive oil", oil, phase="oil"), Line("Meadow Wax", dose, phase="oil"), ph=ph)
    assert (found.verdict.rule, found.verdict.word) == ("supplier's rate", word)
    assert said in found.verdict.sentence
    assert "HLB 11.0 by its maker, for orientation only" in found.verdict.sentence
    assert not [p for p in found.problems if p.field == "name"]


def test_a_rate_typed_in_the_line_leads_over_the_kept_sheet_and_the_sheet_over_the_tables() -> None:
    typed = Line("meadow wax", 8, phase="oil", supplier_rate="7 to 9 % of the formula")
    assert cream(OIL, typed).verdict.word == "in its supplier's range"
    olive = OwnSheet("cetearyl olivate, sorbitan olivate", 1, 2)
    line = Line("Sorbitan Olivate (and) Cetearyl Olivate", 5, phase="oil")
    assert cream(OIL, line).verdict.word == "in its supplier's range"  # 2 to 8 % in the tables
    assert cream(OIL, line, sheets=(olive,)).verdict.word == "outside its supplier's range"


def test_a_sheet_of_a_plain_nonionic_leaves_hlb_the_judge_and_brings_its_figure() -> None:
    pair = (Line("sorbitan stearate", 2, phase="oil"), Line("polysorbate 60", 3, phase="oil"))
    found = cream(OIL, *pair, sheets=(OwnSheet("polysorbate 60", 1, 3, hlb=14.5),))
    assert found.verdict.rule == "HLB"
    assert found.blend is not None
    assert found.blend.value == pytest.approx((2 * 4.7 + 3 * 14.5) / 5)


def test_the_last_sheet_of_a_material_holds() -> None:
    lib = load_library(overlay=[SHEET, OwnSheet("MEADOW WAX", 1, 2)])
    held = lib.sheet("meadow wax")
    assert held is not None
    assert held.text == "1 to 2 % of the formula"


def test_a_sheet_changes_the_digest_and_no_sheet_does_not() -> None:
    assert load_library(overlay=[SHEET]).digest != load_library().digest
    assert load_library(overlay=[hlb.OwnReading("shea butter", 9.0)]).digest != load_library().digest


def test_a_sheet_is_written_and_read_again() -> None:
    text = own_to_json(SHEET)
    assert json.loads(text)["schema"] == "hlbcore own sheet"
    assert own_from_json(text) == SHEET
    assert own_in_words(SHEET) == (
        "supplier's sheet: 4 to 6 % of the formula, up to 25 % oil phase, pH 5 to 8, HLB 11"
    )


def test_a_sheet_is_kept_and_used() -> None:
    with hlb.Store(in_memory=True) as store:
        store.add_own(SHEET, who="me")
        assert load_library(overlay=store.overlay()).sheet("meadow wax") == SHEET


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"rate": "4 to 6"}, r"rate: '4 to 6' has no basis. .*% of the formula, oil phase, water phase"),
        ({"rate": "4 % of the jar"}, "'jar' is no basis of a rate"),
        ({"rate": "6 to 4 % of the formula"}, "the low end 6 lies above the high end 4"),
        ({"rate": "-1 % of the formula"}, "rate"),
        ({"rate": "1e308 % of the formula"}, "rate"),
        ({"rate": "nan % of the formula"}, "rate"),
        ({"rate": "some % of the formula"}, "rate"),
        ({"oil_limit": "120"}, "oil limit: 120"),
        ({"ph": "5 to 15"}, "pH: 15"),
        ({"hlb": "41"}, "HLB: 41"),
        ({"hlb": "<b>9</b>"}, "HLB"),
        ({}, "it holds no figure"),
    ],
)
def test_a_sheet_that_cannot_be_used_is_refused_with_its_field(given: dict[str, str], said: str) -> None:
    with pytest.raises(InvalidInput, match=said):
        own_sheet("meadow wax", **given)  # type: ignore[arg-type]


def test_a_sheet_without_a_name_is_refused() -> None:
    with pytest.raises(InvalidInput, match="the name is blank"):
        own_sheet("  ", rate="4 % of the formula")


def test_what_is_no_emulsifier_takes_no_sheet() -> None:
    with pytest.raises(UnknownIngredient, match="'olive oil' is no emulsifier"):
        sheet_that_fits(OwnSheet("olive oil", 1, 3), load_library())


def test_typed_texts_are_read_with_commas_and_open_ends() -> None:
    made = own_sheet("x wax", rate="2,5 - 4 % of the oils", oil_limit="up to 30 %", ph="≥ 5", hlb="10,5")
    assert made.text == "2.5 to 4 % of the oil phase, up to 30 % oil phase, pH 5 or more, HLB 10.5"


def test_the_sheet_of_a_line_is_kept_and_leaves_the_line() -> None:
    line = Line("meadow wax", 5, supplier_rate="4 to 6", oil_limit="25", own="9", counts="emulsifier")
    made = sheet_of_line(line)
    assert made == OwnSheet("meadow wax", 4, 6, oil_high_pct=25, hlb=9)
    bare = without_sheet(line)
    assert (bare.supplier_rate.text, bare.oil_limit.text, bare.own.text) == ("", "", "")
    assert bare.amount == line.amount


def test_what_an_earlier_sheet_says_and_the_line_leaves_blank_stays() -> None:
    line = Line("meadow wax", 5, supplier_rate="5 to 7 % of the formula")
    made = sheet_of_line(line, load_library(overlay=[SHEET]))
    assert made.text == "5 to 7 % of the formula, up to 25 % oil phase, pH 5 to 8, HLB 11"


def test_a_line_without_figures_or_with_one_that_cannot_be_read_gives_no_sheet() -> None:
    with pytest.raises(InvalidInput, match="it holds no figure"):
        sheet_of_line(Line("meadow wax", 5))
    with pytest.raises(InvalidInput, match="supplier's rate"):
        sheet_of_line(Line("meadow wax", 5, supplier_rate="much"))
