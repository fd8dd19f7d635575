"""The lessons are stored clean and use only what is public; that they run, `--nbmake` checks."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path
from typing import Any

import pytest

import hlbcore

FOLDER = Path(__file__).parent.parent / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))
ALLOWED = {"hlbcore", "pandas", "numpy", "math", "itertools", "statistics", "fractions", "time"}
every_notebook = pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda p: p.stem)


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return [c for c in notebook["cells"] if c["cell_type"] == kind]


def tree(path: Path) -> ast.Module:
    lines = "".join("".join(c["source"]) + "\n" for c in cells(path, "code")).splitlines()
    return ast.parse("\n".join(line for line in lines if not line.startswith("%")))


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
    assert len(numbers) >= 2
    assert numbers == list(range(1, len(numbers) + 1))


@every_notebook
def test_it_is_stored_without_outputs(path: Path) -> None:
    assert all(c["outputs"] == [] and c["execution_count"] is None for c in cells(path, "code"))


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
def test_every_cell_that_shows_something_is_followed_by_an_assert(path: Path) -> None:
    bodies = [ast.parse(re.sub(r"(?m)^%.*$", "", "".join(c["source"]))).body for c in cells(path, "code")]
    asserts = [any(isinstance(n, ast.Assert) for n in body) for body in bodies]
    shows = [bool(body) and isinstance(body[-1], ast.Expr) for body in bodies]
    unchecked = [n for n, shown in enumerate(shows) if shown and not any(asserts[n : n + 3])]
    assert asserts[-1]
    assert unchecked == []


@every_notebook
def test_it_opens_with_what_the_reader_will_be_able_to_do(path: Path) -> None:
    assert "After this lesson you can" in "".join(cells(path, "markdown")[0]["source"])


@every_notebook
@pytest.mark.parametrize("phrase", ["stable", "correct HLB"])
def test_a_phrase_that_promises_too_much_stands_nowhere(path: Path, phrase: str) -> None:
    assert phrase not in path.read_text(encoding="utf-8")
