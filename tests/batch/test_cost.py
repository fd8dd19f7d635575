"""What a batch and a jar cost, price lists, and their files."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import openpyxl
import pytest

import hlbcore as hlb
from hlbcore import Formula, InvalidInput, Line, Store
from hlbcore.batch.cost import OtherCost, cost
from hlbcore.batch.cost_saving import cheapest_saves
from hlbcore.batch.prices import Price, PriceList, price_changes, with_prices
from hlbcore.batch.prices_files import price_table, prices_csv, prices_xlsx, read_prices
from hlbcore.kept.kinds import PRICES
from hlbcore.typed import Typed

SAVED = Path(__file__).parents[1] / "saved" / "price_v1.json"
SPRING = PriceList(
    "Spring",
    "EUR",
    (
        Price("olive oil", 8, "1 kg", "Meadow supplies", "2026-03-01"),
        Price("olive oil", 9, "1 kg", "Hill supplies", "2026-05-01"),
        Price("beeswax", "7,50", "500 g", "Meadow supplies", "2026-03-01"),
        Price("shea butter", 4.535924, "1 lb"),
        Price("jar, 50 g", 30, "100 pieces"),
        Price("tap water", 0),
        Price("ribbon", 6, "20 pieces", per="jar", count=2),
    ),
)
BALM = Formula("Balm", "cleansing balm", [Line("Olea Europaea Fruit Oil", 75), Line("beeswax", 25)])


FATS = replace(SPRING, prices=SPRING.prices[:6])


def test_each_line_costs_its_share_of_its_pack() -> None:
    # by hand: 1 kg holds 750 g at 9 and 250 g at 15 EUR/kg; a jar of 50 g is a twentieth
    made = cost(BALM, FATS, batch="1 kg", jar=50)
    assert made.table["cost"].tolist() == pytest.approx([6.75, 3.75])
    assert (made.batch_cost, made.per_jar, made.jars) == pytest.approx((10.5, 0.525, 20))
    assert made.table["share_pct"].tolist() == pytest.approx([64.2857, 35.7143], abs=1e-4)
    assert made.words == (
        "One jar of 50 g costs 0.53 EUR; the batch of 1000 g costs 10.50 EUR and fills 20 jars."
    )


def test_loss_makes_each_jar_dearer_and_packaging_is_added() -> None:
    others = [OtherCost("jar, 50 g"), OtherCost("label", 0.2), OtherCost("work", 12, "batch", 0.5)]
    made = cost(BALM, FATS, batch=1000, jar=50, loss_pct=10, others=others)
    assert made.jars == 18
    assert made.per_jar == pytest.approx((10.5 + 6) / 20 + 0.5)
    assert made.per_jar_with_loss == pytest.approx((10.5 + 6) / 18 + 0.5)
    assert made.whole == pytest.approx(16.5 + 18 * 0.5)
    assert made.table["cost"].sum() == pytest.approx(made.whole)
    assert made.table["share_pct"].sum() == pytest.approx(100)


def test_without_any_price_no_sum_is_shown() -> None:
    made = cost(BALM, batch=1000, jar=50)
    assert made.headline == "No price yet"
    assert "0.00" not in made.words
    assert made.words.startswith("The batch of 1000 g fills 20 jars of 50 g. No price is known for ")


def test_packaging_of_the_list_is_counted_in_each_jar() -> None:
    made = cost(BALM, SPRING, batch=1000, jar=50)
    assert made.jar_extras == pytest.approx(2 * 6 / 20)
    assert made.table["kind"].tolist() == ["ingredient", "ingredient", "per jar"]
    assert made.table["cost"].tolist()[-1] == pytest.approx(made.jars * 2 * 6 / 20)
    assert "" not in made.table["from_list"].tolist()


def test_the_newest_price_counts_and_pounds_are_kilograms() -> None:
    library = hlb.load_library()
    found = SPRING.of("olive oil", library)
    assert found is not None
    assert (found.supplier, found.per_kg) == ("Hill supplies", 9)
    assert SPRING.prices[3].per_kg == pytest.approx(10, rel=1e-6)


def test_a_missing_price_is_named_and_never_0() -> None:
    formula = Formula("x", "o/w cream", [Line("water", 50), Line("jojoba oil", 50)])
    made = cost(formula, PriceList(prices=(Price("water", 0),)), batch=100, jar=10)
    assert made.missing == ("jojoba oil",)
    assert made.table["cost"].isna().tolist() == [False, True]
    assert "at least 0.00" in made.words
    assert "No price is known for 'jojoba oil'." in made.words


def test_a_price_typed_in_a_line_goes_first() -> None:
    formula = Formula("x", "cleansing balm", [Line("olive oil", 100, price=20)])
    assert cost(formula, SPRING, batch=1000, jar=100).batch_cost == pytest.approx(20)
    assert with_prices(formula, SPRING, hlb.load_library()) == formula
    assert with_prices(BALM, SPRING, hlb.load_library()).lines[0].price.value == 9


def test_portions_cost_by_what_goes_into_them() -> None:
    lines = [Line("olive oil", 100), Line("fragrance", 2, portion="rose", price=100)]
    formula = Formula("x", "cleansing balm", lines, portions="rose 50, plain 50")
    made = cost(formula, SPRING, batch=1000, jar=100)
    assert made.mass_g == pytest.approx(1010)
    assert made.batch_cost == pytest.approx(9 + 1)


@pytest.mark.parametrize(
    ("how", "told"),
    [
        (lambda: cost(BALM, SPRING, batch=0, jar=50), r"batch: 0 g is too small"),
        (lambda: cost(BALM, SPRING, batch="1 cup", jar=50), r"batch: 'cup' is not a unit of mass"),
        (lambda: cost(BALM, SPRING, batch=40, jar=50), r"jar: 50 g is more than the batch of 40 g"),
        (lambda: cost(BALM, SPRING, batch=100, jar=50, loss_pct=100), r"loss: 100 % is out of range"),
        (lambda: cost(Formula(), SPRING, batch=100, jar=50), r"cost: the formula has no amounts"),
        (lambda: OtherCost("lid", -1), r"cost 'lid': -1 is negative"),
        (lambda: OtherCost("lid", 1, "month"), r"counted by: 'month' is not one of the choices"),
        (lambda: Price("x", float("nan")), r"price of 'x': nan is not a finite number"),
        (lambda: PriceList(currency="€" * 10000), r"currency: the text has 10,000 characters"),
    ],
)
def test_what_cannot_be_counted_is_refused_in_a_sentence(how: object, told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        how()  # type: ignore[operator]


@pytest.mark.parametrize(
    ("price", "told"),
    [
        (Price("shea", "-3"), "price of 'shea': -3 is negative. Enter 0 or more."),
        (Price("shea", "dear"), "'dear' is not a number"),
        (Price("shea", "3", "0 g"), "a pack of 0 has no price per kg. Enter what one pack holds."),
        (Price("shea", "3", "500"), "'500' has no unit of mass. Write for example 500 g"),
        (Price("shea", "3", "250 ml"), "'ml' is not a unit of mass"),
        (Price("shea", "3", "1 kg", on="spring"), "'spring' is no date. Write year, month and day"),
    ],
)
def test_a_price_that_cannot_be_read_is_kept_with_its_sentence(price: Price, told: str) -> None:
    assert told in price.problems[0]
    held = PriceList("x", "EUR", (price,))
    assert PriceList.from_json(held.to_json()) == held
    assert cost(BALM, held, batch=100, jar=10).missing == ("Olea Europaea Fruit Oil", "beeswax")


def test_the_cost_in_words_says_what_is_lost_and_what_has_no_price() -> None:
    made = cost(BALM, FATS, batch=1000, jar=50, loss_pct=10)
    assert made.headline == "0.58 EUR a jar"
    assert made.words.startswith("One jar of 50 g costs 0.58 EUR with 10 % lost, 0.53 EUR with nothing lost;")
    half = cost(BALM, replace(FATS, prices=FATS.prices[:2]), batch=1000, jar=50)
    assert half.headline == "At least 0.34 EUR a jar"
    assert cost(BALM, batch=1000, jar=50).headline == "No price yet"


def test_a_price_says_what_a_kilogram_or_a_piece_costs() -> None:
    assert Price("beeswax", "7,50", "500 g").each_words("EUR") == "15.00 EUR per kg"
    assert Price("jar", 30, "100 pieces").each_words() == "0.30 each"
    assert Price("beeswax").each_words("EUR") == ""


def test_a_price_typed_badly_in_a_line_does_not_fall_back_on_the_list() -> None:
    lines = [Line("Olea Europaea Fruit Oil", 75, price="dear"), BALM.lines[1]]
    assert cost(replace(BALM, lines=lines), FATS, batch=1000, jar=50).missing == ("Olea Europaea Fruit Oil",)


# what the cheapest saves


def test_the_cheapest_says_what_it_saves() -> None:
    cream = hlb.example_formula()
    made = cheapest_saves(hlb.work_out(cream))
    assert made is not None
    assert made.cheapest <= made.now
    assert f"would save {made.now - made.cheapest:.2f}" in made.words
    again = cheapest_saves(
        hlb.work_out(hlb.work_out(replace(cream, aims=replace(cream.aims, goal="cheapest"))).made)
    )
    assert again is not None
    assert again.words == "No cheaper amounts of these emulsifiers meet what is asked."
    without = replace(cream, lines=tuple(replace(x, price=Typed()) for x in cream.lines))
    assert cheapest_saves(hlb.work_out(without)) is None


# files


def test_a_price_list_goes_out_and_comes_back_the_same() -> None:
    for data, name in ((prices_csv(SPRING), "Spring.csv"), (prices_xlsx(SPRING), "Spring.xlsx")):
        read = read_prices(data, name)
        assert [r.status for r in read.report] == ["taken"] * 7
        assert price_table(read.prices).equals(price_table(SPRING))


def test_numbers_stay_numbers_and_no_cell_runs() -> None:
    held = PriceList("x", "EUR", (Price("=1+1", 2.5, "1 kg", "@sum"),))
    page = openpyxl.load_workbook(io.BytesIO(prices_xlsx(held))).active
    assert page is not None
    assert [c.value for c in page[2]][:2] == ["'=1+1", 2.5]
    assert page["A2"].data_type == "s"
    assert read_prices(prices_xlsx(held), "x.xlsx").prices == held


def test_one_bad_row_never_stops_the_others() -> None:
    data = "Material;Price;Pack size;Unit;Shop;colour\nshea;12,5;500;g;Hill;red\n;3;1 kg;;;\noil;-1;1;kg;;\n"
    read = read_prices(data.encode(), "list.csv")
    assert [r.status for r in read.report] == ["taken", "wrong", "wrong"]
    assert read.prices.prices[0].per_kg == 25
    assert read.unread == ("colour",)
    with pytest.raises(InvalidInput, match="no column holds the price"):
        read_prices(b"ingredient;shelf\nshea;3\n", "x.csv")
    mixed = read_prices(b"ingredient;price;currency\na;1;EUR\nb;1;USD\n", "x.csv")
    assert "'USD' stands beside 'EUR'" in mixed.report[1].result


@pytest.mark.parametrize(
    ("row", "words"),
    [
        ("shea,12,50,1 kg,2026-03-01,1,25", "1 more than there are headings"),
        ("shea,5 kg,1 kg,,,", "has the unit kg"),
        ("shea,5,1e-300 g,,,", "has no price per kg"),
        ("shea,,1 kg,,,", "it is blank. Enter what one pack costs"),
        ("shea,5,1 kg,2026-03-0199,,", "is no date"),
        ("jar,5,100 pieces,,3 kg,", "has the unit kg"),
        ("shea,5,500 g,,,12", "give 10 per kg, the row says 12"),
    ],
)
def test_a_row_that_says_something_else_than_a_price_is_told(row: str, words: str) -> None:
    data = f"ingredient,price,pack,date,how many,price per kg\n{row}\n".encode()
    (report,) = read_prices(data, "x.csv").report
    assert report.status == "wrong"
    assert words in report.result


# kept


def test_a_column_of_prices_per_kg_needs_no_pack() -> None:
    read = read_prices(b"ingredient;price per kg\nshea;12\n", "x.csv").prices
    assert read.prices[0].per_kg == 12


def test_another_currency_and_name_are_told_as_changes() -> None:
    after = replace(SPRING, currency="USD", name="Summer")
    assert price_changes(SPRING, after) == "currency USD; named Summer"


def test_prices_are_kept_with_their_history(tmp_path: Path) -> None:
    with Store(tmp_path / "w.db") as store:
        first = store.save(SPRING)
        dearer = replace(SPRING, prices=(replace(SPRING.prices[0], price="10"), *SPRING.prices[1:]))
        second = store.save(dearer, on=first)
        assert second.what == "changed olive oil"
        assert store.open(first.work, kind=PRICES).body == dearer
        assert store.listed(PRICES, "hill")["product"].tolist() == ["7 prices"]


def test_a_list_of_the_first_form_is_read() -> None:
    assert PriceList.from_json(SAVED.read_text("utf-8")) == SPRING
    for text in ("{}", '{"schema":"x","version":1,"name":"","currency":"","prices":[]}', "[1"):
        with pytest.raises(InvalidInput, match="price list: it"):
            PriceList.from_json(text)
