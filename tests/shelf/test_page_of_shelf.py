"""What the page of the shelf works out and says of it."""

from __future__ import annotations

import pytest

from hlbcore import Aims, Formula, InvalidInput, Line, example_formula, screen, work_out
from hlbcore.shelf.buying import buying
from hlbcore.shelf.carry import carried
from hlbcore.shelf.packs import StockItem
from hlbcore.shelf.planned import runs_short, short_words
from hlbcore.shelf.screening import screened
from hlbcore.shelf.sheet import ShelfSheet, work_out_shelf
from hlbcore.shelf.stock import Stock
from hlbcore.shelf.words import headline, listed

FOUR = ("sorbitan stearate", "polysorbate 60", "sorbitan oleate", "polysorbate 80")
SHELF = Stock(tuple(map(StockItem, FOUR)))
CREAM = work_out(example_formula())


def test_blank_fields_take_what_the_formula_asks() -> None:
    made = work_out_shelf(CREAM, SHELF, ShelfSheet())
    assert CREAM.required is not None
    assert made.target == CREAM.required.value
    assert made.screening is not None
    assert made.screening.asked.window == CREAM.window


def test_what_is_typed_goes_before_the_formula() -> None:
    made = work_out_shelf(CREAM, SHELF, ShelfSheet(target="11", total="4 to 6", window="0.5"))
    assert (made.target, made.total, made.errors) == (11.0, (4.0, 6.0), {})
    assert made.screening is not None
    assert made.screening.asked.window == 0.5


def test_a_field_that_cannot_be_read_is_told_and_nothing_is_screened() -> None:
    made = work_out_shelf(CREAM, SHELF, ShelfSheet(target="mild", total="x", window="-1"))
    assert set(made.errors) == {"target", "total", "window"}
    assert made.screening is made.buying is None
    assert headline(made, whole_table=False) == ""


def test_without_an_oil_phase_the_middle_of_the_scale_is_asked() -> None:
    assert work_out_shelf(work_out(Formula()), SHELF, ShelfSheet()).target == 10.0


@pytest.mark.parametrize(
    ("stock", "asked", "said"),
    [
        (Stock(), ShelfSheet(), "Nothing is on the shelf yet: tick what you have."),
        (
            Stock((StockItem("polysorbate 80"),)),
            ShelfSheet(target="5"),
            "No system of your shelf meets HLB 5.0 ± 1.",
        ),
        (
            Stock((StockItem("polysorbate 80"),)),
            ShelfSheet(target="15"),
            "From your shelf 1 system meets HLB 15.0 ± 1.",
        ),
    ],
)
def test_the_headline_counts_the_systems(stock: Stock, asked: ShelfSheet, said: str) -> None:
    assert headline(work_out_shelf(CREAM, stock, asked), whole_table=False) == said


def test_listed_systems_keep_their_number_in_the_order() -> None:
    found = screened(FOUR, 10.0)
    every, varied = listed(found, every=True), listed(found, every=False)
    assert [x["nr"] for x in every] == list(range(1, len(every) + 1))
    assert all(every[x["nr"] - 1]["system"] == x["system"] for x in varied)  # type: ignore[operator]


def test_pairs_of_families_stand_on_both_sides_of_the_hlb_asked() -> None:
    found = screened((*FOUR, "steareth-2", "steareth-21"), 10.0)
    pairs = found.family_pairs(2)
    assert pairs[0] in {("sorbitan stearate", "polysorbate 60"), ("sorbitan oleate", "polysorbate 80")}
    assert len({frozenset(name.split()[0].split("-")[0] for name in pair) for pair in pairs}) == 2


def test_a_product_for_dispersal_ranks_one_hydrophilic_alone_first() -> None:
    table = screen(["polysorbate 80", "sorbitan oleate"], 14.5, product="wash-off scrub")
    assert list(table["amounts"][0]) == ["polysorbate 80"]
    assert list(screen(["polysorbate 80", "sorbitan oleate"], 14.5)["amounts"][0]) != ["polysorbate 80"]


def test_half_a_system_cannot_be_listed() -> None:
    with pytest.raises(InvalidInput, match=r"top: 2\.5 is no whole number"):
        screen(FOUR, 10.0, top=2.5)  # type: ignore[arg-type]


def test_a_phase_that_hlb_has_no_say_in_is_no_target() -> None:
    butter = Formula("Butter", "whipped butter", [Line("shea butter", 100)])
    made = buying(["sorbitan oleate"], [butter, 10.0])
    assert any("it has no say in a whipped butter" in note for note in made.notes)


def test_a_system_carried_over_keeps_the_place_and_the_active_part() -> None:
    lines = [
        Line("water", 76, phase="water"),
        Line("sunflower oil", 20, phase="oil"),
        Line("polysorbate 80", 4, active=50, phase="oil"),
    ]
    made = carried(
        work_out(Formula("x", "o/w cream", lines)), {"sorbitan oleate": 1.0, "polysorbate 80": 2.5}
    )
    assert [(x.name, x.pct) for x in made.lines] == [
        ("water", 74.0),
        ("sunflower oil", 20.0),
        ("polysorbate 80", 5.0),
        ("sorbitan oleate", 1.0),
    ]


def test_a_formula_that_does_not_add_up_or_holds_no_water_is_carried_without_filling() -> None:
    system = {"polysorbate 80": 2.5}
    half = Formula(lines=[Line("water", 50), Line("sunflower oil", 20)])
    assert carried(work_out(half), system).lines[0].pct == 50
    dry = Formula(lines=[Line("sunflower oil", 96), Line("polysorbate 80", 4)])
    assert carried(work_out(dry), system).total_pct == 98.5


def test_what_a_batch_takes_is_compared_with_the_shelf() -> None:
    cream = work_out(
        Formula(
            lines=[Line("water", 70), Line("shea butter", 26), Line("polysorbate 80", 4)],
            aims=Aims(batch="500 g"),
        )
    )
    said = []
    for shea, p80 in (("1 kg", "20"), ("100", "20"), ("100", "")):
        short = runs_short(cream, Stock((StockItem("shea butter", shea), StockItem("polysorbate 80", p80))))
        assert short is not None
        assert short.needs == {"shea butter": 130.0, "polysorbate 80": 20.0}
        said.append(short_words(short, "500 g"))
    assert said == [
        "The shelf holds all that 500 g takes.",
        "For 500 g: 1 of 2 run short.",
        "For 500 g: 1 of 2 run short, 1 without an amount on the shelf.",
    ]


@pytest.mark.parametrize(
    "formula",
    [Formula(lines=[Line("shea butter", 9)], aims=Aims(batch="")), Formula(lines=[Line("water", 100)])],
    ids=["no batch", "nothing but water"],
)
def test_without_a_batch_or_amounts_nothing_runs_short(formula: Formula) -> None:
    assert runs_short(work_out(formula), SHELF) is None
