"""Class ranges, ready emulsifiers and roots of the real tables."""

from __future__ import annotations

import pytest

from hlbcore import InvalidInput, Library
from hlbcore.estimate import NO_FIGURE, bounded
from hlbcore.ingredients import SYSTEMS


@pytest.mark.parametrize(
    ("name", "low", "value", "high"),
    [
        ("argan oil", 5, 7, 9),
        ("murumuru butter", 5, 8, 12),
        ("meadowfoam oil", 4, 7, 10),
        ("ethylhexyl palmitate", 9, 11, 13),
        ("decyl oleate", 6, 9, 12),
        ("isododecane", 9, 11, 13),
        ("octyldodecanol", 11, 13, 16),
        ("caprylyl methicone", 5, 8, 11),
        ("lavender essential oil", 11, 13, 16),
        ("fragrance", 11, 13, 16),
        ("butter", 5, 7, 9),
    ],
)
def test_what_has_no_figure_takes_its_class_range(
    library: Library, name: str, low: float, value: float, high: float
) -> None:
    found = library.class_estimate(name)
    assert found is not None
    assert (found.low, found.value, found.high, found.grade) == (low, value, high, "class range")
    assert found.sources


def test_class_where_sources_contradict_each_other_is_weak(library: Library) -> None:
    found = library.class_estimate("triheptanoin")
    assert found is not None
    assert (found.low, found.high, found.weak) == (5, 14, True)


@pytest.mark.parametrize("name", ["dicaprylyl ether", "tocopheryl acetate", "ether", "active"])
def test_kind_without_a_class_has_none_and_is_bounded(library: Library, name: str) -> None:
    assert library.class_estimate(name) is None
    assert (bounded().low, bounded().high) == NO_FIGURE == (4.0, 17.0)


@pytest.mark.parametrize("name", ["argan oil", "butter", "essential oil"])
def test_class_of_wo_is_never_filled_from_ow(library: Library, name: str) -> None:
    assert library.class_estimate(name, "w/o") is None


def test_unknown_emulsion_type_of_a_class_is_refused(library: Library) -> None:
    with pytest.raises(InvalidInput):
        library.class_estimate("argan oil", "o/o")


def test_every_class_names_ingredients_and_kinds_of_the_tables(library: Library) -> None:
    kinds = {i.kind for i in library}
    for row in library.classes:
        assert set(row.kinds) <= kinds
        assert set(row.ids) <= set(library.ingredients)


@pytest.mark.parametrize(
    "name",
    [
        "Glyceryl Stearate (and) PEG-100 Stearate",
        "PEG-100 stearate, glyceryl stearate",
        "peg-100 stearate + glyceryl stearate",
        "glyceryl stearate & PEG-100 stearate",
        "glyceryl stearate / PEG-100 stearate",
        "glyceryl stearate and PEG-100 stearate blend",
    ],
)
def test_ready_emulsifier_is_found_by_its_parts_in_any_order(library: Library, name: str) -> None:
    found = library.ready(name)
    assert found is not None
    assert (found.low_pct, found.high_pct, found.basis, found.role) == (1, 25, "formula", "ready o/w blend")
    assert not found.one_formula


def test_rate_read_off_one_formula_says_so(library: Library) -> None:
    found = library.ready("polyglyceryl-3 methylglucose distearate")
    assert found is not None
    assert found.one_formula
    assert not found.has_rate
    assert found.rate == "seen once: 3 % of the formula with 70 % oil"


def test_stated_range_comes_before_one_formula(library: Library) -> None:
    rows = library.ready_rows("cetearyl alcohol (and) cetearyl glucoside")
    assert len(rows) == 2
    assert [r.one_formula for r in rows] == [False, True]


def test_the_makers_sheet_comes_before_shops(library: Library) -> None:
    found = library.ready("glyceryl stearate SE")
    assert found is not None
    assert (found.low_pct, found.high_pct, found.ph_low, found.ph_high) == (6, 8, 6.8, 8.2)


@pytest.mark.parametrize("name", ["olive oil", "sorbitan oleate", "unheardof", ""])
def test_what_no_sheet_was_found_for_has_no_row(library: Library, name: str) -> None:
    assert library.ready(name) is None


def test_blend_without_a_row_is_taken_apart(library: Library) -> None:
    name = "Ceteareth-25 (and) Cetyl Alcohol (and) Behenyl Alcohol"
    assert library.ready(name) is None
    assert library.parts_of(name) == ("ceteareth-25", "cetyl alcohol", "behenyl alcohol")
    assert library.parts_of("olive oil") == ()


def test_unknown_part_of_a_blend_stays_named(library: Library) -> None:
    assert library.parts_of("cetyl alcohol + unheardof") == ("cetyl alcohol", "unheardof")


def test_own_items_keep_classes_and_rates() -> None:
    import hlbcore as hlb

    mine = hlb.load_library([hlb.OwnReading("shea butter", 9.0)])
    assert mine.ready("glyceryl stearate, PEG-100 stearate") is not None
    assert mine.class_estimate("argan oil") is not None


def test_every_part_of_every_ready_emulsifier_is_known(library: Library) -> None:
    odd = [p for r in library.rates for p in r.parts if library.find(p).by_kind]
    assert odd == []


def test_there_are_90_compositions_29_of_them_seen_once(library: Library) -> None:
    by_the_oils = sorted(r.name for r in library.rates if r.name.endswith(", by the oils"))
    assert by_the_oils == [
        "anionic emulsifying wax (BP type), by the oils",
        "emulsifying wax NF, by the oils",
    ]
    assert len(library.rates) - len(by_the_oils) == 90
    assert sum(r.one_formula for r in library.rates) == 29


@pytest.mark.parametrize(
    "name", ["sorbitan stearate", "polysorbate 60", "ceteareth-20", "PEG-100 stearate", "glyceryl stearate"]
)
def test_hlb_judges_the_nonionics_of_griffins_scale(library: Library, name: str) -> None:
    assert library.emulsifier(name).hlb_judges


@pytest.mark.parametrize(
    "name",
    [
        "glyceryl stearate (and) PEG-100 stearate",
        "cetearyl olivate (and) sorbitan olivate",
        "emulsifying wax NF",
        "cetearyl glucoside",
        "sucrose stearate",
        "polyglyceryl-3 methylglucose distearate",
        "glyceryl stearate citrate",
        "sodium stearoyl lactylate",
        "sodium stearoyl glutamate",
        "potassium cetyl phosphate",
        "glyceryl stearate SE",
        "behentrimonium methosulfate",
        "acrylates/C10-30 alkyl acrylate crosspolymer",
        "cetyl PEG/PPG-10/1 dimethicone",
        "PEG-30 dipolyhydroxystearate",
        "lecithin",
    ],
)
def test_the_supplier_judges_everything_sold_ready(library: Library, name: str) -> None:
    assert not library.emulsifier(name).hlb_judges


def test_every_emulsifier_says_how_it_works(library: Library) -> None:
    side = ("emulsifier", "all_in_one", "emulsifier_or_oil")
    assert [i.id for i in library if i.convention in side and i.system not in SYSTEMS] == []
    assert [i.id for i in library if i.system and i.convention not in side] == []


@pytest.mark.parametrize(
    "name", ["glyceryl stearate SE", "methyl glucose sesquistearate", "sucrose stearate"]
)
def test_an_emulsifier_whose_roots_are_far_apart_has_no_figure(library: Library, name: str) -> None:
    found = library.emulsifier(name)
    assert found.hlb is None
    assert found.hlb_printed is not None
    assert found.hlb_printed[1] - found.hlb_printed[0] > 3


def test_caprylic_capric_triglyceride_is_5_to_14_and_weak(library: Library) -> None:
    found = library.oil("caprylic/capric triglyceride").required_hlb()
    assert found is not None
    assert (found.low, found.high, found.weak, found.alternatives) == (5, 14, True, (5, 13.25))


@pytest.mark.parametrize("name", ["shea butter", "palm oil"])
def test_what_ladders_contradict_is_never_narrower_than_its_class(library: Library, name: str) -> None:
    found = library.oil(name).required_hlb()
    assert found is not None
    assert found.low <= 5
    assert found.high >= 9
    assert library.oil(name).caution("o/w")


def test_fifteen_pages_on_cetyl_alcohol_are_four_roots(library: Library) -> None:
    found = library.oil("cetyl alcohol").required_hlb()
    assert found is not None
    assert found.support == "4 independent roots (15 pages)"
    assert found.value == 15.5  # 15.1 was the median of pages and printed by none of them


def test_every_value_shown_is_printed_by_a_source_or_called_weak(library: Library) -> None:
    for i in library:
        for figure, rows in (
            (i.hlb, i.hlb_readings),
            (i.required_hlb("o/w"), i.ow_readings),
            (i.required_hlb("w/o"), i.wo_readings),
        ):
            assert figure is None or figure.weak or figure.value in {r.value for r in rows}, i.id
