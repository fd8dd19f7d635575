from __future__ import annotations

import csv
import io
import re

import pytest

from hlbcore import Formula, InvalidInput, Jars, Line, Scale, batch_sheet, example_formula, work_out
from hlbcore.batch.printing import SHEET_CSV_COLUMNS, batch_csv, batch_page, formula_page

BAD = "<script>alert(1)</script>"


def sheet(**options: object):
    return batch_sheet(example_formula(), 500, scales=[Scale(0.1, 2000)], **options)


def cells(page: str, name: str) -> list[str]:
    return re.findall(rf'<td class="{name}">([^<]*)', page)


def test_the_printed_grams_are_those_of_the_table() -> None:
    made = sheet()
    assert cells(batch_page(made), "grams") == [f"{g:.1f} g" for g in made.table.grams]
    assert cells(batch_page(made), "name") == made.table.ingredient.tolist()


def test_a_page_says_what_is_added_and_what_rounding_does() -> None:
    page = batch_page(sheet(), number="W-7", made_on="2026-03-01", who="Ana")
    assert "The grams add to 500.0 g" in page
    assert "HLB of the blend 8.2" in page
    assert all(text in page for text in ("W-7", "2026-03-01", "Ana", "Hot fat burns", "does not certify"))


def test_the_page_names_what_took_the_rest_of_rounding() -> None:
    page = batch_page(batch_sheet(example_formula(), 60.0, scales=[0.1]))
    assert "The grams add to 60.0 g. water took what rounding left over." in page


def test_jars_stand_on_the_page() -> None:
    page = batch_page(batch_sheet(example_formula(), Jars(10, "50 g"), scales=[0.1]))
    assert "for 10 jars of 50 g" in page


@pytest.mark.parametrize("paper", ["A4", "Letter", "letter"])
def test_the_paper_is_the_one_asked_for(paper: str) -> None:
    assert f"size: {'A4' if paper == 'A4' else 'Letter'};" in batch_page(sheet(), paper=paper)


def test_another_paper_is_refused() -> None:
    with pytest.raises(InvalidInput, match="Use A4, Letter"):
        batch_page(sheet(), paper="A5; } body { display: none")


def test_what_a_user_typed_is_text_on_every_page() -> None:
    lines = [
        Line(BAD, 50, phase="water", note=BAD),
        Line("water", 50, phase=BAD),
        Line("half \ud800 sign", 0.0, phase="water"),
    ]
    f = Formula(BAD, "o/w cream", lines, phases=["water", BAD], note=BAD)
    for page in (batch_page(batch_sheet(f), number=BAD, who=BAD, made_on=BAD), formula_page(work_out(f))):
        assert "<script" not in page
        assert "&lt;script&gt;" in page
        page.encode()


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "＝", "\r=", "\t@", " ="])
def test_no_cell_of_the_csv_runs_as_a_formula(start: str) -> None:
    f = Formula("x", "o/w cream", [Line(f"{start}SUM(A1)", 100, phase="water")])
    file = batch_csv(batch_sheet(f))
    assert file.startswith(b"\xef\xbb\xbf")
    [head, row] = csv.reader(io.StringIO(file.decode("utf-8-sig"), newline=""))
    assert tuple(head) == SHEET_CSV_COLUMNS
    assert row[2].startswith("'")


def test_the_csv_is_rounded_as_it_is_weighed() -> None:
    rows = list(csv.DictReader(io.StringIO(batch_csv(sheet()).decode("utf-8-sig"))))
    assert [r["grams [g]"] for r in rows][:3] == ["350.8", "20.0", "1.2"]
    assert sum(float(r["grams [g]"]) for r in rows) == pytest.approx(500)


def test_the_formula_s_page_adds_up_as_printed() -> None:
    page = formula_page(work_out(example_formula()))
    pcts = re.findall(r'</td><td class="number name">(\d+\.\d\d)</td><td class="number', page)
    assert pcts[-1] == "100.00"
    assert sum(map(float, pcts[:-1])) == pytest.approx(100)


def test_a_half_written_formula_prints_with_its_open_points() -> None:
    page = formula_page(work_out(Formula("x", "o/w cream", [Line("water", 90, phase="water")])))
    assert "10 % is missing" in page


def test_portions_print_on_top_of_the_base() -> None:
    page = formula_page(work_out(example_formula("three_scent_lotion")))
    assert "cool-down, on top of portion lavender" in page
