from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from hlbcore import Library
from hlbcore import __main__ as command
from hlbcore.__main__ import USAGE, main, tables_report
from hlbcore.ingredients import Source
from hlbcore.library import data_folder


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *arguments],
        capture_output=True,
        text=True,
        check=False,
        encoding="utf-8",
        env={"PYTHONIOENCODING": "utf-8"},
    )


def test_tables_prints_the_report(library: Library) -> None:
    found = run("-m", "hlbcore", "tables")
    assert (found.returncode, found.stderr) == (0, "")
    assert found.stdout == tables_report(library) + "\n"


@pytest.mark.parametrize(
    "arguments", [[], ["table"], ["tables", "x"], ["tables", "--sort", "x"], ["--help"], ["TABLES"]]
)
def test_other_arguments_bring_the_usage_and_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", USAGE + "\n")


def test_sorting_says_what_it_did(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "data"
    shutil.copytree(data_folder(), folder)
    monkeypatch.setattr(command, "data_folder", lambda: folder)
    path = folder / "sources.csv"
    head, first, second, *rest = path.read_text("utf-8").splitlines(keepends=True)
    path.write_text("".join([head, second, first, *rest]), "utf-8")
    said = []
    for _ in range(2):
        assert main(["tables", "--sort"]) == 0
        said.append(capsys.readouterr().out)
    assert said == ["Sorted: sources.csv\n", "All tables stand in order.\n"]


def test_a_table_that_cannot_be_sorted_is_named_and_brings_1(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "data"
    shutil.copytree(data_folder(), folder)
    monkeypatch.setattr(command, "data_folder", lambda: folder)
    with (folder / "sources.csv").open("a", encoding="utf-8") as handle:
        handle.write("x\n")
    assert main(["tables", "--sort"]) == 1
    assert capsys.readouterr().err.startswith("sources.csv, line ")


def test_exit_status_reaches_the_shell() -> None:
    assert run("-m", "hlbcore", "nonsense").returncode == 2


def apart(text: str) -> list[float]:
    return [float(n) for n in re.findall(r"^ +(\d+\.\d)  .*: .* to .* in \d+ readings", text, re.M)]


def test_widest_disagreements_stand_first(library: Library) -> None:
    found = apart(tables_report(library))
    assert len(found) == 20
    assert found == sorted(found, reverse=True)


def test_disagreement_names_ends_and_number_of_readings(tiny_library: Library) -> None:
    sources = {k: Source(k, "paper", title=k) for k in "abc"}
    named = Library(tiny_library.ingredients, sources, "x", tiny_library.names)
    assert [w.strip() for w in tables_report(named).splitlines() if " readings (" in w] == [
        "5.0  gamma wax: 9 to 14 in 3 readings (required HLB, o/w)",
        "2.0  alpha oil: 6 to 8 in 3 readings (required HLB, o/w)",
    ]


@pytest.mark.parametrize(
    ("what", "attribute"),
    [
        ("required HLB, o/w", "ow_readings"),
        ("required HLB, w/o", "wo_readings"),
        ("HLB of emulsifiers", "hlb_readings"),
    ],
)
def test_counts_by_grade_and_by_source_add_to_the_readings(
    what: str, attribute: str, library: Library
) -> None:
    readings = [len(getattr(i, attribute)) for i in library]
    _, _, block = tables_report(library).partition(f"\n{what}: ")
    block = block.partition("\n\n")[0]
    with_one = sum(1 for n in readings if n)
    assert block.startswith(f"{with_one} ingredients, {sum(readings)} readings\n")
    grades, _, sources = block.partition("by source")
    for part in (grades, sources):
        assert sum(int(n) for n in re.findall(r"^ +(\d+)  ", part, re.M)) == sum(readings)


def test_import_needs_neither_matplotlib_nor_streamlit() -> None:
    code = (
        "import sys, hlbcore, hlbcore.__main__\n"
        "print([m for m in ('matplotlib', 'streamlit') if m in sys.modules])"
    )
    assert run("-c", code).stdout == "[]\n"
