"""What a draft of a list of ingredients does with formulas, bought blends and bad input."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import hlbcore as hlb
from hlbcore import Composite, Facts, Formula, InvalidInput, Line
from hlbcore.batch.label import LabelWords, label_items
from hlbcore.batch.label_contents import net_contents, net_contents_eu, net_contents_us, tolerable_error_words
from hlbcore.batch.record_start import start_record

CREAM = [
    Line("water", 70.2),
    Line("sunflower oil", 12),
    Line("shea butter", 8),
    Line("glycerin", 4),
    Line("polysorbate 60", 3),
    Line("cetyl alcohol", 1),
    Line("fragrance", 1),
    Line("xanthan gum", 0.3),
    Line("iron oxides", 0.5),
]


def cream(*more: Line, **given: object) -> Formula:
    used = sum(x.pct for x in more)
    first = Line("water", round(70.2 - used, 9))
    return Formula("Cream", "o/w cream", [first, *CREAM[1:], *more], **given)  # type: ignore[arg-type]


def test_names_and_order_of_both_markets() -> None:
    assert hlb.declare(cream(), "us").ingredients == (
        "Water, Helianthus Annuus (Sunflower) Seed Oil, Butyrospermum Parkii (Shea) Butter, Glycerin, "
        "Polysorbate 60, Cetyl Alcohol, Fragrance, Xanthan Gum, Iron Oxides"
    )
    assert hlb.declare(cream(), "EU").ingredients == (
        "Aqua, Helianthus Annuus Seed Oil, Butyrospermum Parkii Butter, Glycerin, "
        "Polysorbate 60, Cetyl Alcohol, Parfum, Xanthan Gum, Iron Oxides"
    )


def test_one_percent_exactly_is_free_in_the_us_and_sorted_in_the_eu() -> None:
    for market, group in (("us", "any order"), ("eu", "sorted")):
        table = hlb.declare(cream(), market).table.set_index("ingredient")
        assert table.loc["Cetyl Alcohol", "group"] == group
        assert table.loc["Xanthan Gum", "group"] == "any order"
        assert bool(table.loc["Cetyl Alcohol", "tie"])


def test_the_order_of_the_lines_does_not_matter() -> None:
    expected = hlb.declare(cream(), "us").ingredients
    for seed in range(5):
        lines = list(CREAM)
        random.Random(seed).shuffle(lines)
        assert hlb.declare(Formula("x", "o/w cream", lines), "us").ingredients == expected


NAMES = (
    *("sunflower oil", "shea butter", "cetyl alcohol", "emulsifying wax NF", "glycerin", "xanthan gum"),
    *("lavender oil", "fragrance", "iron oxides", "mica (and) titanium dioxide", "lactic acid 80 %"),
    *("phenoxyethanol with ethylhexylglycerin", "nobody's oil", "house wax", "Aqua", "CI 77491"),
)
HOUSE_WAX = "house wax: cetyl alcohol 70 (60 to 80), polysorbate 60 20 (10 to 30), water 10"


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from(NAMES), st.integers(1, 60)), min_size=1, max_size=12),
    st.sampled_from(("us", "eu")),
    st.randoms(use_true_random=False),
)
def test_every_list_adds_up_and_stands_in_order(
    held: list[tuple[str, int]], market: str, chance: random.Random
) -> None:
    lines = [Line(name, n / 10) for name, n in held]
    lines.append(Line("water", 100 - sum(n for _, n in held) / 10))
    draft = hlb.declare(Formula("x", "o/w cream", lines, blends=HOUSE_WAX), market)
    table = draft.table
    assert table["ingredient"].is_unique
    assert table.loc[~table["allergen"], "pct"].sum() == pytest.approx(100)
    assert ((table["low_pct"] <= table["pct"] + 1e-9) & (table["pct"] <= table["high_pct"] + 1e-9)).all()
    groups = table["group"].tolist()
    assert groups == sorted(groups, key=["sorted", "any order", "colour"].index)
    for _, rows in table.groupby("group"):
        assert rows["pct"].round(9).is_monotonic_decreasing
    chance.shuffle(lines)
    again = hlb.declare(Formula("x", "o/w cream", lines, blends=HOUSE_WAX), market)
    assert [r.base for r in again.lists[0].entries] == [r.base for r in draft.lists[0].entries]


def test_a_sum_of_parts_at_the_border_is_not_lifted_by_rounding() -> None:
    blend = "mix: xanthan gum 20, glycerin 80"
    lines = [Line("water", 95), Line("mix", 5)]  # 5 x 0.2 is not quite 1 in binary
    table = hlb.declare(Formula("x", "o/w cream", lines, blends=blend), "us").table
    assert table["group"].tolist() == ["sorted", "sorted", "any order"]


def test_water_of_a_juice_and_a_solution_is_one_water() -> None:
    lines = [Line("aqua", 80), Line("lactic acid 80 %", 5), Line("glycerin", 15)]
    draft = hlb.declare(Formula("x", "o/w cream", lines), "eu")
    table = draft.table.set_index("ingredient")
    assert table["pct"].to_dict() == pytest.approx({"Aqua": 81, "Glycerin": 15, "Lactic Acid": 4})
    assert (table.loc["Aqua", "low_pct"], table.loc["Aqua", "high_pct"]) == pytest.approx((80, 81))
    assert "80 % active: the other 20 % is taken for water" in draft.open_points[0]


def test_a_part_of_nothing_is_not_listed() -> None:
    lines = [Line("water", 90), Line("mix", 10), Line("mica", 0)]
    formula = Formula("x", "o/w cream", lines, blends="mix: glycerin 100, xanthan gum 0")
    assert hlb.declare(formula, "us").names == ("Water", "Glycerin")


def test_a_ready_wax_of_the_tables_is_its_parts_with_ranges() -> None:
    lines = [Line("water", 92), Line("emulsifying wax NF", 6), Line("cetearyl alcohol", 2)]
    draft = hlb.declare(Formula("x", "o/w cream", lines), "us")
    assert draft.names == ("Water", "Cetearyl Alcohol", "Polysorbate 60")
    row = draft.table.set_index("ingredient").loc["Cetearyl Alcohol"]
    assert (row["low_pct"], row["high_pct"]) == pytest.approx((6.2, 7.4))  # 70 to 90 % of the wax
    assert "those of a page of its kind" in draft.open_points[0]


def test_parts_without_shares_stand_as_the_supplier_lists_them() -> None:
    lines = [Line("water", 98), Line("Phenylpropanol (and) Caprylyl Glycol", 2)]
    draft = hlb.declare(Formula("x", "o/w cream", lines), "us")
    assert draft.names == ("Water", "Phenylpropanol", "Caprylyl Glycol")
    assert draft.table["high_pct"].tolist()[1:] == [2, 2]
    assert "not known" in draft.open_points[0]
    assert "do not settle the place of: Phenylpropanol (0 to 2 %)" in draft.open_points[1]


def test_the_inci_name_typed_for_a_single_ingredient_stays() -> None:
    lines = [Line("Aqua", 90), Line("Olea Europaea Oil", 6), Line("Persea Americana Fruit Oil", 4)]
    assert hlb.declare(Formula("x", "o/w cream", lines), "eu").names[1:] == (
        "Olea Europaea Oil",
        "Persea Americana Fruit Oil",
    )


@pytest.mark.parametrize(
    ("typed", "us", "eu"),
    [
        ("AQUA", "Water (Aqua)", "Aqua"),
        ("aqua/water", "Water (Aqua)", "Aqua (Water)"),
        ("BUTYROSPERMUM PARKII BUTTER", "Butyrospermum Parkii (Shea) Butter", "Butyrospermum Parkii Butter"),
        (
            "Butyrospermum Parkii (Organic) Butter",
            "Butyrospermum Parkii (Shea) Butter",
            "Butyrospermum Parkii Butter",
        ),
        (
            "prunus amygdalus dulcis (almond) oil",
            "Prunus Amygdalus Dulcis (Almond) Oil",
            "Prunus Amygdalus Dulcis Oil",
        ),
        ("PEG-100 STEARATE", "PEG-100 Stearate", "PEG-100 Stearate"),
        ("SOME OTHER ESTER", "Some Other Ester", "Some Other Ester"),
        ("candelilla wax", "Euphorbia Cerifera (Candelilla) Wax", "Euphorbia Cerifera Cera"),
        ("mineral oil", "Mineral Oil", "Paraffinum Liquidum"),
        ("vitamin E", "Tocopherol", "Tocopherol"),
        ("beta-carotene", "Beta-Carotene", "Beta-Carotene"),
    ],
)
def test_a_name_is_written_as_its_market_writes_it(typed: str, us: str, eu: str) -> None:
    formula = Formula("x", "o/w cream", [Line(typed, 60), Line("kaolin", 40)])
    for market, name in (("us", us), ("eu", eu)):
        assert name in hlb.declare(formula, market).names


def test_an_open_point_stands_at_the_top_and_the_list_below_it() -> None:
    text = hlb.declare(cream(), "eu").text
    assert text.startswith("DRAFT for the EU with 2 open points and 6 blanks.\n\nIngredients: Aqua, ")
    assert text.endswith("a qualified person checks it, and the current text of the law decides.\n")


def test_a_name_that_nobody_knows_is_printed_and_asked_about() -> None:
    draft = hlb.declare(cream(Line("Zork Guard", 0.4)), "us")
    assert "Zork Guard" in draft.names
    assert "'Zork Guard'. A trade name may not stand." in draft.open_points[0]


def test_nothing_typed_runs_or_breaks_the_list() -> None:
    draft = hlb.declare(cream(Line("<script>alert(1)</script>", 0.2), Line("=1+1", 0.1)), "us")
    assert "<script>" in draft.text.casefold()  # as typed; pages write it safely
    assert draft.table["pct"].sum() == pytest.approx(100)


def test_a_powder_that_is_also_the_colour_stands_once_in_the_us() -> None:
    lines = [Line("water", 97), Line("titanium dioxide", 2), Line("titanium dioxide", 1, counts="colour")]
    formula = Formula("x", "o/w cream", lines)
    assert hlb.declare(formula, "us").names == ("Water", "Titanium Dioxide")
    assert hlb.declare(formula, "eu").names == ("Aqua", "Titanium Dioxide", "CI 77891")


def test_portions_have_a_list_each() -> None:
    lines = [Line("sugar", 60), Line("olive oil", 40), Line("fragrance", 1, portion="rose")]
    formula = Formula("Scrub", "wash-off scrub", lines, portions="rose 50, plain 50")
    draft = hlb.declare(formula, "us")
    assert [x.name for x in draft.lists] == ["rose", "plain"]
    assert draft.ingredients.splitlines()[1] == "plain: Sucrose, Olea Europaea (Olive) Fruit Oil"
    assert draft.table["pct"].iloc[0] == pytest.approx(60 / 1.01)
    with pytest.raises(InvalidInput, match=r"'plain': it differs from the others by more than its colours"):
        hlb.declare(formula, "us", portions="shades")


# allergens


@pytest.mark.parametrize(("product", "named"), [("o/w cream", True), ("wash-off scrub", False)])
def test_linalool_is_named_left_on_and_not_rinsed_off(product: str, named: bool) -> None:
    # need 36: 0.005 % linalool
    lines = [Line("water", 99.5), Line("fragrance", 0.5)]
    facts = Facts(fragrance_allergens=(("linalool", 1),))
    assert ("Linalool" in hlb.declare(Formula("x", product, lines, facts=facts), "eu").names) == named


def test_the_us_list_names_no_allergens() -> None:
    facts = Facts(fragrance_allergens=(("linalool", 10),))
    assert "Linalool" not in hlb.declare(cream(facts=facts), "us").text


def test_a_plant_and_what_is_in_it_are_both_named_in_their_place() -> None:
    # example of a teaching page: 1.2 % lavender oil with 38 % linalool
    facts = Facts(fragrance_allergens=(("Linalool", 38), ("(R)-linalool", 1)))
    lines = [Line("water", 98.8), Line("lavender oil", 1.2)]
    draft = hlb.declare(Formula("x", "o/w cream", lines, facts=facts), "eu")
    assert draft.names == ("Aqua", "Lavandula Angustifolia Oil", "Lavandula Oil/Extract", "Linalool")
    assert draft.table["pct"].tolist()[3] == pytest.approx(1.2 * 0.39)
    assert draft.open_points == ()


def test_a_preservative_that_is_an_allergen_is_listed_once_with_all_of_it() -> None:
    facts = Facts(fragrance_allergens=(("benzyl alcohol", 50),))
    draft = hlb.declare(cream(Line("benzyl alcohol", 0.8), facts=facts), "eu")
    row = draft.table.set_index("ingredient").loc["Benzyl Alcohol"]
    assert row["pct"] == pytest.approx(1.3)


def test_a_sheet_without_a_scent_is_an_open_point() -> None:
    facts = Facts(fragrance_allergens=(("linalool", 10),))
    draft = hlb.declare(
        Formula("x", "o/w cream", [Line("water", 99), Line("my scent", 1)], facts=facts), "eu"
    )
    assert "no fragrance and no essential oil is known" in draft.open_points[0]


def test_what_is_prohibited_is_an_open_point() -> None:
    facts = Facts(fragrance_allergens=(("HICC", 1),))
    assert "'HICC' is prohibited in the EU" in " ".join(hlb.declare(cream(facts=facts), "eu").open_points)


# bad input


@pytest.mark.parametrize(
    ("made", "told"),
    [
        (lambda: Formula(), r"the formula has no lines. Enter its ingredients first"),
        (lambda: Formula(lines=[Line("water", 90)]), r"adds to 90 %: 10 % is missing"),
        (
            lambda: Formula(lines=[Line("water", 90), Line("olive oil", 57)]),
            r"adds to 147 %: 47 % is too much",
        ),
        (
            lambda: Formula(lines=[Line("water", 100), Line("rose oil", "3 drops")]),
            r"'rose oil': 'drops' is not a unit",
        ),
        (lambda: Formula(lines=[Line("water", 100), Line("menthol")]), r"'menthol' has no amount by mass"),
        (lambda: Formula(lines=[Line("water", 60), Line("", 40)]), r"line 2 has no name"),
        (lambda: Formula(lines=[Line("water", 0)]), r"adds to 0 %"),
        (
            lambda: Formula(lines=[Line("wax", 100)], blends=[Composite("wax", ())]),
            r"blend 'wax': it has no parts. Write them with their % of the blend",
        ),
        (
            lambda: Formula(lines=[Line("wax", 100)], blends="wax: cetyl alcohol 60, polysorbate 60 36"),
            r"blend 'wax': its parts add to 96 %, not 100 %",
        ),
        (
            lambda: Formula(lines=[Line("water", 100), Line("mica", 1, portion="blue")]),
            r"belongs to portion 'blue', which is not there",
        ),
    ],
)
def test_what_is_not_whole_is_refused_in_a_sentence(made: Callable[[], Formula], told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        hlb.declare(made())


def test_unknown_choices_are_refused_by_name() -> None:
    with pytest.raises(InvalidInput, match="market"):
        hlb.declare(cream(), "mars")
    with pytest.raises(InvalidInput, match="portions"):
        hlb.declare(cream(), "us", portions="mixed")
    with pytest.raises(InvalidInput, match=r"left out 'Water': no such ingredient came within"):
        hlb.declare(cream(), "us", leave_out=["Water"])
    with pytest.raises(InvalidInput, match="a dict is no formula"):
        hlb.declare({"water": 100})  # type: ignore[arg-type]


# from a record


def test_a_closed_record_is_declared_as_weighed() -> None:
    # 8 g of 70 g water boiled off: the US counts what is in the jar, the EU what went in
    formula = Formula(
        "Lotion",
        "light o/w lotion",
        [
            Line("water", 60, phase="water"),
            Line("olive oil", 31, phase="oil"),
            Line("glycerin", 9, phase="water"),
        ],
        aims=hlb.Aims(batch="100 g"),
    )
    record = start_record(
        hlb.batch_sheet(formula, 100.0), number="20260301-1", made_on="2026-03-01", who="Ana"
    )
    with pytest.raises(InvalidInput, match=r"'20260301-1': it is not closed"):
        hlb.declare(record, "us")
    for n, row in enumerate(record.rows):
        record = record.enter("weighed", row.text, where=str(n)).enter("lot", "7", where=str(n))
    record = record.enter("vessel before", "200").enter("vessel after", "192").close(who="Ana")
    us, eu = hlb.declare(record, "us"), hlb.declare(record, "eu")
    assert us.table["pct"].tolist() == pytest.approx([100 * x / 92 for x in (52, 31, 9)])
    assert eu.table["pct"].tolist() == pytest.approx([60, 31, 9])
    assert "Batch number (Art. 19(1)(e)): 20260301-1" in eu.text


# what else a label owes


def test_blanks_are_named_with_their_section_until_they_are_filled() -> None:
    text = hlb.declare(cream(), "eu").text
    assert "Batch number (Art. 19(1)(e)): ________" in text
    words = LabelWords(batch="B 7", responsible="Ada Field, 1 Mill Lane")
    draft = hlb.declare(cream(), "eu", words=words)
    assert "Batch number (Art. 19(1)(e)): B 7" in draft.text
    assert [i.title for i in draft.blanks] == [
        "Name and function",
        "Net contents",
        "Best before or period after opening",
        "Precautions",
    ]


@pytest.mark.parametrize("market", ["us", "eu"])
def test_every_duty_of_a_label_has_a_section(market: str) -> None:
    items = label_items(market)
    assert all(i.section and i.hint for i in items)
    fields = {"identity", "net_contents", "batch", "durability", "precautions", "responsible", "origin"}
    assert {i.field for i in items if not i.must} == {"origin"} | (
        {"durability", "batch"} if market == "us" else set()
    )
    assert {i.field for i in items} == fields | ({"contact"} if market == "us" else set())


@pytest.mark.parametrize(
    ("amount", "written"),
    [
        # 21 CFR 701.13(j), (k), from memory: both below 4 lb or 1 gallon, whole units first from there up
        ({"g": 2000}, "Net Wt 4 lb 6.54 oz (2 kg)"),
        ({"g": 4 * 453.59237}, "Net Wt 4 lb (1.81 kg)"),
        ({"ml": 56 * 29.5735295625}, "56 fl oz (1 qt 1 pt 8 fl oz) 1.65 L"),
    ],
)
def test_net_contents_of_large_packages_in_the_us(amount: dict[str, float], written: str) -> None:
    assert net_contents_us(**amount) == written


def test_what_is_poured_is_written_by_volume_in_both_markets() -> None:
    assert net_contents("118,3 ml", "us", by_volume=True) == "4 fl oz (118 mL)"
    assert net_contents("250 ml", "eu", by_volume=True) == "250 ml"


@pytest.mark.parametrize("write", [net_contents_us, net_contents_eu])
@pytest.mark.parametrize(
    ("amount", "told"),
    [
        ({}, "give the mass or the volume, one of them"),
        ({"g": 50, "ml": 50}, "give the mass or the volume, one of them"),
        ({"g": 0}, "it is 0. Enter what one package holds"),
    ],
)
def test_net_contents_that_cannot_be_are_refused(write, amount: dict[str, float], told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        write(**amount)


@pytest.mark.parametrize("amount", [{"g": 0.1}, {"ml": 0.1}])
def test_less_than_can_be_written_in_ounces_is_refused(amount: dict[str, float]) -> None:
    with pytest.raises(InvalidInput, match=r"is below 0\.01"):
        net_contents_us(**amount)


def test_what_one_package_may_lack_is_told_for_the_eu_alone() -> None:
    # Directive 76/211/EEC, annex I: 9 % up to 50 g, 4.5 g from there to 100 g
    assert "may lack 3.6 g or ml" in tolerable_error_words("40 ml", "eu")
    assert "may lack 4.5 g or ml" in tolerable_error_words(80, "eu")
    assert tolerable_error_words(80, "us") == ""
    assert tolerable_error_words("4 g", "eu") == ""


# colours that may be in it, allergens of several scents


@pytest.mark.parametrize(
    ("market", "end"),
    [
        ("us", "Iron Oxides. May contain: Mica, Titanium Dioxide"),
        ("eu", "Iron Oxides, [+/- CI 77019 (Mica), CI 77891]"),
    ],
)
def test_colours_that_may_be_in_it_stand_after_the_rest_and_once(market: str, end: str) -> None:
    colours = ["mica", "iron oxides", "titanium dioxide"]
    assert hlb.declare(cream(), market, may_contain=colours).ingredients.endswith(end)


def test_a_sheet_of_allergens_covers_the_scent_it_was_written_for() -> None:
    sheet = Facts(fragrance_allergens="linalool 3 %")
    both = hlb.declare(cream(Line("lavender oil", 0.2), facts=sheet), "eu")
    assert any("what is in 'lavender oil' is not known" in p for p in both.open_points)
    oils = [Line("water", 99), Line("lavender oil", 0.5), Line("lemon oil", 0.5)]
    two = hlb.declare(Formula("x", "o/w cream", oils, facts=sheet), "eu")
    assert any("see that it is that of their mixture" in p for p in two.open_points)


def test_only_the_us_lets_what_came_within_be_left_out() -> None:
    assert hlb.declare(cream(), "eu").may_be_left_out == ()


@pytest.mark.parametrize(
    ("name", "listed", "asked"),
    [
        ("undecane and tridecane", "Aqua, Undecane, Tridecane", "the shares of its parts are not known"),
        (
            "benzyl alcohol with dehydroacetic acid",
            "Aqua, Benzyl Alcohol, Dehydroacetic Acid",
            "5 % of it is not named, and is taken for water",
        ),
    ],
)
def test_what_is_sold_together_is_listed_by_its_parts(name: str, listed: str, asked: str) -> None:
    draft = hlb.declare(Formula("x", "o/w cream", [Line("water", 99), Line(name, 1)]), "eu")
    assert draft.ingredients == listed
    assert any(asked in p for p in draft.open_points)
