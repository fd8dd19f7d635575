"""No cell of a CSV file runs in a spreadsheet, whatever signs and line breaks it holds."""

from __future__ import annotations

import csv
import io

import pandas as pd
import pytest

from hlbcore.cells import bare_cell, safe_cell, to_csv


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
