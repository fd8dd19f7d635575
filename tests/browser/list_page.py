"""A page with the list alone, run by the browser tests; the lines stand in a file and so last.

The model behind it is as small as can be: dictionaries of texts.
"""

from __future__ import annotations

import json
import os
import sys
import time
from pathlib import Path

import streamlit as st

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "app"))
from line_list import (  # noqa: E402
    Added,
    Adding,
    Cells,
    Choice,
    Column,
    Edits,
    Field,
    Group,
    Lines,
    Mark,
    Moved,
    Name,
    Names,
    Pasted,
    Piece,
    Pressed,
    Problem,
    Removed,
    Row,
    Typed,
    line_list,
)

FILE = Path(os.environ["LIST_FILE"]) if "LIST_FILE" in os.environ else None
START = [
    ("water", "water", "70.2"),
    ("glycerin", "water", "4"),
    ("apricot kernel oil", "oil", "9"),
    ("mango butter", "oil", "5"),
    ("jojoba oil", "oil", "4"),
    ("cetyl alcohol", "oil", "2"),
    ("sorbitan stearate", "oil", "3"),
    ("polysorbate 60", "oil", "1.5"),
    ("phenoxyethanol with ethylhexylglycerin", "cool", "1"),
    ("linden complex", "cool", "0.3"),
]
ABOUT = {
    "apricot kernel oil": (Piece("asks for"), Piece("7", "asked"), Piece("(6 to 8)")),
    "mango butter": (Piece("asks for"), Piece("8", "asked"), Piece("(7 to 9)")),
    "jojoba oil": (Piece("asks for"), Piece("6.5", "asked"), Piece("(5.5 to 7.5)")),
    "cetyl alcohol": (Piece("oil side, asks for"), Piece("15", "asked")),
    "sorbitan stearate": (Piece("emulsifier, brings"), Piece("4.7", "brought")),
    "polysorbate 60": (Piece("emulsifier, brings"), Piece("14.9", "brought")),
    "phenoxyethanol with ethylhexylglycerin": (Piece("preservative"),),
    "linden complex": (Piece("not known: say what it is", "mind", opens="counts"),),
}
PHASES = (Choice("water", "water phase"), Choice("oil", "oil phase"), Choice("cool", "cool-down"))
COUNTS = (
    Choice("", "by itself"),
    Choice("oil", "oil"),
    Choice("emulsifier", "emulsifier"),
    Choice("outside", "outside"),
)
FIELDS = (
    Field("phase", "phase", "choice", choices=PHASES),
    Field("counts", "counts as", "choice", choices=COUNTS),
    Field("own", "own HLB", "amount", hint="from the sheet"),
    Field("low", "at least", "amount", unit="%"),
    Field("high", "at most", "amount", unit="%"),
    Field("price", "price", "amount", unit="per kg"),
    Field("supplier", "supplier's rate", "amount", unit="%"),
    Field("portion", "portion"),
    Field("note", "note", "long"),
    Field("sheet", "Supplier's sheet", "press"),
)
# no names of this file: those of the tables, read as text
ALIASES = (ROOT / "data" / "aliases.csv").read_text("utf-8").splitlines()[1:]


@st.cache_resource
def names() -> Names:
    others: dict[str, list[str]] = {}
    for line in ALIASES:
        if '"' not in line:
            other, name, *_ = line.split(",")
            others.setdefault(name.replace("_", " "), []).append(other)
    groups = {name: group for name, group, _ in START}
    return Names(tuple(Name(n, groups.get(n, "oil"), tuple(o)) for n, o in others.items()))


def first_lines() -> dict:
    return {
        "lines": [
            {"id": f"r{n}", "name": name, "phase": group, "amount": amount}
            for n, (name, group, amount) in enumerate(START)
        ],
        "scores": {},
        "said": [],
    }


@st.cache_resource
def shared() -> dict:
    """Lasts over a reload, as kept work does."""
    return {}


work = shared().setdefault(st.query_params.get("work", "one"), first_lines())
if st.query_params.get("show") == "strange":
    work["lines"][0]["name"] = "<img src=x onerror=\"document.title='run'\"><b>bold</b>"


def line_of(row: str) -> dict:
    return next((line for line in work["lines"] if line["id"] == row), {})


def take(edits: Edits) -> None:
    if st.query_params.get("slow"):
        time.sleep(float(st.query_params["slow"]))
    lines = work["lines"]
    for edit in edits:
        match edit:
            case Typed(row, field, text):
                line_of(row)[field] = text
            case Added(row, name, group, _, known):
                if not line_of(row):
                    lines.append({"id": row, "name": name, "phase": group, "amount": "", "known": known})
            case Removed(row):
                lines[:] = [line for line in lines if line["id"] != row]
            case Moved(row, up):
                at = lines.index(line_of(row))
                lines.insert(max(0, at - 1) if up else at + 1, lines.pop(at))
            case Pasted() | Pressed():
                work["said"].append(str(edit))
    if FILE:
        FILE.write_text(json.dumps(work))


def take_scores(edits: Edits) -> None:
    if st.query_params.get("slow"):
        time.sleep(float(st.query_params["slow"]))
    for row, field, text in edits.texts:
        work["scores"].setdefault(row, {})[field] = text
    if FILE:
        FILE.write_text(json.dumps(work))


def texts_of(line: dict) -> dict[str, str]:
    return {k: v for k, v in line.items() if k not in ("id", "name") and isinstance(v, str)}


def row_of(line: dict) -> Row:
    own = (Mark("own", "own figure in use"),) if line.get("own") else ()
    limit = (Mark("limit", "a limit is set"),) if line.get("low") or line.get("high") else ()
    wrong = line["amount"].startswith("-")
    problem = (Problem(f"{line['name']}: {line['amount']} is below nothing. Type 0 or more.", "amount"),)
    return Row(
        line["id"],
        line["name"],
        line["phase"],
        texts_of(line),
        ABOUT.get(line["name"], (Piece("asks for"), Piece("7", "asked")) if line["phase"] == "oil" else ()),
        own + limit,
        problem if wrong else (),
    )


def lines_shown() -> Lines:
    return Lines(
        "formula lines",
        (Column("amount", "amount", "%"),),
        tuple(row_of(line) for line in work["lines"]),
        (
            Group("water", "Water phase", {"amount": "74.2"}),
            Group("oil", "Oil phase", {"amount": "24.5"}),
            Group("cool", "Cool-down", {"amount": "1.3"}),
        ),
        FIELDS,
        Adding(names(), "Add by any name", "cool"),
        movable=True,
        empty="No line yet.",
    )


def scores_shown() -> Cells:
    vials, hours = range(1, 13), ("1 h", "24 h")
    kinds = (("score", "score"), ("layer", "layer, mm"))
    if st.query_params.get("show") == "many":
        hours = ("1 h", "24 h", "7 d", "14 d", "28 d")
    return Cells(
        "what was read",
        tuple(Column(f"{hour} {key}", label, over=hour) for hour in hours for key, label in kinds),
        tuple(
            Row(f"v{n}", f"vial {n}", texts=work["scores"].get(f"v{n}", {}), about=(Piece(f"HLB {n + 3}"),))
            for n in vials
        ),
        "vial",
    )


st.set_page_config(page_title="The list", layout="wide")
st.title("The list", anchor=False)
show = st.query_params.get("show", "lines")
if st.checkbox("A word above", key="word"):
    st.write("This stands above the list.")
away, framed = st.checkbox("Away", key="away"), st.checkbox("Framed", key="framed")
if away:
    st.write("The list is away.")
elif show in ("lines", "strange"):
    with st.container(border=framed) if framed else st.empty():
        line_list(lines_shown(), key=f"list {st.query_params.get('work', 'one')}", on_edits=take)
    for said in work["said"]:
        st.text(said)
elif show == "batch":
    rows = tuple(
        Row(line["id"], line["name"], line["phase"], {"grams": "12.5", **texts_of(line)}, fixed=True)
        for line in work["lines"]
    )
    columns = (
        Column("grams", "to weigh", "g", "shown"),
        Column("weighed", "weighed", "g"),
        Column("in", "in", kind="tick"),
    )
    groups = (
        Group("water", "Water phase", {"grams": "25.0"}),
        Group("oil", "Oil phase"),
        Group("cool", "Cool-down"),
    )
    line_list(Lines("batch", columns, rows, groups), key="batch", on_edits=take)
else:
    line_list(scores_shown(), key="scores", on_edits=take_scores)
st.text(f"run {time.perf_counter_ns()}")
