"""The pages of the app as `main.py` lists them: file to title."""

from __future__ import annotations

import ast

from opened_app import MAIN

VIEWS = MAIN.parent / "views"


def called_pages() -> dict[str, str]:
    """Names of the files in `app/views/` with the titles of their pages, in order."""
    found = {}
    for node in ast.walk(ast.parse(MAIN.read_text("utf-8"))):
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "st.Page":
            [title] = [ast.literal_eval(k.value) for k in node.keywords if k.arg == "title"]
            found[ast.literal_eval(node.args[0]).removeprefix("views/").removesuffix(".py")] = title
    return found


PAGES = called_pages()
HEADINGS = {**PAGES, "ladder": "Bench ladder"}
