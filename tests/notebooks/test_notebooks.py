"""The notebooks: they run, what is kept of them is what they show, and they use only what is public."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import Any

import pytest
from matplotlib.figure import Figure
from running import FOLDER, NOTEBOOKS, cells, run, source

import hlbcore

ALLOWED = {"hlbcore", "pandas", "numpy", "math", "itertools", "statistics", "fractions", "time"}
every_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)

FOLDER_MOST = 3_000_000  # bytes of all notebooks
FIRST_SCREEN = 40  # lines of words and code before the first picture


def tree(path: Path) -> ast.Module:
    return ast.parse("\n".join(source(c) for c in cells(path, "code")))


def imports(module: ast.Module) -> list[tuple[str, str | None]]:
    found: list[tuple[str, str | None]] = []
    for node in ast.walk(module):
        if isinstance(node, ast.Import):
            found += [(name.name, name.asname) for name in node.names]
        elif isinstance(node, ast.ImportFrom):
            found.append((node.module or ".", None))
    return found


def test_there_are_lessons_numbered_from_1() -> None:
    numbers = [int(p.stem.partition("_")[0]) for p in NOTEBOOKS]
    assert len(numbers) >= 10
    assert numbers == list(range(1, len(numbers) + 1))


def bare(text: object) -> str:
    """Without the breaks of lines that a viewer puts in."""
    return re.sub(r"\s+", "", "".join(text) if isinstance(text, list) else str(text))


def kept(cell: dict[str, Any], kind: str) -> list[Any]:
    return [o["data"][kind] for o in cell["outputs"] if kind in o.get("data", {})]


@every_notebook
def test_what_is_kept_is_what_the_code_gives(path: Path) -> None:
    """After a change of figures: python tests/notebooks/save_outputs.py, then read what changed."""
    for ran in run(path):
        printed = [o["text"] for o in ran.cell["outputs"] if o["output_type"] == "stream"]
        assert bare("".join("".join(p) for p in printed)) == bare(ran.printed), ran.code
        if ran.shown is None or ran.code.endswith(";"):
            continue
        if isinstance(ran.shown, Figure):
            assert kept(ran.cell, "image/png"), ran.code
        elif ran.html:
            assert [bare(x) for x in kept(ran.cell, "text/html")] == [bare(ran.html)], ran.code
        else:
            assert [bare(x) for x in kept(ran.cell, "text/plain")] == [bare(repr(ran.shown))], ran.code


@every_notebook
def test_nothing_kept_tells_of_a_mishap_or_of_the_computer(path: Path) -> None:
    for cell in cells(path, "code"):
        assert cell["execution_count"] is None
        for output in cell["outputs"]:
            assert output["output_type"] != "error"
            assert output.get("name") != "stderr"


def test_all_notebooks_together_stay_small() -> None:
    assert sum(p.stat().st_size for p in FOLDER.iterdir()) < FOLDER_MOST


@every_notebook
def test_a_picture_stands_on_the_first_screen(path: Path) -> None:
    lines = 0
    for cell in cells(path, "markdown")[:1] + cells(path, "code")[:1]:
        lines += len(cell["source"])
    assert lines <= FIRST_SCREEN
    assert kept(cells(path, "code")[0], "image/png")


@every_notebook
def test_checks_stand_in_tests_and_not_in_the_lesson(path: Path) -> None:
    assert not [n for n in ast.walk(tree(path)) if isinstance(n, ast.Assert)]


@every_notebook
def test_the_library_is_imported_as_hlb_and_the_rest_from_its_folders(path: Path) -> None:
    ours = [pair for pair in imports(tree(path)) if pair[0].partition(".")[0] == "hlbcore"]
    assert ours[0] == ("hlbcore", "hlb")
    assert [name for name, alias in ours[1:] if alias is not None or "._" in name] == []


@every_notebook
def test_nothing_but_the_standard_library_pandas_and_numpy_is_imported(path: Path) -> None:
    assert {name.partition(".")[0] for name, _ in imports(tree(path))} <= ALLOWED


@every_notebook
def test_only_public_names_are_used(path: Path) -> None:
    used = [n for n in ast.walk(tree(path)) if isinstance(n, ast.Attribute)]
    of_library = {n.attr for n in used if isinstance(n.value, ast.Name) and n.value.id == "hlb"}
    assert of_library
    assert of_library - set(hlbcore.__all__) == set()
    assert [n.attr for n in used if n.attr.startswith("_")] == []


@every_notebook
def test_it_opens_with_what_the_reader_will_be_able_to_do(path: Path) -> None:
    assert "After this lesson you can" in "".join(cells(path, "markdown")[0]["source"])


@every_notebook
@pytest.mark.parametrize("phrase", ["stable", "correct HLB"])
def test_a_phrase_that_promises_too_much_stands_nowhere(path: Path, phrase: str) -> None:
    assert phrase not in path.read_text(encoding="utf-8")
