"""The command ``hlbcore``: opens the app, and does the work of the bench without a browser."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from hlbcore._sorting import sort_tables
from hlbcore.batch.declaration import declare
from hlbcore.batch.printing import batch_csv, batch_page
from hlbcore.batch.sheet import batch_sheet
from hlbcore.blending.card import dose_word, doubt, rule_words
from hlbcore.blending.work_out import work_out
from hlbcore.blending.worked import Worked
from hlbcore.checks import check
from hlbcore.errors import InvalidInput
from hlbcore.estimate import Estimate
from hlbcore.findings import Finding
from hlbcore.folders import data_folder, packed_folder
from hlbcore.formula.formula import Formula
from hlbcore.formula.placing import read_formula_file, with_list
from hlbcore.library import load_library
from hlbcore.product_types import product_type, product_types
from hlbcore.report import ingredient_report, tables_report

USUAL_TYPE = "o/w cream"
"""Product type of a list that names none."""


def app_folder() -> Path:
    """The folder of the app.

    Returns
    -------
    Path
        An existing folder.

    Raises
    ------
    FileNotFoundError
        If neither is there.
    """
    return packed_folder("app", "main.py")


def read_file(path: Path, kind: str) -> Formula:
    """A formula from a file: JSON or CSV of this tool, or a recipe as CSV, TXT or XLSX.

    Parameters
    ----------
    path : Path
        The file.
    kind : str
        Product type; of a JSON file its own if left blank.

    Returns
    -------
    Formula
        As read.

    Raises
    ------
    InvalidInput
        If it cannot be read.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise InvalidInput(str(path), f"it cannot be read: {error.strerror}", "Name a file.") from None
    asked = product_type(kind or USUAL_TYPE)
    read = read_formula_file(data, path.name, asked.name)
    if not isinstance(read, Formula):
        bare = Formula(path.stem, asked.name)
        read = with_list(bare, read, load_library(), anhydrous=asked.anhydrous)
    elif kind:
        read = replace(read, product_type=asked.name)
    read.check_size()
    return read


def _figure(held: Estimate | None) -> dict[str, float] | None:
    return None if held is None else {"value": held.value, "low": held.low, "high": held.high}


def _said(finding: Finding) -> dict[str, str]:
    return {n: getattr(finding, n) for n in ("level", "title", "figure", "detail", "rule", "mend")}


def judged(worked: Worked) -> dict[str, Any]:
    """What the formula page says, as plain values for JSON.

    Parameters
    ----------
    worked : Worked
        Of the formula.

    Returns
    -------
    dict
        Amounts in % of the formula.
    """
    blend = worked.blend
    return {
        "formula": worked.formula.name,
        "product_type": worked.formula.product_type,
        "required_hlb": _figure(worked.target),
        "blend_hlb": None if blend is None else {"value": blend.value, "low": blend.low, "high": blend.high},
        "verdict": worked.verdict.word,
        "rule": worked.verdict.rule,
        "doubt": doubt(worked),
        "dose": dose_word(worked),
        "emulsifiers_pct": dict(worked.amounts),
        "problems": [{"line": p.line, "field": p.field, "text": p.text} for p in worked.problems],
        "findings": [_said(f) for f in check(worked)],
    }


def judged_text(worked: Worked) -> str:
    """The same in lines to read.

    Parameters
    ----------
    worked : Worked
        Of the formula.

    Returns
    -------
    str
        The verdict first; findings that stay in the background left out.
    """
    held = judged(worked)
    lines = [f"{held['formula'] or 'Formula'} ({held['product_type']})"]
    lines.append(f"{held['verdict']}; {rule_words(worked)}")
    for words, key in (("asked for", "required_hlb"), ("blend", "blend_hlb")):
        if (found := held[key]) is not None:
            lines.append(f"HLB {words}: {found['value']:.1f} ({found['low']:.1f} to {found['high']:.1f})")
    lines += [held[key] for key in ("doubt", "dose") if held[key]]
    lines += [f"  {pct:6.2f} %  {name}" for name, pct in worked.amounts.items()]
    lines += [f"problem: {p.text}" for p in worked.problems]
    shown = [f for f in check(worked) if not f.aside]
    lines += [f"{f.level}: {f.title}{': ' if f.figure else ''}{f.figure}" for f in shown]
    lines.append("A best estimate to start from: a bench trial decides.")
    return "\n".join(lines)


def _judge(asked: argparse.Namespace) -> str:
    worked = work_out(read_file(asked.file, asked.type))
    if asked.form == "json":
        return json.dumps(judged(worked), indent=1, ensure_ascii=False)
    return judged_text(worked)


def _sheet(asked: argparse.Namespace) -> str:
    formula = read_file(asked.file, asked.type)
    made = batch_sheet(formula, asked.size, scales=asked.scale or None, loss_pct=asked.loss)
    if asked.form == "html":
        return batch_page(made, paper=asked.paper)
    if asked.form == "csv":
        return batch_csv(made).decode("utf-8")
    if asked.form == "json":
        return str(made.table.to_json(orient="records", indent=1, force_ascii=False))
    hlb = "" if made.hlb is None else f"; HLB as weighed {made.hlb.value:.1f}"
    table = made.table.round({"error_pct": 2}).to_string(index=False, float_format=lambda x: f"{x:.10g}")
    return f"{formula.name}: {made.total_g:g} g{hlb}\n{table}"


def _label(asked: argparse.Namespace) -> str:
    draft = declare(read_file(asked.file, asked.type), asked.market)
    if asked.form == "json":
        return str(draft.table.to_json(orient="records", indent=1, force_ascii=False))
    points = "".join(f"open: {p}\n" for p in draft.open_points)
    return f"{points}{draft.text}"


def _tables(asked: argparse.Namespace) -> str:
    if asked.of is not None:
        library = load_library()
        return ingredient_report(library.find(asked.of), library)
    if not asked.sort:
        return tables_report(load_library())
    changed = sort_tables(data_folder())
    return f"Sorted: {', '.join(changed)}" if changed else "All tables stand in order."


def start_file(system: str, python: str) -> tuple[str, str]:
    """Name and text of a file that starts the app by a double click.

    Parameters
    ----------
    system : str
        As `sys.platform` names it.
    python : str
        The Python that has the app.

    Returns
    -------
    tuple of str
        The name, and what stands in it. Windows and macOS forms are written, not tried.

    Examples
    --------
    >>> start_file("linux", "/usr/bin/python3")[0]
    'Emulsifier systems.desktop'
    """
    if system == "win32":
        return "Emulsifier systems.cmd", f'@echo off\r\n"{python}" -m hlbcore\r\npause\r\n'
    if system == "darwin":
        return "Emulsifier systems.command", f'#!/bin/sh\nexec "{python}" -m hlbcore\n'
    entry = ["[Desktop Entry]", "Type=Application", "Name=Emulsifier systems", "Terminal=true"]
    escaped = python.replace("\\", "\\\\\\\\").replace("%", "%%")
    entry.append(f'Exec="{escaped}" -m hlbcore')
    return "Emulsifier systems.desktop", "\n".join(entry) + "\n"


def _write_start(asked: argparse.Namespace) -> str:
    name, text = start_file(sys.platform, sys.executable)
    path = asked.folder / name
    try:
        path.write_bytes(text.encode())
        path.chmod(0o755)
    except OSError as error:
        raise InvalidInput(str(path), f"it cannot be written: {error.strerror}", "Name a folder.") from None
    return f"Written: {path}"


def _run(*arguments: str) -> int:
    if find_spec("streamlit") is None:
        raise InvalidInput("app", "it is not installed here", 'Run: python -m pip install "hlbcore[app]"')
    try:
        return subprocess.call([sys.executable, *arguments])
    except KeyboardInterrupt:  # the usual way to end it
        return 0


def _open(asked: argparse.Namespace) -> int:
    port = () if asked.port is None else ("--server.port", str(asked.port))
    # the settings stand beside the app
    return _run("-m", "streamlit", "run", str(app_folder() / "main.py"), *port)


def _class(asked: argparse.Namespace) -> int:
    return _run(str(app_folder() / "classroom.py"), *asked.rest)


def asked_for(arguments: Sequence[str] | None) -> argparse.Namespace:
    """The command line, read; its `work` gives a text to print, else its `start` an exit status."""
    ways = argparse.ArgumentParser(prog="hlbcore", description=__doc__)
    ways.set_defaults(start=_open, port=None)
    each = ways.add_subparsers(metavar="COMMAND")

    def way(name: str, does: Any, told: str, forms: Sequence[str] = ()) -> argparse.ArgumentParser:
        made = each.add_parser(name, help=told, description=told)
        made.set_defaults(**{"work" if forms or name in ("tables", "startfile") else "start": does})
        if forms:
            types = ", ".join(t.name for t in product_types())
            made.add_argument("file", type=Path, help="formula: JSON, CSV, TXT or XLSX")
            made.add_argument("--type", default="", help=f"product type of a list: {types}")
            made.add_argument("--as", dest="form", choices=forms, default=forms[0])
        return made

    way("open", _open, "open the app (the same without a command)").add_argument("--port", type=int)
    way("class", _class, "a class on this computer; options as of app/classroom.py")
    way("judge", _judge, "required HLB, blend, dose, verdict and checks", ("text", "json"))
    sheet = way("sheet", _sheet, "grams for the scales at hand", ("text", "json", "csv", "html"))
    sheet.add_argument("--size", help="batch, for example 500 or '2 lb' [g]")
    sheet.add_argument("--scale", action="append", help="what a scale shows, for example 0.1 [g]")
    sheet.add_argument("--loss", default="0", help="what stays in vessels [%% of what is made]")
    sheet.add_argument("--paper", choices=("A4", "Letter"), default="A4")
    label = way("label", _label, "draft of the list of ingredients", ("text", "json"))
    label.add_argument("--market", choices=("us", "eu"), default="us")
    tables = way("tables", _tables, "what the tables hold, and what changed")
    one = tables.add_mutually_exclusive_group()
    one.add_argument("--of", metavar="NAME", help="what is held of one ingredient, by any of its names")
    one.add_argument("--sort", action="store_true", help="put the rows in order")
    start = way("startfile", _write_start, "write a file that opens the app by a double click")
    start.add_argument("folder", type=Path, nargs="?", default=Path())
    asked, rest = ways.parse_known_args(arguments)
    if rest and asked.start is not _class:
        ways.error(f"unrecognized arguments: {' '.join(rest)}")
    asked.rest = rest
    return asked
