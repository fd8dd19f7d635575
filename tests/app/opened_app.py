"""The app as a person sees it, without a browser: fields by their labels, results as text."""

from __future__ import annotations

import html
import re
from pathlib import Path

from streamlit.testing.v1 import AppTest

import hlbcore as hlb

MAIN = Path(__file__).parents[2] / "app" / "main.py"
BLEND, VALUES = "views/blend.py", "views/values.py"


def opened() -> AppTest:
    """The first page, with the bundled example."""
    return AppTest.from_file(str(MAIN.resolve()), default_timeout=30).run()


def said(text: object) -> str:
    """Text without the signs and tags that only mark it up."""
    bare = re.sub(r"<[^>]*>", " ", str(text))
    return " ".join(html.unescape(re.sub(r"\\(.)", r"\1", bare)).split())


def field(app: AppTest, label: str):
    """The field with that label, whatever its kind."""
    kinds = (app.text_input, app.selectbox, app.toggle, app.text_area)
    found = [w for kind in kinds for w in kind if said(w.label) == label]
    assert len(found) == 1, f"{label}: {len(found)} in {[said(w.label) for w in app.text_input]}"
    return found[0]


def typed(app: AppTest, label: str, text: str) -> AppTest:
    field(app, label).set_value(text).run()
    return app


def pressed(app: AppTest, label: str) -> AppTest:
    """After a press on the button with that label, or with that help where labels repeat."""
    found = [b for b in app.button if label in (said(b.label), said(b.help))]
    assert len(found) == 1, f"{label}: {[said(b.label) for b in app.button]}"
    found[0].click().run()
    return app


def chosen(app: AppTest, first_option: str, option: str) -> AppTest:
    """After a choice in the row of options that begins with one."""
    found = [g for g in app.get("button_group") if g.options[0] == first_option]
    assert len(found) == 1
    found[0].set_value(option).run()
    return app


def pasted(app: AppTest, text: str) -> AppTest:
    field(app, "Names and amounts, a line each").set_value(text).run()
    return pressed(app, "Put the list in the table")


def verdict(app: AppTest) -> str:
    """Word and sentence of the verdict, blank where there is none."""
    return " ".join(said(h.value) for h in app.html if 'class="verdict' in h.value)


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


def required_row(outcome: hlb.Outcome) -> str:
    """The row of the required HLB as the page shows it."""
    r = outcome.required
    assert r is not None
    return f"Required HLB of the oil phase {r.value:.1f} {r.low:.1f} to {r.high:.1f}"
