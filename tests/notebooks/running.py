"""A notebook run in this process, cell by cell, with what each cell left behind and showed."""

from __future__ import annotations

import ast
import contextlib
import io
import json
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import matplotlib as mpl
import matplotlib.pyplot as plt
import pandas as pd

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def cells(path: Path, kind: str) -> list[dict[str, Any]]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return [c for c in notebook["cells"] if c["cell_type"] == kind]


def source(cell: dict[str, Any]) -> str:
    """Its code without the lines that only a notebook takes."""
    lines = "".join(cell["source"]).splitlines()
    return "\n".join(line for line in lines if not line.startswith("%"))


@dataclass
class Ran:
    """A cell after its run."""

    cell: dict[str, Any]
    code: str
    printed: str
    shown: Any
    html: str  # as a viewer draws it, blank where it does not
    names: dict[str, Any] = field(repr=False)


@cache
def run(path: Path) -> tuple[Ran, ...]:
    """All code cells, run top to bottom."""
    done: list[Ran] = []
    names: dict[str, Any] = {"__name__": "__main__"}
    width = pd.options.display.max_colwidth
    backend = mpl.get_backend()
    mpl.use("agg")
    try:
        for n, cell in enumerate(cells(path, "code"), 1):
            code = source(cell)
            tree = ast.parse(code, f"{path.name}, cell {n}")
            last = tree.body.pop() if tree.body and isinstance(tree.body[-1], ast.Expr) else None
            out, shown = io.StringIO(), None
            with contextlib.redirect_stdout(out):
                exec(compile(tree, f"{path.name}, cell {n}", "exec"), names)
                if isinstance(last, ast.Expr):
                    shown = eval(compile(ast.Expression(last.value), f"{path.name}, cell {n}", "eval"), names)
            html = shown._repr_html_() if hasattr(shown, "_repr_html_") else ""
            done.append(Ran(cell, code, out.getvalue(), shown, html, dict(names)))
    finally:
        plt.close("all")
        pd.options.display.max_colwidth = width
        mpl.use(backend)
    return tuple(done)


class Notebook:
    """A lesson by its number, for checks of what it works out."""

    def __init__(self, number: int) -> None:
        self.path = next(p for p in NOTEBOOKS if p.stem.startswith(f"{number:02d}_"))

    def after(self, fragment: str) -> SimpleNamespace:
        """The names as they stand after the cell that holds this text."""
        found = [ran for ran in run(self.path) if fragment in ran.code]
        assert len(found) == 1, (fragment, len(found))
        return SimpleNamespace(**{k: v for k, v in found[0].names.items() if k.isidentifier()})
