from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from hlbcore import Formula, Library, Line, example_formula, work_out
from hlbcore import commands as command
from hlbcore.__main__ import main
from hlbcore.commands import app_folder, start_file
from hlbcore.folders import data_folder
from hlbcore.report import tables_report
from hlbcore.sources import Source


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


def test_tables_of_one_ingredient_print_every_reading_of_it(
    library: Library, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["tables", "--of", "THEOBROMA CACAO SEED BUTTER"]) == 0
    head, also, *rows = capsys.readouterr().out.splitlines()
    cocoa = library.find("cocoa butter")
    assert head.startswith("cocoa butter (cocoa_butter, butter, Theobroma Cacao")
    assert also == f"also: {', '.join(cocoa.aliases)}"
    assert len(rows) == len(cocoa.ow_readings)
    assert all(row.startswith("  required HLB, o/w 6, ") for row in rows)


def test_tables_of_an_ingredient_without_a_figure_say_so(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tables", "--of", "abyssinian oil"]) == 0
    assert capsys.readouterr().out.endswith("\n  no HLB in the tables\n")


def test_tables_of_an_unknown_name_bring_1_and_what_comes_near(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tables", "--of", "cocoa buter"]) == 1
    assert "cocoa butter" in capsys.readouterr().err


@pytest.mark.parametrize(
    "arguments",
    [
        ["table"],
        ["tables", "x"],
        ["tables", "--sort", "--of", "x"],
        ["tables", "--sort", "x"],
        ["TABLES"],
        ["judge"],
        ["label", "x", "--market", "mars"],
    ],
)
def test_other_arguments_bring_the_usage_and_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    printed = capsys.readouterr()
    assert (ended.value.code, printed.out) == (2, "")
    assert printed.err.startswith("usage: hlbcore")


OILS = "sunflower oil 20 %\nsorbitan stearate 2.5 %\npolysorbate 60 2.5 %\n"
RECIPE = f"water 71.5 %\n{OILS}glycerin 3 %\nphenoxyethanol 0.5 %\n"


@pytest.fixture
def recipe(tmp_path: Path) -> Path:
    path = tmp_path / "Hand cream.txt"
    path.write_text(RECIPE, "utf-8")
    return path


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> str:
    assert main(arguments) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    return printed.out


def test_a_recipe_is_judged_as_on_the_page(recipe: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = json.loads(said(capsys, "judge", str(recipe), "--as", "json"))
    lines = [
        Line(n, p) for n, p in (("sunflower oil", 20), ("sorbitan stearate", 2.5), ("polysorbate 60", 2.5))
    ]
    worked = work_out(Formula("x", "o/w cream", lines))
    assert worked.target is not None
    assert told["required_hlb"]["value"] == pytest.approx(worked.target.value)
    assert told["verdict"] == worked.verdict.word
    assert worked.verdict.word in said(capsys, "judge", str(recipe)).splitlines()[1]


@pytest.mark.parametrize("form", ["text", "json", "csv", "html"])
def test_a_sheet_weighs_the_batch_in_every_form(
    form: str, recipe: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = said(capsys, "sheet", str(recipe), "--size", "500", "--scale", "0.1", "--as", form)
    assert "357.5" in told  # 71.5 % of 500 g
    assert "polysorbate 60" in told


@pytest.mark.parametrize(("market", "water"), [("us", "Water"), ("eu", "Aqua")])
def test_a_label_begins_with_what_is_most(
    market: str, water: str, recipe: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert f"Ingredients: {water}, " in said(capsys, "label", str(recipe), "--market", market)


def test_a_formula_of_the_app_keeps_its_type_unless_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "cream.json"
    path.write_text(example_formula().to_json(), "utf-8")
    assert "(o/w cream)" in said(capsys, "judge", str(path))
    assert "(light o/w lotion)" in said(capsys, "judge", str(path), "--type", "light o/w lotion")


@pytest.mark.parametrize(
    ("body", "asked", "told"),
    [
        (None, ["judge"], "cannot be read"),
        ("{", ["judge"], "cannot be read"),
        (RECIPE, ["judge", "--type", "paint"], "paint"),
        (RECIPE, ["sheet", "--size", "0"], "batch"),
        (RECIPE + "sugar 46 %\n", ["label"], "146 %"),
    ],
)
def test_what_cannot_be_used_is_said_on_stderr_with_1(
    body: str | None, asked: list[str], told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / ("x.json" if body == "{" else "x.txt")
    if body is not None:
        path.write_text(body, "utf-8")
    assert main([asked[0], str(path), *asked[1:]]) == 1
    printed = capsys.readouterr()
    assert printed.out == ""
    assert told in printed.err


def test_without_a_command_the_app_is_opened_with_its_settings(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[list[str]] = []
    monkeypatch.setattr(subprocess, "call", lambda given: ran.append(given) or 0)
    assert main([]) == 0
    assert main(["open", "--port", "8600"]) == 0
    assert main(["class", "--places", "9"]) == 0
    page = str(app_folder() / "main.py")
    streamlit = [sys.executable, "-m", "streamlit", "run", page]
    assert ran[:2] == [streamlit, [*streamlit, "--server.port", "8600"]]
    assert ran[2] == [sys.executable, str(app_folder() / "classroom.py"), "--places", "9"]
    settings = tomllib.loads((app_folder() / ".streamlit" / "config.toml").read_text("utf-8"))
    assert settings["server"]["address"] == "127.0.0.1"
    assert settings["browser"]["gatherUsageStats"] is False


def test_where_the_app_is_not_installed_the_way_to_it_is_said(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(command, "find_spec", lambda name: None)
    assert main([]) == 1
    assert 'pip install "hlbcore[app]"' in capsys.readouterr().err


@pytest.mark.parametrize(
    ("system", "ending", "line"),
    [
        ("linux", ".desktop", 'Exec="/opt/p y/python" -m hlbcore'),
        ("darwin", ".command", 'exec "/opt/p y/python" -m hlbcore'),
        ("win32", ".cmd", '"/opt/p y/python" -m hlbcore'),
    ],
)
def test_the_start_file_of_each_system_runs_this_python(system: str, ending: str, line: str) -> None:
    name, text = start_file(system, "/opt/p y/python")
    assert name.endswith(ending)
    assert line in text.splitlines()


def test_the_start_file_is_written_and_can_be_run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = Path(said(capsys, "startfile", str(tmp_path)).removeprefix("Written: ").strip())
    assert os.access(path, os.X_OK)


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
