from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import HlbError, InvalidInput, Library, read_list
from hlbcore.formula.reading import ListRow, recipe_grams, rescaled, total_finding

ONE = {
    "tab": ("shea butter\t10.5", "shea butter", "10.5"),
    "semicolon": ("shea butter;10.5", "shea butter", "10.5"),
    "comma": ("shea butter,10.5", "shea butter", "10.5"),
    "comma and space": ("shea butter, 10.5", "shea butter", "10.5"),
    "comma, quoted": ('"shea butter","10.5"', "shea butter", "10.5"),
    "comma, decimal comma": ('"shea butter","10,5"', "shea butter", "10,5"),
    "spaces": ("shea butter 10.5", "shea butter", "10.5"),
    "many spaces": ("  shea   butter        10.5  ", "shea butter", "10.5"),
    "colon": ("shea butter: 10.5", "shea butter", "10.5"),
    "equals": ("shea butter = 10.5", "shea butter", "10.5"),
    "dots": ("shea butter ... 10.5", "shea butter", "10.5"),
    "amount first": ("10.5 shea butter", "shea butter", "10.5"),
    "amount with unit first": ("10.5 g shea butter", "shea butter", "10.5 g"),
    "amount in the first cell": ("10.5 %\tshea butter", "shea butter", "10.5 %"),
    "more cells than two": ("A1\tshea butter\tButyro\t10.5", "shea butter", "10.5"),
    "decimal comma behind a tab": ("shea butter\t10,5", "shea butter", "10,5"),
    "decimal comma behind a space": ("shea butter 0,5", "shea butter", "0,5"),
    "decimal comma and unit": ("shea butter 10,5 %", "shea butter", "10,5 %"),
    "per cent": ("shea butter 10%", "shea butter", "10%"),
    "ounces": ("shea butter 2 oz", "shea butter", "2 oz"),
    "hyphen between": ("shea butter - 10", "shea butter", "10"),
    "en dash between": ("shea butter – 10", "shea butter", "10"),
    "em dash between": ("shea butter — 10", "shea butter", "10"),
    "sign of the number": ("shea butter -10", "shea butter", "-10"),
    "minus sign of the number": ("shea butter −10", "shea butter", "−10"),
    "no digit before the point": ("shea butter .5", "shea butter", ".5"),
    "no digit before the comma": ("shea butter ,5", "shea butter", ",5"),
    "point behind the unit": ("shea butter 5 g.", "shea butter", "5 g"),
    "name that ends in digits": ("polysorbate 80", "polysorbate 80", ""),
    "such a name and amount": ("polysorbate 80 3", "polysorbate 80", "3"),
    "such a name, comma, amount": ("polysorbate 80,3", "polysorbate 80", "3"),
    "such a name, decimal comma": ("polysorbate 80 3,5 %", "polysorbate 80", "3,5 %"),
    "such a name behind the amount": ("3 polysorbate 80", "polysorbate 80", "3"),
    "such a name with a hyphen": ("ceteareth-20 2", "ceteareth-20", "2"),
    "such a name with a hyphen alone": ("ceteareth-20", "ceteareth-20", ""),
    "number within the name": ("PEG-40 hydrogenated castor oil 2", "PEG-40 hydrogenated castor oil", "2"),
    "unknown name": ("my 1st oil 3", "my 1st oil", "3"),
    "no amount": ("shea butter", "shea butter", ""),
    "emoji": ("😀 oil 5", "😀 oil", "5"),
    "HTML": ("<script>alert(1)</script> 5", "<script>alert(1)</script>", "5"),
    "formula of a spreadsheet": ("=cmd()\t5", "=cmd()", "5"),
}


@pytest.mark.parametrize(("text", "name", "amount"), ONE.values(), ids=ONE.keys())
def test_a_line_is_parted_into_name_and_amount(text: str, name: str, amount: str) -> None:
    (row,) = read_list(text)
    assert (row.name, row.amount) == (name, amount)


@pytest.mark.parametrize(
    ("name", "side"),
    [("alpha oil", "oil"), ("zeta alcohol", "oil"), ("delta ester", "emulsifier"), ("omega", "unknown")],
)
def test_the_side_is_that_of_the_tables(name: str, side: str, tiny_library: Library) -> None:
    assert [r.side for r in read_list(name, library=tiny_library)] == [side]


@pytest.mark.parametrize("name", ["water", "glycerin", "sodium hydroxide"])
def test_water_side_and_bases_stand_outside(name: str) -> None:
    assert [r.side for r in read_list(name)] == ["outside"]


@pytest.mark.parametrize(
    "skipped",
    [
        "",
        "   ",
        "Ingredient\tamount",
        "INCI;%",
        "Oil phase",
        "Name, %",
        "Ingredients (g)",
        "Total\t100",
        "total 100",
        "Sum: 100 %",
        "Phase\tIngredient\tGrams",
    ],
)
def test_headings_totals_and_blank_lines_are_passed_over(skipped: str) -> None:
    rows = read_list(f"{skipped}\nolive oil\t10\n{skipped}\n")
    assert [r.name for r in rows] == ["olive oil"]


def test_a_row_keeps_the_number_of_its_line() -> None:
    rows = read_list("Ingredient\t%\n\nolive oil\t10\n\nwater\t90")
    assert [r.line for r in rows] == [3, 5]


@pytest.mark.parametrize("heading", ["Ingredient\tg", "Ingredient;Grams", "Ingredient,g", "Ingredient (g)"])
def test_a_heading_in_grams_gives_plain_numbers_their_unit(heading: str) -> None:
    rows = read_list(f"{heading}\nolive oil\t10,5\nshea butter\t2 %")
    assert [r.amount for r in rows] == ["10,5 g", "2 %"]


@pytest.mark.parametrize(
    ("table", "names"),
    [
        (
            "Phase\tIngredient\t%\nA\twater\t90\nB\tattic fat\t9\nC\tattic guard 2\t1",
            ["attic fat", "attic guard 2"],
        ),
        ("A;water;90\nB1;attic fat;9\nPhase C;attic guard 2;1", ["attic fat", "attic guard 2"]),
        ("Ingredient;Made by;g\nattic fat;Attic;9\nB;Attic;1", ["attic fat", "B"]),
        ("Part;;%\nA;;9", ["A"]),
    ],
    ids=["headed", "no heading", "a name of one letter", "nothing else"],
)
def test_an_unknown_name_beside_its_phase_is_the_name(table: str, names: list[str]) -> None:
    unknown = [r.name for r in read_list(table) if r.side == "unknown"]
    assert unknown[-len(names) :] == names


def test_a_heading_in_per_cent_leaves_plain_numbers_plain() -> None:
    assert read_list("Ingredient\t%\nolive oil\t10")[0].amount == "10"


def test_plain_unit_stands_behind_plain_numbers_only() -> None:
    rows = read_list("olive oil 10\nshea butter 2 %\nwater", plain_unit="g")
    assert [r.amount for r in rows] == ["10 g", "2 %", ""]


def test_200_lines_are_read_and_201_refused() -> None:
    assert len(read_list("olive oil 1\n" * 200)) == 200
    with pytest.raises(InvalidInput, match=r"^list: it has 201 lines\. Paste at most 200 lines"):
        read_list("olive oil 1\n" * 201)


@pytest.mark.parametrize(
    ("text", "where"),
    [
        ("olive oil 1\n" + "x" * 2001, "list, line 2, name: the text has 2,001 characters"),
        ("olive oil\t" + "1" * 2001, "list, line 1, amount: the text has 2,001 characters"),
        ("x" * 2_000_001, "list: the text has 2,000,001 characters"),
    ],
    ids=["name", "amount", "whole"],
)
def test_a_text_that_is_too_long_is_refused(text: str, where: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^{where}, more than [\d,]+\. Shorten it\.$"):
        read_list(text)


@pytest.mark.parametrize("text", ["", " \n\t\n", "Ingredient\t%", "total 100"])
def test_a_list_without_a_name_is_refused(text: str) -> None:
    with pytest.raises(InvalidInput, match=r"^list: there is no line with a name\. Write an"):
        read_list(text)


@pytest.mark.parametrize("filler", [" ", "a ", ". ", "1,", "1 ", "-", "=", ": "])
def test_a_very_long_line_is_one_row(filler: str) -> None:
    (row,) = read_list("a" + filler * 300 + "b")
    assert row.side == "unknown"


def test_total_above_100_is_a_caution() -> None:
    found = total_finding(read_list("water 70\nolive oil 25\npolysorbate 60 6"))
    assert found is not None
    assert (found.level, found.title) == ("caution", "The recipe adds to 101 %")
    assert found.detail == "1 % is too much."
    assert found.mend.startswith("Rescale all lines, or take the difference from the water.")


def test_total_below_100_is_a_caution() -> None:
    found = total_finding(read_list("water 70\nolive oil 25\npolysorbate 60 3,7"))
    assert found is not None
    assert (found.level, found.title) == ("caution", "The recipe adds to 98.7 %")
    assert found.detail == "1.3 % is missing."


@pytest.mark.parametrize("oil", ["30", "30.009", "29.991"])
def test_total_of_100_within_a_hundredth_is_a_note(oil: str) -> None:
    found = total_finding(read_list(f"water 70\nolive oil {oil}"))
    assert found is not None
    assert (found.level, found.title) == ("note", "The recipe adds to 100 %")


def test_total_two_hundredths_off_is_a_caution() -> None:
    found = total_finding(read_list("water 70\nolive oil 30.02"))
    assert found is not None
    assert (found.level, found.title) == ("caution", "The recipe adds to 100.02 %")


NO_TOTAL = {
    "an oil phase alone": "olive oil 10\nshea butter 5",
    "masses": "water 70 g\nolive oil 40 g",
    "an amount is missing": "water\nolive oil 40",
    "an amount is negative": "water -70\nolive oil 40",
    "an amount can be read in two ways": "water 1,000\nolive oil 40",
}


@pytest.mark.parametrize("text", NO_TOTAL.values(), ids=NO_TOTAL.keys())
def test_what_is_no_whole_recipe_in_per_cent_has_no_total(text: str) -> None:
    assert total_finding(read_list(text)) is None


def test_rescaled_keeps_the_proportions_and_adds_to_100() -> None:
    rows = read_list("water 70\nolive oil 25\npolysorbate 60 6")
    assert [r.amount for r in rescaled(rows)] == ["69.3069 %", "24.7525 %", "5.9406 %"]
    found = total_finding(rescaled(rows))
    assert found is not None
    assert found.title == "The recipe adds to 100 %"


@given(st.lists(st.floats(0.01, 90), min_size=2, max_size=30))
def test_a_rescaled_recipe_adds_to_100(amounts: list[float]) -> None:
    rows = tuple(ListRow(n, "water", f"{a:.4f}", "outside") for n, a in enumerate(amounts, 1))
    found = total_finding(rescaled(rows))
    assert found is not None
    assert found.level == "note"


@pytest.mark.parametrize(
    ("text", "item"),
    [
        ("water 0\nolive oil 0", "recipe, total"),
        ("water\nolive oil 5", "recipe"),
        ("water 5 g\nolive oil 5 g", "recipe"),
    ],
    ids=["nothing", "amount missing", "masses"],
)
def test_what_cannot_be_rescaled_is_refused(text: str, item: str) -> None:
    with pytest.raises(InvalidInput, match=rf"^{item}: .*(Enter more than 0|Give every line)"):
        rescaled(read_list(text))


def test_mass_of_a_recipe_is_the_sum_of_its_lines() -> None:
    assert recipe_grams(read_list("water 1 kg\nolive oil 250 g")) == 1250.0


def test_mass_follows_a_heading_in_grams() -> None:
    assert recipe_grams(read_list("Ingredient\tg\nwater\t375\nolive oil\t125")) == 500.0


@pytest.mark.parametrize(
    "text",
    [
        "olive oil 250 g",
        "water 70 %\nolive oil 30 %",
        "water 70\nolive oil 30",
        "water 70 g\nolive oil 30",
        "water 70 g\nolive oil",
        "water 70 g\nolive oil 30 %",
    ],
    ids=["oil alone", "per cent", "plain", "unit missing", "amount missing", "mixed"],
)
def test_what_is_no_whole_recipe_by_mass_has_no_mass(text: str) -> None:
    assert recipe_grams(read_list(text)) is None


PIECES = st.lists(
    st.sampled_from(
        [
            "shea butter",
            "polysorbate 80",
            "water",
            "10",
            "10,5",
            "%",
            "g",
            "\t",
            ";",
            ",",
            " ",
            "\n",
            "-",
            "−",
            ".",
            '"',
            "total",
            "1,000",
            "1e308",
            "(",
            ")",
            "=",
            "١",
        ]
    ),
    max_size=25,
).map("".join)


@given(st.text(max_size=200) | PIECES)
def test_only_our_own_errors_leave_whatever_is_pasted(text: str) -> None:
    try:
        rows = read_list(text)
    except HlbError:
        return
    total_finding(rows)
    recipe_grams(rows)
    with contextlib.suppress(HlbError):
        assert [r.name for r in rescaled(rows)] == [r.name for r in rows]
