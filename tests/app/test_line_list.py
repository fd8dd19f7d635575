"""The values that go into the list and come out of it, and rules on its script."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from types import ModuleType

import pytest

APP = Path(__file__).parents[2] / "app"
SCRIPTS = sorted((APP / "line_list").glob("*.js"))


@pytest.fixture(scope="module")
def made() -> ModuleType:
    sys.path.insert(0, str(APP))
    try:
        import line_list
    finally:
        sys.path.remove(str(APP))
    return line_list


def message(*ops: dict[str, object], to: str = "me", **more: object) -> dict[str, object]:
    return {"to": to, "ops": [{"n": n, **op} for n, op in enumerate(ops, start=1)], **more}


TEXT = {"do": "text", "row": "a", "field": "amount", "text": " 5,0 %"}


def test_each_kind_of_edit_comes_back_in_order(made: ModuleType) -> None:
    sent = message(
        {"do": "add", "row": "new", "name": "shea butter", "typed": "shea", "known": True, "group": "oil"},
        {"do": "text", "row": "new", "field": "amount", "text": "12"},
        {"do": "move", "row": "a", "up": True},
        {"do": "paste", "row": "", "field": "", "text": "a\t1\nb\t2"},
        {"do": "press", "row": "a", "field": "sheet"},
        {"do": "remove", "row": "a"},
        holds="abc",
    )
    got = made.edits_of(sent, to="me", after=0)
    assert got.all == (
        made.Added("new", "shea butter", "oil", "shea", True),
        made.Typed("new", "amount", "12"),
        made.Moved("a", True),
        made.Pasted("a\t1\nb\t2", "", ""),
        made.Pressed("a", "sheet"),
        made.Removed("a"),
    )
    assert (got.order, got.holds, got.texts) == (6, "abc", (("new", "amount", "12"),))


def test_text_comes_back_as_typed(made: ModuleType) -> None:
    (edit,) = made.edits_of(message(TEXT), to="me", after=0)
    assert edit.text == " 5,0 %"


def test_what_was_taken_is_not_given_twice(made: ModuleType) -> None:
    sent = message(TEXT, {**TEXT, "text": "6"})
    assert made.edits_of(sent, to="me", after=1).texts == (("a", "amount", "6"),)
    after = made.edits_of(sent, to="me", after=2)
    assert not after
    assert after.order == 2


def test_a_message_to_another_session_is_left(made: ModuleType) -> None:
    got = made.edits_of(message(TEXT, to="other"), to="me", after=0)
    assert not got
    assert got.order == 0


@pytest.mark.parametrize(
    "wrong",
    [
        None,
        "text",
        {"to": "me", "ops": "text"},
        {"to": "me", "ops": [7, None, "text", {"do": "text"}]},
        {"to": "me", "ops": [{**TEXT, "n": True}]},
        {"to": "me", "ops": [{**TEXT, "n": "1"}]},
        message({"do": "text", "row": 5, "field": "amount", "text": "1"}),
        message({"do": "text", "row": "a", "field": "", "text": "1"}),
        message({"do": "add", "row": "a", "name": "  "}),
        message({"do": "add", "row": "", "name": "water"}),
        message({"do": "paste", "text": " \n"}),
        message({"do": "drop", "row": "a"}),
    ],
)
def test_a_message_of_another_shape_holds_no_edit(made: ModuleType, wrong: object) -> None:
    assert not made.edits_of(wrong, to="me", after=0)


def test_a_number_in_the_place_of_a_text_is_no_text(made: ModuleType) -> None:
    (edit,) = made.edits_of(message({**TEXT, "text": 5}), to="me", after=0)
    assert edit.text == ""


def content(made: ModuleType, **more: object) -> object:
    names = made.Names((made.Name("shea butter", "oil", ("shea", "karite")), made.Name("water", "water")))
    return made.Lines(
        "formula lines",
        (made.Column("amount", "amount", "%"),),
        (
            made.Row(
                "a",
                "shea <b>butter</b>",
                "oil",
                {"amount": "5", "note": ""},
                (made.Piece("8", "asked"),),
                (made.Mark("own", "own figure in use"),),
                (made.Problem("too much", "amount"),),
                (),
            ),
        ),
        (made.Group("oil", "Oil phase", {"amount": "5"}),),
        (made.Field("own", "own HLB", "amount"),),
        made.Adding(names, group="oil"),
        **more,
    )


def test_the_data_are_the_contract_with_the_script(made: ModuleType) -> None:
    data = made.data_of(content(made), key="k", to="me", taken=3, holds="")
    digest = data["adding"]["digest"]
    assert re.fullmatch("[0-9a-f]{12}", digest)
    assert data == {
        "form": "lines",
        "key": "k",
        "to": "me",
        "taken": 3,
        "label": "formula lines",
        "columns": [{"key": "amount", "label": "amount", "unit": "%", "kind": "amount"}],
        "rows": [
            {
                "id": "a",
                "name": "shea <b>butter</b>",
                "group": "oil",
                "texts": {"amount": "5"},
                "about": [{"text": "8", "tone": "asked"}],
                "marks": [{"text": "own", "says": "own figure in use"}],
                "problems": [{"text": "too much", "field": "amount", "tone": "stop"}],
                "fields": [],
            }
        ],
        "groups": [{"key": "oil", "label": "Oil phase", "texts": {"amount": "5"}}],
        "fields": [{"key": "own", "label": "own HLB", "kind": "amount"}],
        "adding": {
            "label": "Add by any name",
            "group": "oil",
            "digest": digest,
            "names": [["shea butter", "oil", ["shea", "karite"]], ["water", "water", []]],
        },
        "heading_level": 2,
    }
    assert json.loads(json.dumps(data)) == data


def test_names_are_sent_only_to_a_page_that_does_not_hold_them(made: ModuleType) -> None:
    lines = content(made)
    held = made.data_of(lines, key="k", to="me", taken=0, holds=lines.adding.names.digest)  # type: ignore[attr-defined]
    assert "names" not in held["adding"]
    assert "names" in made.data_of(lines, key="k", to="me", taken=0, holds="of before")["adding"]


def test_an_empty_list_still_has_its_lines(made: ModuleType) -> None:
    lines = made.Lines("formula lines", (made.Column("amount", "amount"),), ())
    assert made.data_of(lines, key="k", to="me", taken=0, holds="")["rows"] == []


def test_cells_are_told_apart(made: ModuleType) -> None:
    cells = made.Cells("read", (made.Column("s", "score", over="1 h"),), (made.Row("v1", "vial 1"),), "vial")
    data = made.data_of(cells, key="k", to="me", taken=0, holds="")
    assert data["form"] == "cells"
    assert data["columns"] == [{"key": "s", "label": "score", "kind": "amount", "over": "1 h"}]


# --- rules on the script and the style

ADDRESS = re.compile(
    r"https?:|\bfetch\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon|\bimport\b|@import|url\(|\bsrc\b"
)
MARKUP = re.compile(
    r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|createContextualFragment|\beval\(|Function\("
)
NUMBERS = re.compile(r"parseFloat|parseInt|Number\b|Math\.|toFixed|valueAsNumber|BigInt|\s\*\s|\*=|\*\*")


@pytest.mark.parametrize(
    "path", [*SCRIPTS, APP / "line_list" / "list.css", APP / "line_list" / "list.html"], ids=lambda p: p.name
)
@pytest.mark.parametrize("rule", [ADDRESS, MARKUP], ids=["asks no address", "text only as text"])
def test_the_script(path: Path, rule: re.Pattern[str]) -> None:
    assert rule.findall(path.read_text("utf-8")) == []


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda p: p.name)
def test_the_script_makes_no_number_of_a_text(path: Path) -> None:
    assert NUMBERS.findall(path.read_text("utf-8")) == []


@pytest.mark.parametrize(
    ("rule", "line"),
    [
        (ADDRESS, "fetch('/x')"),
        (ADDRESS, "import a from './b.js'"),
        (ADDRESS, "a{background:url(x.png)}"),
        (MARKUP, "node.innerHTML = text"),
        (NUMBERS, "total = Number(a) + Number(b)"),
        (NUMBERS, "const grams = percent * batch"),
    ],
)
def test_the_rules_see(rule: re.Pattern[str], line: str) -> None:
    assert rule.search(line)


def test_every_part_of_the_script_is_used_and_short(made: ModuleType) -> None:
    assert sorted(made.SCRIPTS) == [p.name for p in SCRIPTS]
    assert [p.name for p in SCRIPTS if len(p.read_text("utf-8").splitlines()) > 400] == []
