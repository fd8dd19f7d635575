from __future__ import annotations

import ast
import inspect
import re
import tomllib
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

import hlbcore
from hlbcore import structure

ROOT = Path(hlbcore.__file__).parent
# words used everywhere stay flat, stages are folders; each imports only what stands above it
HOUSE = (
    (
        "errors",
        "limits",
        "saved_text",
        "_numbers",
        "quantities",
        "units",
        "cells",
        "calendars",
        "printed",
        "typed",
        "readings",
        "estimate",
        "shares",
        "findings",
    ),
    (
        "product_types",
        "sources",
        "ingredients",
        "own_items",
        "classes",
        "sheets",
        "ready",
        "_sorting",
        "_tables",
        "_class_tables",
        "_name_kinds",
        "names",
        "lookup",
        "overlay",
        "folders",
        "library",
        "own",
        "structure",
    ),
    ("intake",),
    ("formula",),
    ("counting",),
    ("blending",),
    ("shelf",),
    ("rules",),
    ("checks",),
    ("diagnosis",),
    ("swapping",),
    ("ladder",),
    ("learning",),
    ("batch",),
    ("kept",),
    ("lessons",),
    ("plots",),
    ("report", "commands"),
)
ORDER = tuple(name for room in HOUSE for name in room)
MODULES = pytest.mark.parametrize("path", sorted(ROOT.rglob("*.py")), ids=lambda p: str(p.relative_to(ROOT)))


@cache
def nodes_of(path: Path) -> tuple[ast.AST, ...]:
    """All of the syntax tree of a file."""
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


@cache
def imported(path: Path) -> list[str]:
    """Full names of all modules that a file imports, also inside functions."""
    names = []
    for node in nodes_of(path):
        if isinstance(node, ast.Import):
            names += [a.name for a in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import"
            names.append(node.module or "")
            names += [f"{node.module}.{a.name}" for a in node.names]
    return names


@MODULES
def test_core_does_not_know_the_app(path: Path) -> None:
    assert [n for n in imported(path) if n.split(".")[0] in ("streamlit", "app")] == []


@MODULES
def test_core_does_not_print(path: Path) -> None:
    if path.name == "__main__.py":
        return
    calls = [
        node.lineno
        for node in nodes_of(path)
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert calls == []


PAGES = [ROOT.parent / "app" / "main.py", *sorted(ROOT.parent.glob("app/views/*.py"))]


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_no_text_stands_alone_in_a_page_where_streamlit_would_show_it(path: Path) -> None:
    alone = [
        node.lineno
        for node in ast.parse(path.read_text(encoding="utf-8")).body[1:]
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    ]
    assert alone == []


LINES_MOST = 400
LONG: set[str] = set()  # to be split: the list may only shrink


def long_modules(root: Path) -> set[str]:
    paths = {p.relative_to(root).as_posix(): p for p in root.rglob("*.py")}
    return {n for n, p in paths.items() if len(p.read_text("utf-8").splitlines()) > LINES_MOST}


def test_no_module_is_longer_than_a_person_reads_at_once() -> None:
    assert long_modules(ROOT) - LONG == set()


def test_a_module_that_was_split_leaves_the_list_of_long_ones() -> None:
    assert LONG - long_modules(ROOT) == set()


@pytest.mark.parametrize(("lines", "found"), [(LINES_MOST, set()), (LINES_MOST + 1, {"a/b.py"})])
def test_the_count_of_lines_sees_one_too_many(lines: int, found: set[str], tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / "b.py").write_text("x = 1\n" * lines, "utf-8")
    assert long_modules(tmp_path) == found


def test_complexity_is_bounded_and_each_exception_has_a_reason() -> None:
    with (ROOT.parent / "pyproject.toml").open("rb") as file:
        lint = tomllib.load(file)["tool"]["ruff"]["lint"]
    assert "C901" in lint["select"]
    assert lint["mccabe"]["max-complexity"] == 15
    assert not [names for names in lint["per-file-ignores"].values() if "C901" in names]
    told = re.compile(r"# noqa:[^#\n]*\bC901\b(?!.*#.*\w{3})")
    folders = [ROOT, *(ROOT.parent / name for name in ("app", "tests"))]
    files = [p for folder in folders for p in folder.rglob("*.py") if p != Path(__file__)]
    assert [p.name for p in files if told.search(p.read_text("utf-8"))] == []


@pytest.mark.parametrize("name", ORDER)
def test_room_imports_only_rooms_above_it(name: str) -> None:
    above = ORDER[: ORDER.index(name)]
    files = sorted((ROOT / name).rglob("*.py")) or [ROOT / f"{name}.py"]
    parts = [n.split(".") for file in files for n in imported(file)]
    used = {p[1] for p in parts if p[0] == "hlbcore" and len(p) > 1}
    assert used - {*above, name} == set()


def test_rooms_are_those_of_the_packages_docstring() -> None:
    rooms = re.findall(r"^- (`.*?):", hlbcore.__doc__ or "", re.M | re.S)
    listed = [tuple(re.findall(r"`(\w+)`", room)) for room in rooms]
    assert tuple(listed) == HOUSE


def test_every_module_stands_in_a_room() -> None:
    held = {p.stem for p in ROOT.glob("*.py")} - {"__init__", "__main__"}
    held |= {p.parent.name for p in ROOT.glob("*/__init__.py")}
    assert held == set(ORDER)


# --- public names and their documentation


def functions() -> dict[str, Callable[..., object]]:
    public = {n: getattr(hlbcore, n) for n in hlbcore.__all__}
    found = {n: f for n, f in public.items() if inspect.isfunction(f)}
    inner = inspect.getmembers(structure, inspect.isfunction)
    return found | {
        f"structure.{n}": f for n, f in inner if f.__module__ == structure.__name__ and not n.startswith("_")
    }


def classes() -> dict[str, type]:
    public = {n: getattr(hlbcore, n) for n in hlbcore.__all__}
    return {n: c for n, c in public.items() if inspect.isclass(c)}


EACH_FUNCTION = pytest.mark.parametrize("function", functions().values(), ids=functions().keys())
EACH_CLASS = pytest.mark.parametrize("kind", classes().values(), ids=classes().keys())


def section(doc: str, name: str) -> str:
    """Text of one numpydoc section, blank where it is missing."""
    found = re.search(rf"^{name}\n-+\n(.*?)(?=^\S[^\n]*\n---|\Z)", doc, re.M | re.S)
    return found[1] if found else ""


def parameters(doc: str) -> dict[str, str]:
    """Name to type and text, of the Parameters section."""
    entries = re.split(r"^(?=\S)", section(doc, "Parameters"), flags=re.M)
    found = {}
    for entry in filter(None, map(str.strip, entries)):
        names, _, rest = entry.partition(" : ")
        found |= {n.strip(): rest for n in names.split(",")}
    return found


def without_unit(doc: str) -> list[str]:
    """Parameters with a number and no unit in brackets; a line number as a key needs none."""
    found = []
    for name, text in parameters(doc).items():
        kind = text.partition("\n")[0].replace("mapping of int to", "")
        if re.search(r"\b(float|int)\b", kind) and not re.search(r"\[[^\]]+\]", text):
            found.append(name)
    return found


def test_public_names_exist_once() -> None:
    assert [n for n in hlbcore.__all__ if not hasattr(hlbcore, n)] == []
    assert len(hlbcore.__all__) == len(set(hlbcore.__all__))  # their order is that of ruff


def test_what_is_loaded_on_first_use_is_what_the_type_checker_reads() -> None:
    tree = ast.parse((ROOT / "__init__.py").read_text("utf-8"))
    (block,) = (node for node in tree.body if isinstance(node, ast.If))
    read = {n.module: tuple(a.name for a in n.names) for n in block.body if isinstance(n, ast.ImportFrom)}
    assert read == hlbcore._LATE


def test_the_package_exports_what_a_reader_can_survey() -> None:
    assert len(hlbcore.__all__) <= 72  # the rest is imported from its folder


def test_every_public_name_is_documented() -> None:
    undocumented = [n for n in hlbcore.__all__ if not (inspect.getdoc(getattr(hlbcore, n)) or "").strip()]
    assert undocumented == []


@EACH_FUNCTION
def test_every_public_function_has_examples(function: Callable[..., object]) -> None:
    assert ">>> " in section(inspect.getdoc(function) or "", "Examples")


@EACH_FUNCTION
def test_every_argument_is_described(function: Callable[..., object]) -> None:
    described = set(parameters(inspect.getdoc(function) or ""))
    assert described == set(inspect.signature(function).parameters)


@EACH_FUNCTION
def test_every_numeric_argument_has_its_unit(function: Callable[..., object]) -> None:
    assert without_unit(inspect.getdoc(function) or "") == []


@EACH_CLASS
def test_every_numeric_field_has_its_unit(kind: type) -> None:
    assert without_unit(inspect.getdoc(kind) or "") == []


def test_unit_check_sees_a_missing_unit() -> None:
    doc = "x\n\nParameters\n----------\na, b : float\n    One. [g]\nc : float\n    Two.\n\nReturns"
    assert without_unit(doc) == ["c"]


@EACH_FUNCTION
def test_first_line_is_one_sentence_without_a_citation(function: Callable[..., object]) -> None:
    doc = (inspect.getdoc(function) or "").splitlines()
    assert len(doc) == 1 or doc[1] == ""
    assert "_" not in doc[0].replace("`", "")


@EACH_FUNCTION
def test_every_public_function_is_typed_without_any(function: Callable[..., object]) -> None:
    signature = inspect.signature(function)
    notes = [p.annotation for p in signature.parameters.values()] + [signature.return_annotation]
    assert inspect.Signature.empty not in notes
    assert [n for n in notes if re.search(r"\bAny\b", str(n))] == []
