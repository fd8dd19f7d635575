"""README tells the truth: its example runs, its commands bind to this computer."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest

README = Path(__file__).parent.parent.joinpath("README.md").read_text("utf-8")
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
