"""Every reader of files, pasted texts and typed numbers, with inputs made to break it.

An input is a valid one with some of it changed, or any text or bytes at all. A reader may return,
or raise one of the errors of `hlbcore.errors`; anything else is a bug.
"""

from __future__ import annotations

import hashlib
import io
import json
import time
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import openpyxl
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hlbcore import (
    Aims,
    Formula,
    HlbError,
    OwnIngredient,
    OwnReading,
    Store,
    example_formula,
    example_formulas,
    export_all,
    import_all,
    plan_import,
    read_list,
)
from hlbcore._numbers import read_amount, read_range
from hlbcore.intake.ingredients import match_columns, read_rows, take_rows
from hlbcore.own import own_from_json, own_to_json

TOKENS = (
    "NaN",
    "Infinity",
    "-Infinity",
    "1e400",
    "-1",
    "0",
    "1e308",
    "null",
    "true",
    "[]",
    "{}",
    '""',
    "\x00",
    "\ufeff",
    "\ud800".encode("utf-8", "surrogatepass").decode("latin-1"),
    "\\ud800",
    "\\",
    '"',
    ",",
    ";",
    "\t",
    "\n",
    "\r",
    "'",
    "=1+1",
    "<b>",
    "../",
    "٣",
    "½",
    "−",
    "%",
    "g",
    "oz",
    "to",
    "12,5",
    "1.234,5",
    "9" * 400,
    "é" * 50,
    "e\u0301",
    "\u202e",
    "\U0001f9f4",
    "[" * 2000,
    '{"a":' * 2000,
    "x" * 3000,
)
"""Pieces that have broken readers of some kind before."""

leaf = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(TOKENS),
    st.sampled_from((10**400, -(10**30), 1e308, "\ud800", "a" * 25_000)),
)
values = st.recursive(
    leaf,
    lambda x: st.one_of(st.lists(x, max_size=3), st.dictionaries(st.text(max_size=8), x, max_size=3)),
    max_leaves=4,
)
cuts = st.lists(
    st.tuples(
        st.integers(0, 2**16),
        st.integers(0, 30),
        st.one_of(st.just(""), st.sampled_from(TOKENS), st.text(max_size=6)),
    ),
    min_size=1,
    max_size=4,
)


def cut(text: str, changes: list[tuple[int, int, str]]) -> str:
    """The text with pieces of it exchanged."""
    for at, length, piece in changes:
        at %= len(text) + 1
        text = text[:at] + piece + text[at + length :]
    return text


def places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every part of a JSON value."""
    yield path
    inner = (
        value.items() if isinstance(value, dict) else (enumerate(value) if isinstance(value, list) else ())
    )
    for key, part in inner:
        yield from places(part, (*path, key))


@st.composite
def bent(draw: st.DrawFn, valid: tuple[Any, ...]) -> Any:
    """A valid JSON value with one to three of its parts exchanged, taken out, doubled or added."""
    value = json.loads(json.dumps(draw(st.sampled_from(valid))))
    for _ in range(draw(st.integers(1, 3))):
        parts = list(places(value))[1:]
        if not parts:
            return draw(values)
        *way, last = draw(st.sampled_from(parts))
        holder = value
        for key in way:
            holder = holder[key]
        what = draw(st.integers(0, 4))
        if what == 0:
            del holder[last]
        elif what == 1 and isinstance(holder, list):
            holder.append(holder[last])
        elif what == 2 and isinstance(holder, dict):
            holder[draw(st.text(max_size=8))] = draw(values)
        else:
            holder[last] = draw(values)
    return value


def texts(*valid: str) -> st.SearchStrategy[str]:
    return st.one_of(st.text(), st.builds(cut, st.sampled_from(valid), cuts))


def jsons(*valid: str) -> st.SearchStrategy[str]:
    parts = tuple(json.loads(v) for v in valid)
    return st.one_of(texts(*valid), bent(parts).map(json.dumps), values.map(json.dumps))


def as_bytes(text: str) -> bytes:
    return text.encode("utf-8", "surrogatepass")


@st.composite
def cut_bytes(draw: st.DrawFn, *valid: bytes) -> bytes:
    data = draw(st.sampled_from(valid))
    for at, length, piece in draw(cuts):
        at %= len(data) + 1
        data = data[:at] + as_bytes(piece) + data[at + length :]
    return data


# one valid input or more of each kind


SAVED = Path(__file__).parents[1] / "saved"


@cache
def formulas() -> tuple[str, ...]:
    """Of today's form: the examples, and one that uses every field."""
    whole = (SAVED / "formula_v2_every_field.json").read_text("utf-8")
    return whole, *(example_formula(n).to_json(compact=n == "faulty_lotion") for n in example_formulas())


@cache
def saved(pattern: str) -> tuple[str, ...]:
    """Files that earlier versions wrote."""
    return tuple(p.read_text("utf-8") for p in sorted(SAVED.glob(pattern)))


@cache
def own() -> tuple[str, ...]:
    return tuple(
        own_to_json(x)
        for x in (
            OwnReading("shea butter", 9.0, 8.0, 10.0, pair="a", dose_pct=4.0, on="2026-03-01"),
            OwnIngredient("meadow butter", "butter"),
        )
    )


LISTS = (
    "Oil\tAmount\nShea butter\t10,5 %\n3 g polysorbate 80\nwater; 60\n",
    "sunflower oil 12\nshea butter 3.5 %\n1 1/2 oz beeswax\ntotal 100",
)
NUMBERS = ("12,5 %", "1 oz", "3 to 6", "0.5-1", "1e3 g", "½", "1.234,5", "reading 9", "<2", "~3")
TABLES = (
    b"name;required HLB;kind\nmeadow oil;8,5;oil\nclover oil;8 to 10;\n",
    "Ingredient,HLB,INCI,note\nmild ester,12.5,Mild Ester,=1+1\n".encode("utf-16"),
    b'name\trHLB\r\n"old\r\nbutter"\t9\r\n',
)


@cache
def workbook() -> bytes:
    book = openpyxl.Workbook()
    book.active.append(["name", "required HLB", "temperature", "on"])
    book.active.append(["meadow oil", 8.5, "20 °C", "2026-03-01"])
    book.active.append(["clover oil", "8 to 10", None, True])
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


@cache
def parts_of(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as z:
        return {n: z.read(n) for n in z.namelist()}


def zipped(parts: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as z:
        for name, body in parts.items():
            z.writestr(name, body)
    return held.getvalue()


@st.composite
def workbooks(draw: st.DrawFn) -> bytes:
    """A workbook with one of its parts cut, packed again."""
    parts = dict(parts_of(workbook()))
    name = draw(st.sampled_from(sorted(parts)))
    parts[name] = draw(cut_bytes(parts[name]))
    return zipped(parts)


@cache
def bundle() -> bytes:
    with Store(in_memory=True) as store:
        first = store.save(Formula("a"), why="good", figures={"required": 7.0})
        second = store.save(replace(first.body, aims=Aims(window="2")), on=first)
        store.save(replace(first.body, aims=Aims(dose="4")), on=second)
        store.put_away(store.save(Formula("gone")).work)
        store.add_own(OwnReading("shea butter", 9.0), OwnIngredient("meadow butter", "butter"))
        store.set_setting("who", "me")
        return export_all(store)


def sealed(parts: dict[str, bytes]) -> bytes:
    """A zip whose list of contents and checksums are right, whatever the contents."""
    whole = {n: b for n, b in parts.items() if n != "manifest.json"}
    files = [{"name": n, "sha256": hashlib.sha256(b).hexdigest()} for n, b in whole.items()]
    manifest = {"schema": "hlbcore kept work", "version": 1, "files": files}
    return zipped({"manifest.json": json.dumps(manifest).encode(), **whole})


@st.composite
def bundles(draw: st.DrawFn) -> bytes:
    """A zip of kept work with one of its files bent or cut, its checksums right."""
    parts = dict(parts_of(bundle()))
    name = draw(st.sampled_from(sorted(n for n in parts if n.endswith(".json"))))
    if draw(st.integers(0, 3)) == 0:
        parts[name] = draw(cut_bytes(parts[name]))
    else:
        parts[name] = json.dumps(draw(bent((json.loads(parts[name]),)))).encode()
    if name == "manifest.json":
        return zipped(parts)
    return sealed(parts)


# the readers; what one accepts must come back from its own writing


def read_formula(text: str) -> None:
    formula = Formula.from_json(text)
    assert Formula.from_json(formula.to_json(compact=True)) == formula
    assert Formula.from_json(formula.to_json()) == formula


def read_formula_csv(text: str) -> None:
    Formula.from_csv(text, name="x", product="o/w cream").to_csv()


def read_own(text: str) -> None:
    item = own_from_json(text)
    assert own_from_json(own_to_json(item)) == item


def take_table(given: tuple[bytes, str]) -> None:
    rows = read_rows(*given)
    _ = take_rows(rows, match_columns(rows.header)).report


@cache
def holding() -> bytes:
    """What is kept already where the bundle comes in: its first formula, changed."""
    with Store(in_memory=True) as store:
        import_all(store, plan_import(store, bundle()))
        for uid in store.formulas()["uid"]:
            store.save(Formula("mine"), on=store.open(uid))
        return export_all(store)


def take_bundle(given: tuple[bytes, bool]) -> None:
    data, occupied = given
    with Store(in_memory=True) as store:
        if occupied:
            import_all(store, plan_import(store, holding()))
        before = set(store.formulas()["uid"])
        plan = plan_import(store, data)
        assert len(plan.table) == len(plan.items)
        import_all(store, plan)
        assert before <= set(store.formulas()["uid"])
        for uid in store.formulas()["uid"]:
            store.history(uid)
            store.open(uid)
        again = plan_import(store, export_all(store))
        assert again.count == 0


READERS: dict[str, tuple[Callable[[Any], object], Callable[[], st.SearchStrategy[Any]]]] = {
    "formula": (read_formula, lambda: jsons(*formulas())),
    "formula of form 1": (read_formula, lambda: jsons(*saved("formula_v1_*.json"))),
    "page of form 1": (read_formula, lambda: jsons(*saved("sheet_v1_*.json"))),
    "formula, CSV": (read_formula_csv, lambda: texts(*(Formula.from_json(f).to_csv() for f in formulas()))),
    "own figure": (read_own, lambda: jsons(*own())),
    "pasted list": (read_list, lambda: texts(*LISTS)),
    "amount": (lambda text: read_amount(text, "amount"), lambda: texts(*NUMBERS)),
    "range": (lambda text: read_range(text, "range"), lambda: texts(*NUMBERS)),
    "table of ingredients, CSV": (
        take_table,
        lambda: st.tuples(
            st.one_of(st.binary(), cut_bytes(*TABLES)),
            st.sampled_from(("list.csv", "list.txt", "list.xlsx", "list", "a/../\x00.csv")),
        ),
    ),
    "table of ingredients, XLSX": (
        take_table,
        lambda: st.tuples(st.one_of(cut_bytes(workbook()), workbooks()), st.just("list.xlsx")),
    ),
    "all kept work": (
        take_bundle,
        lambda: st.tuples(
            st.one_of(st.binary(), cut_bytes(bundle()), bundles(), bundles(), bundles()), st.booleans()
        ),
    ),
}


@dataclass
class Fuzzed:
    """What became of the inputs of one reader."""

    inputs: int = 0
    taken: int = 0
    wordless: int = 0
    slowest_s: float = 0.0


def fuzz(name: str, count: int) -> Fuzzed:
    """Give a reader so many inputs; what it raises beside `HlbError` comes through, made small."""
    reader, inputs = READERS[name]
    result = Fuzzed()

    @settings(max_examples=count, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(inputs())
    def check(value: Any) -> None:
        result.inputs += 1
        begun = time.perf_counter()
        try:
            reader(value)
            result.taken += 1
        except HlbError as error:
            result.wordless += not str(error).strip()
        result.slowest_s = max(result.slowest_s, time.perf_counter() - begun)

    check()
    return result
