from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from random import Random

import openpyxl
import pandas as pd
import pytest
from fuzzing import TABLES, cut_bytes, workbooks
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl.utils import get_column_letter

from hlbcore import InvalidInput, Library, OwnIngredient, OwnReading, load_library
from hlbcore.cells import to_csv
from hlbcore.intake import workbooks as limits
from hlbcore.intake.ingredients import REPORT_COLUMNS, Intake, Rows, match_columns, read_rows, take_rows
from hlbcore.intake.uploads import BYTES_MOST, CELL_MOST, COLUMNS_MOST, ROWS_MOST

SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
HEAD = ["name", "required HLB"]


def csv(*lines: str) -> bytes:
    return "\n".join(lines).encode()


def xlsx(*rows: list[object], sheets: Mapping[str, list[list[object]]] | None = None) -> bytes:
    """A workbook with one sheet, or with those named."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for title, lines in (sheets or {"list": list(rows)}).items():
        sheet = book.create_sheet(title)
        for line in lines:
            sheet.append(line)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_parts(data: bytes, parts: Mapping[str, str | bytes]) -> bytes:
    """A workbook with parts exchanged or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name not in parts:
                new.writestr(name, old.read(name))
        for name, body in parts.items():
            new.writestr(name, body)
    return out.getvalue()


def with_sheet(inner: str) -> bytes:
    return with_parts(xlsx(HEAD), {SHEET: f"<worksheet {MAIN}>{inner}</worksheet>"})


def taken(*lines: str, library: Library | None = None) -> Intake:
    rows = read_rows(csv(*lines), "list.csv")
    return take_rows(rows, match_columns(rows.header), library)


def only(intake: Intake) -> tuple[str, str]:
    """Result and status of the one row."""
    (line,) = intake.lines
    return line.result, line.status


# --- CSV


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_csv_is_read_in_the_usual_encodings(encoding: str) -> None:
    rows = read_rows("name;required HLB\nhuile d'été;8,5\n".encode(encoding), "list.csv")
    assert (rows.header, rows.rows) == (tuple(HEAD), (("huile d'été", "8,5"),))


@pytest.mark.parametrize("sign", [",", ";", "\t"], ids=["comma", "semicolon", "tab"])
def test_sign_between_columns_is_found(sign: str) -> None:
    rows = read_rows(csv(sign.join(HEAD), sign.join(["meadow oil", "8.5"])), "list.csv")
    assert rows.rows == (("meadow oil", "8.5"),)


def test_semicolons_win_over_decimal_commas() -> None:
    items = taken("name;required HLB", "meadow oil;8,5", "clover oil;7,0").items
    assert [x.value for x in items if isinstance(x, OwnReading)] == [8.5, 7.0]


def test_line_that_names_the_sign_is_not_a_heading() -> None:
    rows = read_rows(b"sep=;\r\nname;required HLB\r\nmeadow, oil;8\r\n", "list.csv")
    assert (rows.header, rows.numbers) == (tuple(HEAD), (3,))


def test_decimal_commas_between_commas_are_told_by_row() -> None:
    intake = taken("name,required HLB", "meadow oil,8,5", "clover oil,7")
    assert [x.status for x in intake.lines] == ["wrong", "taken"]
    assert "the row has 1 more than there are headings" in intake.lines[0].result
    assert "semicolons" in intake.lines[0].result


def test_line_ends_inside_quotation_marks_stay_in_the_cell() -> None:
    rows = read_rows(b'name;note\n"meadow\noil";"a; b"\nclover oil;c\n', "list.csv")
    assert rows.rows == (("meadow oil", "a; b"), ("clover oil", "c"))
    assert rows.numbers == (2, 3)


def test_blank_rows_are_left_out_and_numbers_kept() -> None:
    rows = read_rows(csv("name;required HLB", "", " ; ", "meadow oil;8"), "list.csv")
    assert (rows.rows, rows.numbers) == ((("meadow oil", "8"),), (4,))


def test_headings_below_a_title_are_found() -> None:
    rows = read_rows(csv("My shelf;;", "", "Ingredient;INCI;rHLB", "meadow oil;;8"), "list.csv")
    assert rows.header == ("Ingredient", "INCI", "rHLB")
    assert "The headings stand in row 3" in rows.remarks[-1]


def test_missing_headings_are_said() -> None:
    rows = read_rows(csv("meadow oil;8;oil", "clover oil;9;oil"), "list.csv")
    assert "No heading is known" not in rows.remarks[0]
    assert "row 1 was taken for the headings" in read_rows(csv("a;8", "b;9"), "x.csv").remarks[-1]


@pytest.mark.parametrize("name", ["=1+1", "+5", "-2", "@SUM(A1)"])
def test_guard_against_formulas_is_taken_off_again(name: str) -> None:
    data = to_csv(pd.DataFrame({"name": [name], "required HLB": [8.0]}))
    rows = read_rows(data, "list.csv")
    assert rows.rows[0][0] == name


# --- XLSX


def test_workbook_is_read_with_its_sheet() -> None:
    rows = read_rows(xlsx(HEAD, ["meadow oil", 8.5], ["clover oil", 9]), "list.xlsx")
    assert (rows.sheet, rows.header) == ("list", tuple(HEAD))
    assert rows.rows == (("meadow oil", "8.5"), ("clover oil", "9"))


def test_other_sheets_are_named_and_can_be_chosen() -> None:
    data = xlsx(sheets={"empty": [], "oils": [HEAD, ["a", 8]], "more": [HEAD, ["b", 9]]})
    first = read_rows(data, "list.xlsx")
    assert first.remarks == ("Read from sheet 'oils'; not read: empty, more.",)
    assert read_rows(data, "list.xlsx", sheet="more").rows == (("b", "9"),)
    with pytest.raises(InvalidInput, match=r"no sheet 'x'. Take one of empty, oils, more"):
        read_rows(data, "list.xlsx", sheet="x")


def test_dates_percentages_and_truth_are_read_as_typed() -> None:
    book = openpyxl.Workbook()
    book.active.append(["name", "date", "dose", "note", "low"])
    book.active.append(["a", datetime(2026, 3, 1), 0.07, True, datetime(2026, 3, 1, 9, 30)])
    book.active["C2"].number_format = "0.0%"
    book.active.append(["b", "last spring", 7, None, 0.1 + 0.2])
    book.active["C3"].number_format = '0.0" %"'
    out = io.BytesIO()
    book.save(out)
    assert read_rows(out.getvalue(), "list.xlsx").rows == (
        ("a", "2026-03-01", "7 %", "yes", "2026-03-01 09:30:00"),
        ("b", "last spring", "7", "", "0.3"),
    )


def test_formula_gives_its_stored_value_and_is_never_worked_out() -> None:
    data = with_sheet(
        "<sheetData><row r='1'><c r='A1' t='str'><v>name</v></c>"
        "<c r='B1' t='str'><v>required HLB</v></c></row><row r='2'>"
        "<c r='A2' t='str'><f>CONCAT(1)</f><v>meadow oil</v></c><c r='B2'><f>4+4</f><v>9</v></c>"
        "<c r='C2'><f>1+1</f></c></row></sheetData>"
    )
    rows = read_rows(data, "list.xlsx")
    assert rows.rows == (("meadow oil", "9"),)
    assert "Formulas without a stored value, read as blank: 1." in rows.remarks[0]


def test_formula_without_a_stored_value_is_blank() -> None:
    rows = read_rows(xlsx(HEAD, ["meadow oil", "=4+4"]), "list.xlsx")
    assert rows.rows == (("meadow oil",),)
    assert "read as blank: 1." in rows.remarks[0]


def test_merged_cells_hold_their_text_once() -> None:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (["My shelf"], HEAD, ["meadow oil", 8], [None, 9]):
        sheet.append(row)
    sheet.merge_cells("A1:B1")
    sheet.merge_cells("A3:A4")
    out = io.BytesIO()
    book.save(out)
    rows = read_rows(out.getvalue(), "list.xlsx")
    assert (rows.header, rows.rows) == (tuple(HEAD), (("meadow oil", "8"), ("", "9")))
    statuses = [x.status for x in take_rows(rows, match_columns(rows.header)).lines]
    assert statuses == ["taken", "wrong"]


@pytest.mark.parametrize("size", ["A1:XFD1048576", "A1:A1", "Z9:A1"])
def test_declared_size_of_a_sheet_is_not_believed(size: str) -> None:
    cell = "<c t='inlineStr'><is><t>{}</t></is></c>"
    rows = "".join(f"<row>{cell.format(a)}{cell.format(b)}</row>" for a, b in (HEAD, ("a", "8")))
    data = with_sheet(f"<dimension ref='{size}'/><sheetData>{rows}</sheetData>")
    assert read_rows(data, "list.xlsx").rows == (("a", "8"),)


def test_blank_rows_and_formats_far_away_do_no_harm() -> None:
    cell = "<c t='inlineStr'><is><t>{}</t></is></c>"
    data = with_sheet(
        f"<sheetData><row r='1'>{cell.format('name')}<c r='XFD1' s='0'/></row>"
        f"<row r='1048576'>{cell.format('meadow oil')}</row></sheetData>"
    )
    rows = read_rows(data, "list.xlsx")
    assert (rows.rows, rows.numbers) == ((("meadow oil",),), (1_048_576,))


def test_odd_named_ranges_do_not_make_a_workbook_unreadable() -> None:
    data = xlsx(HEAD, ["meadow oil", 8])
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        book = archive.read("xl/workbook.xml").decode()
    names = "<definedName name='_xlnm.Print_Titles' localSheetId='0'>'''</definedName>"
    book = book.replace("<definedNames />", "").replace("<definedNames/>", "")
    assert "definedNames" not in book
    book = book.replace("</sheets>", f"</sheets><definedNames>{names}</definedNames>")
    rows = read_rows(with_parts(data, {"xl/workbook.xml": book}), "list.xlsx")
    assert rows.rows == (("meadow oil", "8"),)


# --- limits


def refusal(data: bytes, filename: str = "list.xlsx") -> str:
    with pytest.raises(InvalidInput) as caught:
        read_rows(data, filename)
    return str(caught.value)


@pytest.mark.parametrize(
    ("data", "filename", "message"),
    [
        (b"", "list.csv", "'list.csv': it is empty. Take a file with a heading"),
        (b"\n \n;;\n", "list.csv", "it is empty"),
        (b"", "list.xlsx", "it is empty. Save it again"),
        (b"name;x\na\x00b;8\n", "list.csv", "no text that can be read. Save it as CSV UTF-8"),
        (b"\xff\xfe\x00\x00n\x00\x00\x00", "list.csv", "no text that can be read"),
        (b"name\n\x81\x8d\n", "list.csv", "no text that can be read"),
        (b'name\n"meadow\n', "list.csv", "line 2: it cannot be read"),
        (b"<html><table><tr><td>name", "list.csv", "a web page or XML inside"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 600, "list.xls", "an old XLS file, or locked"),
        (b"%PDF-1.7", "list.pdf", "files of the kind '.pdf' are not read"),
        (b"name;x", "list", "files of the kind '' are not read"),
        (b"name;x", "../../<b>.exe", "files of the kind '.exe' are not read"),
        (b"name;x", "list.xlsx", "it is no workbook inside"),
        (b"PK\x03\x04" + b"x" * 100, "list.xlsx", "the workbook cannot be read"),
    ],
    ids=lambda x: x[:24] if isinstance(x, str) else "",
)
def test_file_that_is_no_table_is_refused(data: bytes, filename: str, message: str) -> None:
    assert message in refusal(data, filename)


def test_zip_of_another_kind_is_refused() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("content.xml", "<x/>")
    assert "it is a zip, but no XLSX workbook" in refusal(out.getvalue(), "list.ods")


def test_too_large_a_file_is_refused() -> None:
    assert "larger than 5 MB" in refusal(b"x" * (BYTES_MOST + 1), "list.csv")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_most_rows_are_read_and_one_more_is_refused(kind: str) -> None:
    lines: list[list[object]] = [["name", "note"], *([f"oil {n}", "x"] for n in range(ROWS_MOST))]

    def file(rows: list[list[object]]) -> bytes:
        return xlsx(*rows) if kind == "xlsx" else csv(*(";".join(map(str, r)) for r in rows))

    assert len(read_rows(file(lines[:-1]), f"list.{kind}").rows) == ROWS_MOST - 1
    assert f"more than {ROWS_MOST} rows" in refusal(file(lines), f"list.{kind}")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize("beyond", [1, 150], ids=["next column", "far away"])
def test_filled_cell_beyond_the_columns_is_refused(kind: str, beyond: int) -> None:
    row: list[object] = [""] * (COLUMNS_MOST + beyond)
    row[0] = "meadow oil"
    full = xlsx(HEAD, row) if kind == "xlsx" else csv(";".join(HEAD), ";".join(map(str, row)))
    assert read_rows(full, f"list.{kind}").rows == (("meadow oil",),)
    row[-1] = "x"
    full = xlsx(HEAD, row) if kind == "xlsx" else csv(";".join(HEAD), ";".join(map(str, row)))
    assert f"more than {COLUMNS_MOST} columns" in refusal(full, f"list.{kind}")


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_longest_cell_is_read_and_a_longer_one_is_refused(kind: str) -> None:
    def file(text: str) -> bytes:
        return xlsx(["name"], [text]) if kind == "xlsx" else csv("name", text)

    assert read_rows(file("x" * CELL_MOST), f"list.{kind}").rows == (("x" * CELL_MOST,),)
    assert "row 2: a cell has more than 2000" in refusal(file("x" * 2001), f"list.{kind}")


def test_too_many_files_in_a_workbook_are_refused() -> None:
    extra = {f"xl/media/{n}.bin": b"" for n in range(limits.MEMBERS_MOST)}
    assert "would unpack to more" in refusal(with_parts(xlsx(HEAD), extra))


def test_zip_bomb_is_refused_by_its_directory() -> None:
    assert "would unpack to more" in refusal(with_parts(xlsx(HEAD), {SHEET: b" " * 60_000_000}))


def test_zip_bomb_with_a_lying_directory_is_refused() -> None:
    data = bytearray(with_parts(xlsx(HEAD), {SHEET: b" " * 20_000_000}))
    true, lie = (20_000_000).to_bytes(4, "little"), (1000).to_bytes(4, "little")
    assert data.count(true) == 2  # before the part and in the directory
    assert "would unpack to more" in refusal(bytes(data))
    assert "cannot be read" in refusal(bytes(data.replace(true, lie)))


def test_sizes_are_counted_while_reading(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(limits, "sum", lambda _: 0, raising=False)  # blind to the directory
    data = with_parts(xlsx(HEAD), {SHEET: b" " * 2_000_000})
    assert "would unpack to more" in refusal(data)


def padded(parts: Mapping[str, str | bytes]) -> bytes:
    """A workbook with noise inside, so that the ratio of sizes does not give it away."""
    return with_parts(xlsx(HEAD), {**parts, "xl/media/noise.bin": Random(1).randbytes(300_000)})


@pytest.mark.parametrize(
    "parts",
    [
        {SHEET: f"<worksheet {MAIN}><sheetData>{'<c/>' * 400_001}</sheetData></worksheet>"},
        {STRINGS: f"<sst {MAIN}><si>{'<r/>' * 400_001}</si></sst>"},
        {SHEET: f"<worksheet {MAIN}>{'<b/>' * 20_001}</worksheet>"},
        {SHEET: f"<worksheet {MAIN}>{'<b>' * 20_001}{'</b>' * 20_001}</worksheet>"},
        {"xl/styles.xml": f"<styleSheet {MAIN}><x a='{'[' * 1001}'/></styleSheet>"},
        {SHEET: f"<worksheet {MAIN}><headerFooter>{'&amp;' * 1001}</headerFooter></worksheet>"},
        {SHEET: f"<worksheet {MAIN}><x sqref='{'A1 ' * 70_000}'/></worksheet>"},
    ],
    ids=["cells", "runs", "others", "deep", "format", "text", "ranges"],
)
def test_workbook_of_endless_parts_is_refused(parts: dict[str, str]) -> None:
    assert "more cells or formats than a list of ingredients needs" in refusal(padded(parts))


LAUGHS = (
    "<?xml version='1.0'?><!DOCTYPE sst [<!ENTITY a 'ha'>"
    + "".join(f"<!ENTITY {b} '{f'&{a};' * 10}'>" for a, b in zip("abcdefgh", "bcdefghi", strict=True))
    + f"]><sst {MAIN}><si><t>&i;</t></si></sst>"
)


@pytest.mark.parametrize(
    "body",
    [
        LAUGHS,
        LAUGHS.encode("utf-16"),
        f"<!DOCTYPE x [<!ENTITY f SYSTEM 'file:///etc/hostname'>]><sst {MAIN}>&f;</sst>",
        f"<!DOCTYPE sst SYSTEM 'http://127.0.0.1:9/x.dtd'><sst {MAIN}/>",
        f"<!DOCTYPE sst><sst {MAIN}/>",
    ],
    ids=["laughs", "laughs in UTF-16", "file as entity", "DOCTYPE from elsewhere", "DOCTYPE"],
)
@pytest.mark.parametrize("part", [STRINGS, SHEET, "xl/workbook.xml", "[Content_Types].xml"])
def test_doctype_and_entities_are_refused(body: str | bytes, part: str) -> None:
    assert "it holds a DOCTYPE or ENTITY" in refusal(with_parts(xlsx(HEAD), {part: body}))


@pytest.mark.parametrize(
    "name", ["../../evil.xml", "/tmp/evil.xml", "..\\evil.xml", "xl/../../evil.xml", "C:\\evil.xml"]
)
def test_names_in_the_zip_are_never_paths(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    inside = tmp_path / "a" / "b"
    inside.mkdir(parents=True)
    monkeypatch.chdir(inside)
    data = with_parts(xlsx(HEAD, ["meadow oil", 8]), {name: "<evil/>"})
    assert read_rows(data, name + ".xlsx").rows == (("meadow oil", "8"),)
    assert [p for p in tmp_path.rglob("*") if p.is_file()] == []


def test_links_macros_and_pictures_are_left_unread() -> None:
    rubbish = {
        "xl/externalLinks/externalLink1.xml": LAUGHS,
        "xl/vbaProject.bin": b"\x00" * 100,
        "xl/media/image1.png": b"\x00" * 100,
        "docProps/core.xml": "no XML",
    }
    data = with_parts(xlsx(HEAD, ["meadow oil", 8]), rubbish)
    assert read_rows(data, "list.xlsm").rows == (("meadow oil", "8"),)


def test_last_column_letter_is_that_of_the_limit() -> None:
    assert limits.COLUMNS_MOST == COLUMNS_MOST
    assert get_column_letter(COLUMNS_MOST) == "AX"


# --- columns


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("Ingredient", "name"),
        ("RAW MATERIAL", "name"),
        ("INCI-Name", "INCI"),
        ("rHLB", "required HLB"),
        ("Required HLB (O/W)", "required HLB"),
        ("HLB (required)", "required HLB"),
        ("required HLB w/o", "required HLB w/o"),
        ("required HLB (w/o)", "required HLB w/o"),
        ("HLB", "HLB"),
        ("Dose (%)", "dose"),
        ("dose [% of formula]", "dose"),
        ("Temperature °C", "temperature"),
        ("Remarks", "note"),
        ("Synonyms", "other names"),
    ],
)
def test_usual_headings_are_known(heading: str, field: str) -> None:
    assert match_columns(["?", heading]) == {field: 1}


@pytest.mark.parametrize("heading", ["Temperature (°F)", "temp °F", "dose (g)", "price", "", "HLB w/o", "🧈"])
def test_heading_of_another_meaning_or_unit_is_not_matched(heading: str) -> None:
    assert match_columns([heading]) == {}


def test_first_of_two_columns_is_proposed() -> None:
    assert match_columns(["name", "Ingredient"]) == {"name": 0}


ROWS = Rows(("a", "b"), (("meadow oil", "8"),), (2,))


@pytest.mark.parametrize(
    ("matching", "message"),
    [
        ({"required HLB": 1}, "no column holds the name"),
        ({"name": 0, "price": 1}, "'price' is no field"),
        ({"name": 2}, "'name' has no such column"),
        ({"name": -1}, "'name' has no such column"),
        ({"name": 0, "HLB": 0}, "one column stands for two fields"),
    ],
    ids=["no name", "odd field", "too far", "negative", "twice"],
)
def test_matching_that_cannot_be_read_is_refused(matching: dict[str, int], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        take_rows(ROWS, matching)


def test_matching_may_be_changed_by_the_user() -> None:
    assert take_rows(ROWS, {"name": 0, "required HLB": 1}).items[1] == OwnReading("meadow oil", 8.0)


def test_columns_without_a_field_are_named() -> None:
    assert taken("name;price;shelf", "meadow oil;3;B").unread == ("price", "shelf")


# --- rows


def test_whole_row_is_taken() -> None:
    intake = taken(
        "name;INCI;kind;required HLB;emulsion;note;date;pair;method;dose;temperature;other names",
        "meadow oil;Pratum Oil;Oils;8 to 10;W/O;soft;2026-03-01;a and b;ladder;5 %;158 °F;x oil|y",
    )
    assert intake.items == (
        OwnIngredient("meadow oil", "oil", "Pratum Oil", "soft", ("x oil", "y")),
        OwnReading(
            "meadow oil",
            9.0,
            8.0,
            10.0,
            emulsion="w/o",
            pair="a and b",
            method="ladder",
            on="2026-03-01",
            dose_pct=5.0,
            temperature_c=70.0,
        ),
    )
    assert only(intake) == ("new ingredient of kind oil; required HLB w/o 9 from 8 to 10", "taken")


def test_range_of_its_own_columns_is_taken() -> None:
    intake = taken("name;required HLB;low;high", "meadow oil;9;8;")
    assert intake.items[1] == OwnReading("meadow oil", 9.0, low=8.0)


def test_both_emulsion_types_of_a_row_are_taken() -> None:
    items = taken("name;required HLB;required HLB w/o", "meadow oil;9;4").items
    assert [(x.value, x.emulsion) for x in items if isinstance(x, OwnReading)] == [(9.0, "o/w"), (4.0, "w/o")]


def test_figure_of_a_known_ingredient_gives_a_reading_alone() -> None:
    assert taken("name;required HLB", "Karité butter;9").items == (
        OwnReading("Karité butter", 9.0, kind="butter"),
    )


def test_new_emulsifier_is_taken_with_its_hlb() -> None:
    mine = load_library(taken("name;HLB", "my ester;12,5").items)
    assert mine.emulsifier("my ester").hlb_readings[0].value == 12.5


@pytest.mark.parametrize("word", ["-", "–", "n/a", "?", "unknown"])
def test_word_for_no_figure_is_a_blank(word: str) -> None:
    intake = taken("name;kind;required HLB", f"meadow oil;oil;{word}")
    assert intake.items == (OwnIngredient("meadow oil", "oil"),)


@pytest.mark.parametrize(
    ("heading", "cells", "message"),
    [
        ("required HLB", ";8", "name: it is blank. Name the ingredient."),
        ("required HLB", "!;41", "41 is out of range. Enter 0 to 40"),
        ("required HLB", "x;-1", "-1 is negative. Enter 0 to 40"),
        ("required HLB", "x;10 to 8", "the low end 10 lies above the high end 8"),
        ("required HLB", "x;eight", "required HLB: 'eight' is not a number"),
        ("required HLB", "x;8 %", "'8 %' is not in HLB"),
        ("required HLB", "x;1e999", "not a finite number"),
        ("required HLB", "x;" + "8" * 61, "too long for a figure"),
        ("required HLB;emulsion", "x;8;milk", "emulsion: 'milk' is not known. Write o/w or w/o"),
        ("required HLB;kind", "x;8;spell", "kind: 'spell' is not one of the kinds. Use butter"),
        ("required HLB;HLB", "x;8;9", "kind: it is blank, and the row gives both"),
        ("required HLB;HLB;low", "cetyl alcohol;8;9;7", "the row has two figures"),
        ("low;high", "x;8;9", "there is a range and no figure"),
        ("required HLB;low", "x;8;9", "the value lies outside its range"),
        ("required HLB;dose", "x;8;101", "dose_pct: 101 is out of range"),
        ("required HLB;temperature", "x;8;160 K", "temperature: 'k' is not a unit known for it"),
        ("HLB", "shea butter;9", "no HLB of its own. If the figure is the HLB that it requires"),
        ("required HLB", "polysorbate 80;15", "Put the HLB of an emulsifier under HLB"),
        ("required HLB", "glycerin;15", "it is of kind humectant and not counted in the oil phase"),
        ("HLB;kind", "x;15;sugar", "it is of kind sugar and no emulsifier"),
        ("required HLB", "y" * 201 + ";8", "it has 201 characters. Use at most 200"),
    ],
)
def test_row_that_cannot_be_used_is_told_and_the_next_is_taken(
    heading: str, cells: str, message: str
) -> None:
    intake = taken(f"name;{heading}", cells, "meadow oil;8" if "HLB" in heading else "meadow oil")
    first, second = intake.lines
    assert message in first.result
    assert first.status == "wrong"
    if heading.startswith("required HLB"):
        assert (second.status, len(intake.items)) == ("taken", 2)


def test_row_with_a_wrong_figure_gives_nothing_at_all() -> None:
    intake = taken("name;INCI;required HLB", "meadow oil;Pratum Oil;90", "meadow oil;;9")
    assert intake.items == (OwnIngredient("meadow oil", "oil"), OwnReading("meadow oil", 9.0))


def test_same_row_again_is_skipped_and_said() -> None:
    intake = taken("name;required HLB", "meadow oil;8", "Meadow-Oil;8,0")
    assert (intake.lines[1].result, intake.lines[1].status) == (
        "required HLB o/w 8 stands in row 2 already",
        "skipped",
    )
    assert len(intake.items) == 2


def test_another_figure_of_the_same_name_is_taken_and_said() -> None:
    intake = taken("name;required HLB", "shea butter;8", "karité butter;9")
    assert len(intake.items) == 2
    assert "row 2 gives another figure; both are taken" in intake.lines[1].result


def test_names_of_a_double_new_ingredient_are_those_of_its_first_row() -> None:
    intake = taken("name;INCI;required HLB", "meadow oil;A;8", "meadow oil;B;9")
    assert "names, kind and note are those of row 2" in intake.lines[1].result
    assert [x.inci for x in intake.items if isinstance(x, OwnIngredient)] == ["A"]


def test_what_is_kept_already_is_skipped() -> None:
    first = taken("name;required HLB;INCI", "meadow oil;8;A")
    again = taken("name;required HLB;INCI", "meadow oil;8;A", library=load_library(first.items))
    assert only(again) == ("required HLB o/w 8 is kept already", "skipped")


def test_known_name_alone_is_skipped() -> None:
    assert only(taken("name;required HLB", "shea butter;")) == (
        "known already, and the row gives no figure",
        "skipped",
    )


def test_known_ingredient_keeps_its_names_and_says_so(tiny_library: Library) -> None:
    intake = taken("name;INCI;note;kind", "alpha oil;Other;mine;wax", library=tiny_library)
    assert intake.items == (OwnIngredient("alpha oil", "oil", note="mine"),)
    assert only(intake)[0] == "the kind stays oil; the label name that is known stays; note added"


def test_date_without_a_figure_is_said() -> None:
    result, _ = only(taken("name;kind;date", "meadow oil;oil;2026-03-01"))
    assert "range, date and the like belong to a figure: not taken" in result


@pytest.mark.parametrize(
    "name", ["<script>alert(1)</script>", "<b>x</b>", "javascript:x", "'; DROP TABLE a; --", "{{7}}"]
)
@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_odd_names_stay_text(name: str, kind: str) -> None:
    head: list[object] = ["name", "note"]
    quoted = '"' + name + '"'
    data = xlsx(head, [name, "x"]) if kind == "xlsx" else csv("name,note", f"{quoted},x")
    rows = read_rows(data, f"list.{kind}")
    intake = take_rows(rows, match_columns(rows.header))
    assert (intake.items[0].name, intake.lines[0].name) == (name, name)


def test_report_has_one_row_for_each_of_the_file() -> None:
    intake = taken("name;required HLB", "meadow oil;8", "", ";8", "shea butter;")
    table = intake.report
    assert list(table.columns) == list(REPORT_COLUMNS)
    assert list(table["row"]) == [2, 4, 5]
    assert list(table["status"]) == ["taken", "wrong", "skipped"]


def test_report_of_no_row_is_an_empty_table() -> None:
    assert list(taken("name;required HLB").report.columns) == list(REPORT_COLUMNS)


def test_items_of_a_file_can_be_laid_over_the_tables() -> None:
    mine = load_library(taken("name;required HLB;kind", "meadow butter;9;butter").items)
    found = mine.oil("meadow butter").required_hlb()
    assert found is not None
    assert (found.value, found.grade) == (9.0, "own")


# --- any bytes


def files() -> st.SearchStrategy[tuple[bytes, str]]:
    """Any bytes, damaged tables and damaged workbooks, each under any ending."""
    endings = st.sampled_from(["list.csv", "list.xlsx", "list.xls", "list", "\x00.csv"])
    heads = st.sampled_from([b"", b"PK\x03\x04", b"\xff\xfe", b"name;required HLB\n", b"sep=;\n"])
    noise = st.builds(bytes.__add__, heads, st.binary(max_size=200))
    return st.tuples(st.one_of(noise, cut_bytes(*TABLES), workbooks()), endings)


@settings(max_examples=150)
@given(files())
def test_any_bytes_give_rows_or_a_sentence(file: tuple[bytes, str]) -> None:
    with suppress(InvalidInput):
        rows = read_rows(*file)
        assert len(rows.rows) == len(rows.numbers)
        matching = {f: c for f, c in match_columns(rows.header).items() if c and f != "name"}
        assert len(take_rows(rows, {"name": 0, **matching}).lines) == len(rows.rows)
