from __future__ import annotations

import csv
import re
import shutil
from pathlib import Path

import pytest

from hlbcore import Library
from hlbcore.errors import TableError
from hlbcore.folders import data_folder
from hlbcore.formula.facts import AREAS
from hlbcore.rules import colour_table
from hlbcore.rules.colour_table import Colour
from hlbcore.rules.colours import strictest, us_colours

EACH = pytest.mark.parametrize("row", us_colours().colours, ids=lambda c: c.name)


def changed(folder: Path, old: str, new: str) -> Path:
    """The built-in list with one piece of text changed."""
    shutil.copy(data_folder() / colour_table.FILE, folder)
    file = folder / colour_table.FILE
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new, 1), encoding="utf-8")
    return folder


def test_list_holds_75_rows() -> None:
    assert len(us_colours().colours) == 75


@EACH
def test_ingredients_of_a_row_are_found_under_it(row: Colour, library: Library) -> None:
    for id in row.ids:
        assert id in library.ingredients
        assert us_colours().of_ingredient(id) is row


@EACH
def test_row_says_what_was_seen(row: Colour) -> None:
    assert row.where
    assert ("from memory" in row.where) or row.grade == "seen"


@EACH
def test_memory_row_has_a_memory_source(row: Colour, library: Library) -> None:
    assert (row.grade == "memory") == (library.sources[row.source].kind == "memory")


@EACH
def test_unlisted_colour_is_permitted_nowhere(row: Colour) -> None:
    if not row.listed:
        assert {row.use(area) for area in AREAS} <= {"no", "ask"}


@EACH
def test_certified_colours_are_those_of_part_74_and_the_lakes(row: Colour) -> None:
    assert row.certified == bool(re.search(r"CFR (74\.2|81\.1)", row.section))


@EACH
def test_name_of_a_row_is_found(row: Colour) -> None:
    assert row in us_colours().find(row.name)


@EACH
def test_each_number_of_a_row_is_found(row: Colour) -> None:
    assert all(row in us_colours().find(f"CI {n}") for n in row.numbers)


@pytest.mark.parametrize(
    ("name", "found"),
    [
        ("FD&C Yellow No. 5", "FD&C Yellow No. 5"),
        ("fd&c yellow 5", "FD&C Yellow No. 5"),
        ("ci 19140", "FD&C Yellow No. 5"),
        ("19140", "FD&C Yellow No. 5"),
        ("CI 15850:1", "D&C Red No. 7"),
        ("CI 77499", "Iron oxides"),
        ("D&C Red No. 7 lake", "D&C Red No. 7"),
        ("FD&C Blue No. 1 aluminium lake", "FD&C Blue No. 1"),
    ],
)
def test_look_up_by_name_or_number(name: str, found: str) -> None:
    assert found in [c.name for c in us_colours().find(name)]


@pytest.mark.parametrize("name", ["", "CI 99999", "lake", "olive oil"])
def test_look_up_of_another_name_is_empty(name: str) -> None:
    assert us_colours().find(name) == ()


@pytest.mark.parametrize(
    ("name", "us_name"),
    [
        ("Red 40", "ci_16035"),
        ("Ext. Violet 2", "ci_60730"),
        ("Blue 1 Lake", "ci_42090"),
        ("D&C Blue No. 4", "d_and_c_blue_4"),
    ],
)
def test_us_names_are_names_of_the_ingredient(name: str, us_name: str, library: Library) -> None:
    assert library.find(name).id == us_name


@pytest.mark.parametrize(
    ("name", "area", "use"),
    [
        ("D&C Black No. 2", "body", "no"),
        ("D&C Black No. 2", "face", "makeup"),
        ("Dihydroxyacetone", "body", "named"),
        ("Ultramarines", "eye area", "yes"),
        ("Ultramarines", "lips", "no"),
        ("Henna", "body", "no"),
    ],
)
def test_use_by_place(name: str, area: str, use: str) -> None:
    (row,) = us_colours().find(name)
    assert row.use(area) == use


def test_strictest_part_decides() -> None:
    parts = us_colours().parts("Mica (and) Titanium Dioxide (and) Chromium Oxide Greens")
    assert len(parts) == 3
    assert (strictest(parts, "lips"), strictest(parts, "body")) == ("no", "yes")


def test_number_limit_holds_only_where_it_says() -> None:
    (row,) = us_colours().find("D&C Orange No. 5")
    assert (row.limit_at("lips"), row.limit_at("body")) == (5.0, None)


@pytest.mark.parametrize(
    ("old", "new", "column"),
    [
        ("aluminum_powder,", "alumimum_powder,", "ids"),
        ("annatto,Annatto", "caramel,Annatto", "ids"),
        ("73.2030,no,yes", "73.2030,perhaps,yes", "certified"),
        ("73.2030,no,yes", "73.2030,no,perhaps", "external"),
        (",5,lips,", ",five,lips,", "limit_pct"),
        (",5,lips,", ",-5,lips,", "limit_pct"),
        (",5,lips,", ",5,,", "limit_for"),
        (",5,lips,", ",5,hands,", "limit_for"),
        (",seen,cfr_73_2496", ",guess,cfr_73_2496", "grade"),
        (",seen,cfr_73_2496", ",seen,cfr_73_0000", "source"),
        ("ids,colour", "id,colour", "all"),
    ],
)
def test_bad_cell_is_named(tmp_path: Path, old: str, new: str, column: str) -> None:
    with pytest.raises(TableError) as error:
        colour_table.read_colours(changed(tmp_path, old, new))
    assert colour_table.FILE in str(error.value)
    assert column in str(error.value)


def test_every_colour_of_the_tables_is_in_the_list_or_a_mixture(library: Library) -> None:
    odd = [
        i.id
        for i in library
        if i.kind == "colour" and not us_colours().of_ingredient(i.id) and not us_colours().parts(i.inci)
    ]
    assert odd == []


def test_list_has_no_blank_use() -> None:
    with (data_folder() / colour_table.FILE).open(encoding="utf-8", newline="") as handle:
        rows = list(csv.DictReader(handle))
    assert [r for r in rows if not (r["external"] and r["lips"] and r["eye_area"])] == []
