from __future__ import annotations

import io
import math
from dataclasses import replace

import pandas as pd
import pytest
from hlbcore.sheets.report import READING_COLUMNS, blend_table, readings_table, sources_of
from hypothesis import given
from hypothesis import strategies as st

from hlbcore import Library, Sheet, SheetEmulsifier, SheetLine, example_sheet, work_out
from hlbcore.cells import safe_cell, to_csv


def test_every_reading_stands_in_the_table_disagreements_too(tiny_library: Library) -> None:
    table = readings_table(tiny_library.find("alpha oil"), tiny_library)
    assert list(table.columns) == list(READING_COLUMNS)
    assert table[["quantity", "value", "grade", "source"]].values.tolist() == [
        ["required HLB, o/w", 6.0, "published", "a"],
        ["required HLB, o/w", 7.0, "published", "b"],
        ["required HLB, o/w", 8.0, "craft", "c"],
        ["required HLB, w/o", 4.0, "published", "a"],
    ]


def test_the_source_is_written_out(library: Library) -> None:
    table = readings_table(library.find("cocoa butter"))
    assert set(table["source"]) <= {s.citation for s in library.sources.values()}


def test_a_range_that_is_not_printed_stays_blank(tiny_library: Library) -> None:
    beta = readings_table(tiny_library.find("beta oil"), tiny_library)
    alpha = readings_table(tiny_library.find("alpha oil"), tiny_library)
    assert beta[["low", "high"]].values.tolist() == [[9.5, 12.0]]
    assert alpha[["low", "high"]].isna().all(axis=None)


SHEET = Sheet(
    lines=(SheetLine("alpha oil", "10"), SheetLine("beta oil", "10"), SheetLine("mine", "1", own="9")),
    emulsifiers=(SheetEmulsifier("delta ester"), SheetEmulsifier("own ester", hlb="15")),
)


def test_sources_are_those_of_the_side_and_emulsion_used(tiny_library: Library) -> None:
    table = sources_of(work_out(SHEET, tiny_library), tiny_library)
    assert list(table.columns) == list(READING_COLUMNS)
    assert table[["ingredient", "quantity", "value"]].values.tolist() == [
        ["alpha oil", "required HLB, o/w", 6.0],
        ["alpha oil", "required HLB, o/w", 7.0],
        ["alpha oil", "required HLB, o/w", 8.0],
        ["beta oil", "required HLB, o/w", 10.0],
        ["delta oleate", "HLB", 4.0],
    ]


def test_a_value_of_the_users_own_rests_on_no_source(tiny_library: Library) -> None:
    lines = (SheetLine("alpha oil", "10", own="9"),)
    table = sources_of(work_out(replace(SHEET, lines=lines), tiny_library), tiny_library)
    assert "alpha oil" not in set(table["ingredient"])


def test_an_empty_sheet_has_no_sources_but_the_columns(tiny_library: Library) -> None:
    table = sources_of(work_out(Sheet(), tiny_library), tiny_library)
    assert (list(table.columns), len(table)) == (list(READING_COLUMNS), 0)


@pytest.mark.parametrize(
    "text", ["=1+1", "+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1", "  =1", "\n=1", "=cmd|'/c'!A1"]
)
def test_text_that_begins_like_a_formula_is_quoted(text: str) -> None:
    assert safe_cell(text) == "'" + text


@pytest.mark.parametrize("value", ["olive oil", "5 - 6", "", 1.5, -1.5, 0, None, True])
def test_other_cells_stay_as_they_are(value: object) -> None:
    assert safe_cell(value) is value


@given(st.text(max_size=20))
def test_no_cell_begins_with_the_mark_of_a_formula(text: str) -> None:
    assert str(safe_cell(text)).lstrip()[:1] not in {"=", "+", "-", "@"}


def test_csv_opens_in_spreadsheets_and_numbers_stay_numbers() -> None:
    table = pd.DataFrame({"name": ["=x", "é, ü"], "value": [-1.5, math.nan]})
    raw = to_csv(table)
    assert raw.startswith(b"\xef\xbb\xbf")
    assert raw.decode("utf-8-sig") == 'name,value\n\'=x,-1.5\n"é, ü",\n'
    assert pd.read_csv(io.BytesIO(raw))["value"].dtype == float


def test_csv_leaves_the_table_as_it_was() -> None:
    table = pd.DataFrame({"name": ["=x"]})
    to_csv(table)
    assert table["name"].tolist() == ["=x"]


COLUMNS = ["emulsifier", "pct_of_formula", "pct_of_blend", "grams", "hlb"]


def test_blend_table_of_the_example_shows_what_is_weighed() -> None:
    table = blend_table(work_out(example_sheet()))
    assert list(table.columns) == COLUMNS
    assert table["grams"].tolist() == [14.9, 7.6]
    assert table["pct_of_formula"].tolist() == [2.98, 1.52]


def test_without_a_blend_there_is_no_row() -> None:
    table = blend_table(work_out(Sheet()))
    assert (list(table.columns), len(table)) == (COLUMNS, 0)


def test_without_a_batch_the_grams_stay_blank() -> None:
    table = blend_table(work_out(replace(example_sheet(), batch="")))
    assert table["grams"].isna().all()
    assert table["pct_of_formula"].tolist() == [2.98, 1.52]


@given(st.floats(3, 12), st.floats(1, 30), st.floats(20, 5000))
def test_printed_columns_add_up(needed: float, total: float, batch: float) -> None:
    sheet = Sheet(
        lines=(SheetLine("my oil", "20", own=f"{needed:.3f}"),),
        emulsifiers=tuple(SheetEmulsifier(n, hlb=h) for n, h in (("a", "2"), ("b", "7.3"), ("c", "15"))),
        objective="most tolerant",
        total=f"{total:.4f}",
        batch=f"{batch:.2f} g",
    )
    found = work_out(sheet)
    table = blend_table(found)
    assert found.blend is not None
    printed = math.fsum(round(v, 2) for v in table["pct_of_formula"])
    assert printed == pytest.approx(found.blend.total, abs=0.00501)
    assert math.fsum(round(v, 1) for v in table["pct_of_blend"]) == pytest.approx(100, abs=1e-6)
    assert found.weighed is not None
    assert math.fsum(table["grams"]) == pytest.approx(found.weighed.total_g, abs=1e-6)
