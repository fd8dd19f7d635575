from __future__ import annotations

import csv
import io
import shutil
from pathlib import Path

import pytest

from hlbcore import OwnReading, load_library
from hlbcore._sorting import ORDER, sort_tables
from hlbcore._tables import read_tables
from hlbcore.errors import TableError
from hlbcore.folders import data_folder
from hlbcore.library import _library, _with_own

GOOD = {
    "ingredients.csv": (
        "id,inci,common_name,kind,charge,family,chain,form,peg_based,convention,system,note\n"
        "alpha_oil,Alpha,alpha oil,oil,,,,liquid,,oil,,\n"
        "delta_ester,Delta,delta ester,emulsifier,nonionic,ester,oleic,liquid,no,emulsifier,Griffin,\n"
    ),
    "aliases.csv": "alias,id,label_inci\nfirst oil,alpha_oil,\n",
    "emulsifier_hlb.csv": (
        "id,value,low,high,grade,source,where,note,root\ndelta_ester,4.5,4,5,published,a_2000,p. 3,,\n"
    ),
    "required_hlb.csv": (
        "id,emulsion,value,low,high,grade,source,where,note,root\n"
        "alpha_oil,o/w,7,,,published,a_2000,table 1,,\n"
        "alpha_oil,w/o,4,,,published,a_2000,table 1,,\n"
    ),
    "properties.csv": (
        "id,property,temperature_c,value,low,high,unit,grade,source,where,note\n"
        "alpha_oil,density,20,0.92,,,g/cm3,published,a_2000,page,\n"
    ),
    "standing_doubts.csv": "id,quantity,low,high,source,where,note\nalpha_oil,o/w,5,9,a_2000,p. 4,wide\n",
    "sources.csv": (
        "key,kind,authors,title,year,publisher_or_journal,doi_or_url,read_on,note,root,place\n"
        "a_2000,paper,A. Author,Title,2000,Journal,,,,guide,1\n"
    ),
}


def write(folder: Path, **changed: tuple[str, str]) -> Path:
    """The good tables, with one piece of text changed in the tables named."""
    for name, text in GOOD.items():
        old, new = changed.get(name.removesuffix(".csv"), ("", ""))
        assert old in text
        (folder / name).write_text(text.replace(old, new, 1) if old else text, encoding="utf-8")
    return folder


def test_good_tables_are_read(tmp_path: Path) -> None:
    held = _library(*read_tables(write(tmp_path)))
    alpha, delta = held.oil("first oil"), held.emulsifier("delta ester")
    assert [r.value for r in (*alpha.ow_readings, *alpha.wo_readings)] == [7, 4]
    assert (delta.hlb_readings[0].low, delta.peg_based) == (4, False)


def test_blank_cell_is_unknown_and_never_zero(tmp_path: Path) -> None:
    alpha = _library(*read_tables(write(tmp_path))).find("alpha oil")
    assert (alpha.ow_readings[0].low, alpha.ow_readings[0].high) == (None, None)
    assert alpha.peg_based is None


def test_digest_changes_with_any_figure(tmp_path: Path) -> None:
    first = read_tables(write(tmp_path))[2]
    second = read_tables(write(tmp_path, required_hlb=("w/o,4", "w/o,5")))[2]
    assert first != second


@pytest.mark.parametrize(
    ("table", "old", "new", "line", "column", "problem"),
    [
        ("required_hlb", "o/w,7,", "o/w,seven,", 2, "value", "'seven' is not a number"),
        ("required_hlb", "o/w,7,", "o/w,nan,", 2, "value", "nan is not finite"),
        ("required_hlb", "o/w,7,", "o/w,,", 2, "value", "an HLB from 0 to 40 is wanted"),
        ("required_hlb", "w/o,4,", "w/o,41,", 3, "value", "an HLB from 0 to 40 is wanted"),
        ("required_hlb", "w/o,4,,", "w/o,4,5,", 3, "low", "not in rising order"),
        ("required_hlb", "w/o,4,,,", "w/o,4,,3,", 3, "low", "not in rising order"),
        ("required_hlb", "w/o,4,,,pub", "w/o,4,x,,pub", 3, "low", "'x' is not a number"),
        ("required_hlb", "alpha_oil,w/o", "alpha_oli,w/o", 3, "id", "'alpha_oli' is not known"),
        ("required_hlb", "alpha_oil,w/o", "alpha_oil,wo", 3, "emulsion", "'wo' is not known"),
        ("required_hlb", "published", "guess", 2, "grade", "'guess' is not known"),
        ("required_hlb", "table 1,,", "table 1,", 2, "all", "the number of cells is wrong"),
        ("required_hlb", "table 1,,", "table 1,,,", 2, "all", "the number of cells is wrong"),
        ("required_hlb", "where,note", "note,where", 1, "all", "the columns must be id,emulsion"),
        ("emulsifier_hlb", "4.5,4,5", "4.5,4,x", 2, "high", "'x' is not a number"),
        ("emulsifier_hlb", "delta_ester", "delta", 2, "id", "'delta' is not known"),
        ("ingredients", "delta_ester", "alpha_oil", 3, "id", "'alpha_oil' stands twice"),
        ("ingredients", ",oil,,\n", ",fat,,\n", 2, "convention", "'fat' is not known"),
        ("ingredients", "liquid,no", "liquid,maybe", 3, "peg_based", "'maybe' is not known"),
        ("aliases", "alpha_oil", "omega_oil", 2, "id", "'omega_oil' is not known"),
        ("properties", "0.92", "heavy", 2, "value", "'heavy' is not a number"),
        ("sources", "paper", "rumour", 2, "kind", "'rumour' is not known"),
        ("sources", "guide,1", "guide,4", 2, "place", "'4' is not known"),
        ("required_hlb", "table 1,,", "table 1,,list", 2, "root", "'list' is not known"),
        ("ingredients", "Griffin", "Grifin", 3, "system", "'Grifin' is not known"),
        ("standing_doubts", "o/w,5", "density,5", 2, "quantity", "'density' is not known"),
    ],
)
def test_reading_error_names_file_line_and_column(
    tmp_path: Path, table: str, old: str, new: str, line: int, column: str, problem: str
) -> None:
    with pytest.raises(TableError) as caught:
        read_tables(write(tmp_path, **{table: (old, new)}))
    error = caught.value
    assert (error.file, error.line, error.column) == (f"{table}.csv", line, column)
    assert problem in error.problem


@pytest.mark.parametrize("table", ["required_hlb", "emulsifier_hlb", "properties"])
def test_a_reading_of_an_unknown_source_is_left_out_and_named(tmp_path: Path, table: str) -> None:
    held = _library(*read_tables(write(tmp_path, **{table: ("a_2000", "b_2000")})))
    assert [str(f) for f in held.faults] == [
        f"{table}.csv, line 2, column 'source': 'b_2000' is no key of sources.csv, so this "
        "reading is left out"
    ]
    alpha, delta = held.find("alpha oil"), held.find("delta ester")
    kept = {
        "required_hlb": len(alpha.ow_readings),
        "emulsifier_hlb": len(delta.hlb_readings),
        "properties": len(alpha.properties),
    }
    assert kept == {name: int(name != table) for name in kept}
    assert [r.value for r in alpha.wo_readings] == [4]


def test_what_was_left_out_stays_named_under_own_figures(tmp_path: Path) -> None:
    held = _library(*read_tables(write(tmp_path, required_hlb=("a_2000", "b_2000"))))
    assert _with_own(held, OwnReading("alpha oil", 8.0)).faults == held.faults


def test_source_key_that_stands_twice_is_refused(tmp_path: Path) -> None:
    twice = "a_2000,paper,A. Author,Title,2000,Journal,,,,guide,1\n"
    with pytest.raises(TableError, match=r"sources\.csv, line 3, column 'key': 'a_2000' stands twice"):
        read_tables(write(tmp_path, sources=(twice, twice * 2)))


def test_reading_of_a_source_with_several_roots_must_name_one(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"line 2, column 'root': 'a_2000' has several roots: name one"):
        read_tables(write(tmp_path, sources=("guide,1", "guide; list,1")))


def test_what_a_source_took_over_is_a_copy(tmp_path: Path) -> None:
    folder = write(tmp_path, sources=("guide,1", "guide; list,1"))
    for name in ("emulsifier_hlb", "required_hlb"):
        path = folder / f"{name}.csv"
        path.write_text(path.read_text(encoding="utf-8").replace(",,\n", ",,list\n"), encoding="utf-8")
    (reading,) = _library(*read_tables(folder)).find("alpha oil").ow_readings
    assert (reading.voice, reading.place, reading.standing) == ("list", 2, "published")


def test_standing_doubt_widens_the_range_and_says_why(tmp_path: Path) -> None:
    alpha = _library(*read_tables(write(tmp_path))).find("alpha oil")
    figure = alpha.required_hlb()
    assert figure is not None
    assert (figure.low, figure.high, alpha.caution("o/w")) == (5, 9, "wide")


def test_property_range_out_of_order_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"properties\.csv, line 2, column 'low': .*rising order"):
        read_tables(write(tmp_path, properties=("0.92,,", "0.92,0.95,")))


def test_emulsion_word_of_a_reading_is_never_dropped_in_silence(tmp_path: Path) -> None:
    with pytest.raises(TableError, match="column 'emulsion'"):
        read_tables(write(tmp_path, required_hlb=("o/w", "O/W")))


def test_open_quotation_mark_is_a_reading_error(tmp_path: Path) -> None:
    with pytest.raises(TableError, match=r"aliases\.csv, line \d+, column 'all': "):
        read_tables(write(tmp_path, aliases=("first oil", '"first oil')))


def test_file_that_is_not_utf8_is_a_reading_error(tmp_path: Path) -> None:
    folder = write(tmp_path)
    (folder / "aliases.csv").write_bytes(b"alias,id\n" + "karité".encode("latin-1") + b",alpha_oil\n")
    with pytest.raises(TableError, match=r"aliases\.csv, line \d+, column 'all': "):
        read_tables(folder)


# --- putting rows in order


def shuffled(folder: Path) -> Path:
    """The real tables, each with its first row moved to the end."""
    shutil.copytree(data_folder(), folder)
    for table in ORDER:
        path = folder / f"{table}.csv"
        head, *rows = csv.reader(io.StringIO(path.read_text("utf-8")))
        with path.open("w", encoding="utf-8", newline="") as handle:
            csv.writer(handle).writerows([head, *rows[1:], rows[0]])
    return folder


def test_sorting_brings_every_table_back_in_order(tmp_path: Path) -> None:
    folder = shuffled(tmp_path / "data")
    assert sort_tables(folder) == tuple(f"{table}.csv" for table in ORDER)
    for table in ORDER:
        real = (data_folder() / f"{table}.csv").read_text("utf-8").splitlines()
        mine = (folder / f"{table}.csv").read_text("utf-8").splitlines()
        assert sorted(mine) == sorted(real), table
        if table in ("ingredients", "preservatives", "sources"):  # no two rows of one key
            assert mine == real
    assert sort_tables(folder) == ()
    assert _library(*read_tables(folder)).oil("beeswax") == load_library().oil("beeswax")


def test_sorting_leaves_tables_in_order_alone(tmp_path: Path) -> None:
    shutil.copytree(data_folder(), tmp_path / "data")
    assert sort_tables(tmp_path / "data") == ()


def test_sorting_refuses_a_row_with_a_cell_too_many(tmp_path: Path) -> None:
    shutil.copytree(data_folder(), tmp_path / "data")
    path = tmp_path / "data" / "aliases.csv"
    text = path.read_text("utf-8") + "a,b,c,d\n"
    path.write_text(text, "utf-8")
    with pytest.raises(TableError, match=r"aliases\.csv, line \d+.*number of cells is wrong"):
        sort_tables(tmp_path / "data")
    assert path.read_text("utf-8") == text
