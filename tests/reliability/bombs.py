"""Small files that would unpack into very much, or keep a reader busy for minutes."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable
from random import Random

from openpyxl import Workbook

from hlbcore import Store, plan_import
from hlbcore.intake.workbooks import workbook_lines

SHEET = "xl/worksheets/sheet1.xml"
NOISE = Random(1).randbytes(300_000)
"""So that the ratio of sizes gives nothing away."""


def _workbook(body: bytes) -> bytes:
    """A workbook whose one sheet is this."""
    book, made = io.BytesIO(), io.BytesIO()
    Workbook().save(book)
    with zipfile.ZipFile(book) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, body if name == SHEET else old.read(name))
        new.writestr("xl/media/noise.bin", NOISE)
    return made.getvalue()


def _sheet(inside: bytes) -> bytes:
    main = b"http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    return _workbook(b'<worksheet xmlns="' + main + b'"><sheetData>' + inside + b"</sheetData></worksheet>")


def _export(name: str, body: bytes) -> bytes:
    """An export that holds one file more, with its checksum."""
    files = {"settings.json": b"{}", "own.json": b"[]", name: body}
    files["formulas/noise.json"] = NOISE
    sums = [{"name": n, "sha256": hashlib.sha256(b).hexdigest(), "bytes": len(b)} for n, b in files.items()]
    manifest = {"schema": "hlbcore kept work", "version": 1, "files": sums}
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        new.writestr("manifest.json", json.dumps(manifest))
        for n, b in files.items():
            new.writestr(n, b)
    return made.getvalue()


BOMBS: dict[str, Callable[[], bytes]] = {
    "XLSX, a comment of 20 MB": lambda: _sheet(b"<!--" + b"a" * 20_000_000 + b"-->"),
    "XLSX, an attribute of 20 MB": lambda: _sheet(b'<row r="' + b"1" * 20_000_000 + b'"></row>'),
    "zip, 19 MB of empty lists": lambda: _export("own.json", b"[" + b"[]," * 6_300_000 + b"[]]"),
    "zip, 38 MB of empty lists": lambda: _export("own.json", b"[" + b"[]," * 12_600_000 + b"[]]"),
    "zip, lists in lists": lambda: _export("own.json", b"[" * 5_000_000),
    "zip, settings with 300,000 keys": lambda: _export(
        "settings.json", ("{" + ",".join(f'"{n:x}":""' for n in range(300_000)) + "}").encode()
    ),
    "zip, settings with 80,000 keys and a number": lambda: _export(
        "settings.json", ("{" + "".join(f'"{n:x}":"",' for n in range(80_000)) + '"z":1}').encode()
    ),
    "zip, half a sign": lambda: _export("settings.json", b'{"who": "\\ud800"}'),
}


def taken(name: str, data: bytes) -> None:
    """Read it as the pages do."""
    if name.startswith("XLSX"):
        workbook_lines(data, "list.xlsx")
        return
    with Store(in_memory=True) as store:
        plan_import(store, data)
