from __future__ import annotations

import io
from pathlib import Path

import pytest
from openpyxl import load_workbook

from hlbcore import Formula, Line, Scale, batch_sheet, example_formula
from hlbcore.batch.workbook import FIRST, HLB, SIZE, TOTAL, WORKBOOK_COLUMNS, batch_xlsx


def evaluated(file: bytes, folder: Path, size: float | None = None) -> dict[str, object]:
    """Cells of the sheet as an independent library works them out."""
    import formulas

    path = folder / "batch.xlsx"
    path.write_bytes(file)
    book = formulas.ExcelModel().loads(str(path)).finish()
    given = {} if size is None else {f"'[batch.xlsx]BATCH'!{SIZE}": size}
    found = book.calculate(inputs=given)
    return {
        key.rpartition("!")[2]: held.value[0, 0]
        for key, held in found.items()
        if ":" not in key and hasattr(held, "value")
    }


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize(
    ("name", "size", "scales", "premixes"),
    [
        ("winter_hand_cream", 500, [Scale(0.1, 2000)], False),
        ("winter_hand_cream", 105, [Scale(0.1, 2000)], True),
        ("three_scent_lotion", 433, [Scale(0.01, 100), Scale(0.1, 2000)], False),
    ],
)
def test_another_library_works_out_the_same_figures(name, size, scales, premixes, tmp_path: Path) -> None:
    sheet = batch_sheet(example_formula(name), size, scales=scales, use_premixes=premixes)
    cells = evaluated(batch_xlsx(sheet), tmp_path)
    grams = [cells[f"G{n}"] for n in range(FIRST, FIRST + len(sheet.weighings))]
    assert grams == pytest.approx(sheet.table.grams.tolist(), abs=1e-9)
    assert cells[TOTAL] == pytest.approx(sheet.total_g)
    assert cells[HLB] == pytest.approx(sheet.hlb.value, abs=1e-9)
    errors = [cells[f"I{n}"] for n in range(FIRST, FIRST + len(sheet.weighings))]
    assert errors == pytest.approx(sheet.table.error_pct.tolist())


@pytest.mark.filterwarnings("ignore")
def test_another_batch_size_gives_other_grams(tmp_path: Path) -> None:
    sheet = batch_sheet(example_formula(), 500, scales=[0.1])
    cells = evaluated(batch_xlsx(sheet), tmp_path, size=1000)
    assert cells[TOTAL] == pytest.approx(1000)
    assert cells[f"G{FIRST + 1}"] == pytest.approx(40)


def test_the_columns_stand_where_the_formulas_look() -> None:
    page = load_workbook(io.BytesIO(batch_xlsx(batch_sheet(example_formula()))))["Batch"]
    assert tuple(c.value for c in page[FIRST - 1]) == WORKBOOK_COLUMNS
    assert page[f"G{FIRST + 1}"].value == f"=(ROUND(D{FIRST + 1}/E{FIRST + 1},0)+F{FIRST + 1})*E{FIRST + 1}"


@pytest.mark.parametrize("name", ["=1+1", "@x", "\r=2", "\x0bodd", "half \ud800", "＝3"])
def test_no_text_runs_as_a_formula(name: str) -> None:
    f = Formula(name, "o/w cream", [Line(name, 100, phase="water")])
    page = load_workbook(io.BytesIO(batch_xlsx(batch_sheet(f))))["Batch"]
    texts = [c for row in page.iter_rows() for c in row if c.column in (1, 2) and c.value]
    assert all(c.data_type == "s" for c in texts)
