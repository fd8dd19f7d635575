"""Rules on the source of the app: it shows, it does not compute."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

APP = Path(__file__).parents[2] / "app"
FILES = pytest.mark.parametrize(
    "path", sorted(APP.rglob("*.py")), ids=lambda p: p.relative_to(APP).as_posix()
)
ARITHMETIC = (ast.Mult, ast.Pow, ast.Div, ast.FloorDiv, ast.Sub, ast.Mod, ast.MatMult)
WIDGETS = {
    "text_input",
    "text_area",
    "selectbox",
    "multiselect",
    "button",
    "download_button",
    "toggle",
    "checkbox",
    "radio",
    "segmented_control",
    "pills",
    "number_input",
    "slider",
    "select_slider",
    "file_uploader",
    "data_editor",
}


def nodes(text: str) -> Iterator[ast.AST]:
    return ast.walk(ast.parse(text))


def called(node: ast.AST) -> str:
    """Last part of the name that is called, blank for other nodes."""
    if not isinstance(node, ast.Call):
        return ""
    return getattr(node.func, "attr", getattr(node.func, "id", ""))


def arithmetic(text: str) -> list[int]:
    """Lines that compute; a minus before a constant is a number, not a computation."""
    found = []
    for node in nodes(text):
        computes = isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ARITHMETIC)
        turns = (
            isinstance(node, ast.UnaryOp)
            and isinstance(node.op, ast.USub)
            and not isinstance(node.operand, ast.Constant)
        )
        if computes or turns:
            found.append(node.lineno)  # type: ignore[attr-defined]
    return found


def calls_of(text: str, names: set[str]) -> list[str]:
    return [called(node) for node in nodes(text) if called(node) in names]


def imported(text: str) -> set[str]:
    found: set[str] = set()
    for node in nodes(text):
        if isinstance(node, ast.Import):
            found |= {a.name.partition(".")[0] for a in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add((node.module or "").partition(".")[0])
    return found


def without(text: str, names: set[str], argument: str) -> list[int]:
    """Lines of calls of those names that lack a keyword argument."""
    return [
        node.lineno
        for node in nodes(text)
        if isinstance(node, ast.Call)
        and called(node) in names
        and argument not in {k.arg for k in node.keywords}
    ]


@FILES
def test_app_does_not_compute(path: Path) -> None:
    assert arithmetic(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    "line", ["a * b", "a ** b", "a - b", "a % b", "a / b", "a // b", "a *= b", "a -= b", "-a"]
)
def test_the_check_of_arithmetic_sees(line: str) -> None:
    assert arithmetic(line) == [1]


@FILES
def test_app_does_not_sum_or_round(path: Path) -> None:
    assert calls_of(path.read_text("utf-8"), {"sum", "fsum", "round", "min", "max"}) == []


@FILES
def test_app_imports_no_package_for_numbers(path: Path) -> None:
    assert imported(path.read_text("utf-8")) & {"numpy", "scipy", "pandas", "math"} == set()


@FILES
def test_app_runs_nothing_that_was_typed(path: Path) -> None:
    text = path.read_text("utf-8")
    assert calls_of(text, {"eval", "exec", "compile", "__import__", "literal_eval"}) in (
        [],
        ["compile"] * text.count("re.compile("),
    )
    assert imported(text) & {"pickle", "marshal", "shelve", "subprocess"} == set()


@FILES
def test_app_shows_no_unchecked_markup(path: Path) -> None:
    assert "unsafe_allow_html" not in path.read_text("utf-8")


@FILES
def test_every_widget_has_a_key(path: Path) -> None:
    assert without(path.read_text("utf-8"), WIDGETS, "key") == []


def test_the_check_of_keys_sees_a_missing_key() -> None:
    assert without("st.button('a', key='b')\nst.button('c')", WIDGETS, "key") == [2]


def test_app_has_no_folder_that_switches_on_automatic_pages() -> None:
    assert not (APP / "pages").exists()


@FILES
def test_files_of_the_app_are_short(path: Path) -> None:
    assert len(path.read_text("utf-8").splitlines()) <= 400
