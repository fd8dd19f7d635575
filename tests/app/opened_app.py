"""The app as a person sees it, without a browser: fields by their labels, results as text.

The list of lines is one component that this way of testing does not see into: its edits are taken as
the page takes them, and what it shows is compared as data.
"""

from __future__ import annotations

import html
import re
import sys
from pathlib import Path
from typing import Any

from streamlit.testing.v1 import AppTest

import hlbcore as hlb

MAIN = Path(__file__).parents[2] / "app" / "main.py"
FORMULA, VALUES = "views/formula.py", "views/values.py"


def opened() -> AppTest:
    """The first page, with the bundled example."""
    return AppTest.from_file(str(MAIN.resolve()), default_timeout=30).run()


def said(text: object) -> str:
    """Text without the signs and tags that only mark it up."""
    bare = re.sub(r"<[^>]*>", " ", str(text))
    return " ".join(html.unescape(re.sub(r"\\(.)", r"\1", bare)).split())


def field(app: AppTest, label: str):
    """The field with that label, whatever its kind."""
    kinds = (app.text_input, app.selectbox, app.toggle, app.text_area, app.multiselect)
    found = [w for kind in kinds for w in kind if said(w.label) == label]
    assert len(found) == 1, f"{label}: {len(found)} in {[said(w.label) for w in app.text_input]}"
    return found[0]


def typed(app: AppTest, label: str, text: str) -> AppTest:
    field(app, label).set_value(text).run()
    return app


def pressed(app: AppTest, label: str) -> AppTest:
    """After a press on the button with that label."""
    found = [b for b in app.button if said(b.label) == label]
    assert len(found) == 1, f"{label}: {[said(b.label) for b in app.button]}"
    found[0].click().run()
    return app


def unfolded(app: AppTest, label: str) -> AppTest:
    """After a part was opened that is drawn only then."""
    boxes = {
        "Aims": "aim_box",
        "Known": "fact_box",
        "workings": "details_workings",
        "sources": "details_sources",
        "whole": "details_whole",
        "pictures": "details_pictures",
        "wrong": "details_wrong",
        "hard": "details_hard",
        "files": "details_files",
        "wishes": "swap_more",
        "all kept": "across_box",
        "substitutes": "swap_rank_box",
        "fats": "swap_fats",
        "figures": "swap_sources",
    }
    app.session_state[boxes[label]] = True
    return app.run()


# --- the list


def app_modules() -> Any:
    """The module of the app that takes edits."""
    folder = str(MAIN.parent)
    sys.path.insert(0, folder)
    try:
        import taking
    finally:
        sys.path.remove(folder)
    return taking


def taken(app: AppTest, *edits: object) -> AppTest:
    """After edits of the list, taken as the page takes them."""
    taking = app_modules()
    tables = hlb.load_library()
    taking.take(app.session_state["draft"], taking.Edits(len(edits), tuple(edits)), tables)
    return app.run()


def row_of(app: AppTest, name: str) -> str:
    """The id of the first line of that name."""
    now = app.session_state["draft"]
    return next(i for i, x in zip(now.ids, now.formula.lines, strict=True) if x.name == name)


def line(app: AppTest, name: str, text: str, field_name: str = "amount") -> AppTest:
    """After a text was typed in a field of a line."""
    return taken(app, app_modules().Typed(row_of(app, name), field_name, text))


def added(app: AppTest, name: str, amount: str = "", group: str = "") -> AppTest:
    """After a line was added by a name, with its amount."""
    taking = app_modules()
    row = f"new {name} {len(app.session_state['draft'].ids)}"
    known = name in {i.common_name for i in hlb.load_library()}
    edits = [taking.Added(row, name, group, name, known)]
    return taken(app, *edits, *([taking.Typed(row, "amount", amount)] if amount else []))


def removed(app: AppTest, name: str) -> AppTest:
    return taken(app, app_modules().Removed(row_of(app, name)))


def pressed_in(app: AppTest, name: str, key: str) -> AppTest:
    """After a press on a button of a line's menu."""
    return taken(app, app_modules().Pressed(row_of(app, name), key))


def formula(app: AppTest) -> hlb.Formula:
    return app.session_state["draft"].formula


def listed(app: AppTest) -> Any:
    """What the list shows, as data."""
    folder = str(MAIN.parent)
    sys.path.insert(0, folder)
    try:
        import rows
    finally:
        sys.path.remove(folder)
    now = app.session_state["draft"]
    tables = hlb.load_library()
    return rows.shown(hlb.work_out(now.formula, tables), now.ids, tables)


def problems(app: AppTest, name: str = "") -> list[str]:
    """The sentences below the lines, or below one."""
    return [p.text for r in listed(app).rows if name in ("", r.name) for p in r.problems]


# --- what the page shows


def answer(app: AppTest) -> str:
    """The answer that stays, as text."""
    return " ".join(said(h.value) for h in app.html if 'class="answer"' in h.value)


def headline(app: AppTest) -> str:
    found = [h.value for h in app.html if "verdict-line" in h.value]
    return said(re.search(r"<h2[^>]*>(.*?)</h2>", found[0], re.DOTALL)[1]) if found else ""


def verdict(app: AppTest) -> str:
    """Word and sentence of the verdict box of a page, blank where there is none."""
    return " ".join(said(h.value) for h in app.html if 'class="verdict ' in h.value)


def figures(app: AppTest) -> str:
    """All tables of results as text."""
    return " | ".join(said(h.value) for h in app.html if "<table" in h.value)


def sentences(app: AppTest) -> list[str]:
    """What stands beside the fields that cannot be used."""
    held = [said(m.value) for m in app.markdown if m.value.startswith(":material/error:")]
    return [h.removeprefix(":material/error: **").removesuffix("**") for h in held]


def everything(app: AppTest) -> str:
    """All text of the page."""
    kinds = (app.markdown, app.html, app.info, app.warning, app.caption)
    return " ".join(said(e.value) for kind in kinds for e in kind)


def filled(app: AppTest) -> dict[str, str]:
    """Label to text of all fields of the page; the bar above it has one that comes and goes."""
    held = {said(w.label): w.value for w in app.text_input}
    return {label: text for label, text in held.items() if not label.startswith("Why version")}


def asked(worked: hlb.Worked) -> str:
    """What the oils ask for, as the page shows it."""
    assert worked.required is not None
    return f"oils ask {worked.required.value:.1f}"


def brief(app: AppTest) -> str:
    """The short line of the strip."""
    found = [said(h.value) for h in app.html if 'class="strip"' in h.value]
    return found[0] if found else ""
