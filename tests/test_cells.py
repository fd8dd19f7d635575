"""Cells of files: no text runs in a spreadsheet, and numbers stay numbers."""

from __future__ import annotations

import csv
import io
import math

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hlbcore.cells import bare_cell, safe_cell, to_csv


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
    assert raw.decode("utf-8-sig") == 'name,value\r\n\'=x,-1.5\r\n"é, ü",\r\n'
    assert pd.read_csv(io.BytesIO(raw))["value"].dtype == float


def test_csv_leaves_the_table_as_it_was() -> None:
    table = pd.DataFrame({"name": ["=x"]})
    to_csv(table)
    assert table["name"].tolist() == ["=x"]


@pytest.mark.parametrize(
    "text", ["=1", " =1", "+1", "-1", "@x", "\t=1", "\r=1", "＝1+1", "＋1", "－1", "＠x"]
)
def test_a_text_that_begins_like_a_formula_gets_an_apostrophe_and_comes_back(text: str) -> None:
    assert safe_cell(text) == "'" + text
    assert bare_cell(str(safe_cell(text))) == text


def test_a_carriage_return_never_parts_a_cell() -> None:
    made = to_csv(pd.DataFrame({"name": ["\r=1", "a\r=1", "b\n=1"]})).decode("utf-8-sig")
    assert [row for row in csv.reader(io.StringIO(made, newline=""))][1:] == [["'\r=1"], ["a\r=1"], ["b\n=1"]]
    for line in made.split("\r\n")[1:-1]:
        assert line.startswith('"')
        assert line.endswith('"')
