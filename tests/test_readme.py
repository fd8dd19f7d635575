"""The documents tell the truth: examples run, commands bind to this computer, what they name is there."""

from __future__ import annotations

import doctest
import json
import re
import tomllib
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parent.parent
README = ROOT.joinpath("README.md").read_text("utf-8")
DEVELOPERS = ROOT.joinpath("DEVELOPERS.md").read_text("utf-8")
DOCUMENTS = ("README.md", "DEVELOPERS.md", "data/README.md")
FILE = re.compile(r"[\w.*/-]*\.(?:py|csv|css|cfg|toml|html|jsonl)")
LAYOUT, RECIPES = DEVELOPERS.partition("## Glossary")[::2]
FORMS = {
    "a formula": "formula_v2_every_field",
    "a shelf": "stock_v1",
    "a ladder": "ladder_v1_beeswax_lotion",
    "a price list": "price_v1",
    "shared ladders": "bench_results_v1",
    "a batch record": "record_v1",
}
PARTS = ("hlbcore", "app", "tests")
HIDDEN = re.compile(r"(^|/)[._]")
START = [line for line in README.splitlines() if "streamlit run" in line]


def test_the_python_examples_run() -> None:
    blocks = [part.partition("```")[0] for part in README.split("```python\n")[1:]]
    test = doctest.DocTestParser().get_doctest("\n".join(blocks), {}, "README", "README.md", 0)
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    assert len(blocks) == 2
    assert all(">>> " in block for block in blocks)
    assert runner.run(test).failed == 0


def test_the_job_comes_first() -> None:
    assert "choose which emulsifiers" in README.split("\n\n")[1].replace("\n", " ")


@pytest.mark.parametrize("line", START, ids=["posix", "windows"])
@pytest.mark.parametrize("option", ["--server.address 127.0.0.1", "--browser.gatherUsageStats false"])
def test_the_start_command_keeps_to_this_computer(line: str, option: str) -> None:
    assert option in line
    assert "venv" in line
    assert "pip install" in line


def test_only_the_classroom_opens_the_server_to_others() -> None:
    assert "0.0.0.0" not in README
    assert README.count("classroom.py\n") == 2


def test_both_systems_have_start_and_test_commands() -> None:
    assert len(START) == 2
    assert README.count("-m pytest") == 2


def named(text: str) -> set[str]:
    """Every file that a text names in code marks, alone or in a command."""
    marked = " ".join([*re.findall(r"`([^`\n]+)`", text), *re.findall(r"```sh\n(.*?)```", text, re.DOTALL)])
    return {w for w in marked.replace(";", " ").split() if FILE.fullmatch(w) and not w.startswith("*")}


def there() -> list[str]:
    """All files of the project, by their path."""
    held = (p for part in (*PARTS, "data", "notebooks") for p in (ROOT / part).rglob("*") if p.is_file())
    return [p.relative_to(ROOT).as_posix() for p in (*held, *ROOT.glob("*.*"))]


def missing(text: str, files: list[str]) -> list[str]:
    return sorted(n for n in named(text) if not any(fnmatch(f"/{f}", f"*/{n}") for f in files))


@pytest.mark.parametrize("document", DOCUMENTS)
def test_every_file_that_a_document_names_is_there(document: str) -> None:
    left = {"cream.txt", "sheet.html"}  # the reader's own
    assert [n for n in missing(ROOT.joinpath(document).read_text("utf-8"), there()) if n not in left] == []


def test_the_check_of_names_sees_one_that_is_gone() -> None:
    text = "`a.py`, `python b.py -v`, `c_*.py`\n```sh\npython x/d.py 5 # e.py\n```"
    assert missing(text, ["x/a.py", "c_1.py"]) == ["b.py", "e.py", "x/d.py"]


@pytest.mark.parametrize("part", PARTS)
def test_the_layout_names_every_folder_and_every_file_of_the_app(part: str) -> None:
    files = [f for f in there() if f.startswith(f"{part}/") and not HIDDEN.search(f)]
    folders = {f.split("/")[1] for f in files if f.count("/") > 1}
    flat = {f.split("/")[1] for f in files if f.count("/") == 1} if part == "app" else set()
    words = {w.rstrip("/").rpartition("/")[2] for w in re.findall(r"`([^`\n]+)`", LAYOUT)}
    assert sorted(n for n in folders | flat if not any(fnmatch(n, w) for w in words)) == []


def test_every_table_is_explained() -> None:
    told = ROOT.joinpath("data/README.md").read_text("utf-8")
    assert [p.name for p in sorted(ROOT.glob("data/*.csv")) if told.count(f"`{p.name}`") == 0] == []


def test_every_dependency_is_told_with_what_it_is_for() -> None:
    with ROOT.joinpath("pyproject.toml").open("rb") as file:
        project = tomllib.load(file)["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["app"]]
    told = RECIPES.partition("\n## Dependencies")[2].partition("\n## ")[0]
    assert [n for w in wanted if (n := re.split(r"[><=]", w)[0]) not in told] == []


def fields(held: Any) -> set[str]:
    """The names of all fields of a file, at any depth."""
    if isinstance(held, dict):
        return set(held) | {f for part in held.values() for f in fields(part)}
    return {f for part in held for f in fields(part)} if isinstance(held, list) else set()


@pytest.mark.parametrize("form", FORMS)
def test_every_field_of_a_file_is_told(form: str) -> None:
    told = DEVELOPERS.partition(f"## The form of {form} on file\n")[2].partition("\n## ")[0]
    found = fields(json.loads((ROOT / f"tests/saved/{FORMS[form]}.json").read_text("utf-8")))
    assert len(found) > 5
    assert [f for f in sorted(found - {"schema", "version"}) if f"`{f}`" not in told] == []
