"""The lesson that a finding names."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

import hlbcore
from hlbcore import Finding, example_formula, work_out
from hlbcore.lessons import lesson_text
from hlbcore.lessons.of_findings import EXPLAINED, lesson_of


@cache
def said() -> str:
    """The rooms that make findings, as they are written."""
    root = Path(hlbcore.__file__).parent
    return "\n".join(p.read_text("utf-8") for p in root.rglob("*.py") if p.parent.name != "lessons")


@pytest.mark.parametrize("key", EXPLAINED)
def test_each_lesson_named_is_there_and_its_words_are_those_of_findings(key: str) -> None:
    assert lesson_text(key).key == key
    assert [words for words in EXPLAINED[key] if words not in said()] == []


@pytest.mark.parametrize(
    ("title", "rule", "key"),
    [
        ("Emulsifiers: outside", "window of the product type; HLB adds up for nonionics", "blend"),
        ("Emulsifiers: high", "the supplier's rate governs what is sold ready", "limits"),
        ("Sources disagree on shea butter", "no silent median", "required"),
        (
            "Sources disagree on lecithin",
            "an emulsifier whose roots lie more than 3 apart has none",
            "limits",
        ),
        ("Colours: the EU has a list of its own", "", ""),
    ],
)
def test_the_lesson_follows_what_judges(title: str, rule: str, key: str) -> None:
    assert lesson_of(Finding("note", title, rule=rule)) == key


def test_the_bundled_formula_names_lessons_for_what_hlb_says() -> None:
    found = {lesson_of(f) for f in hlbcore.check(work_out(example_formula()))}
    assert {"blend", "limits", "amount"} <= found
