"""Speed of kept work at 1,000 formulas with 20 versions each; printed, never asserted.

Run with ``pytest -n 0 -m benchmark -s tests/benchmarks/test_store.py``.
"""

from __future__ import annotations

import itertools
import json
import random
import statistics
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest

import hlbcore as hlb
from hlbcore.kept import file as store_file
from hlbcore.kept.kinds import FORMULA
from hlbcore.kept.versions import now

pytestmark = pytest.mark.benchmark

FORMULAS, VERSIONS = 1_000, 20
OILS = (
    "shea butter",
    "cocoa butter",
    "mango butter",
    "sunflower oil",
    "sweet almond oil",
    "jojoba oil",
    "castor oil",
    "mineral oil",
    "isopropyl myristate",
    "beeswax",
    "cetyl alcohol",
    "stearic acid",
)


def formulas() -> Iterator[hlb.Formula]:
    """Formulas of eight oils, two emulsifiers and six other lines, each with a note."""
    chance = random.Random(1)
    base = hlb.example_formula()
    others = tuple(
        hlb.Line(name, amount, phase=phase)
        for name, amount, phase in (
            ("water", "62", "water"),
            ("glycerin", "4", "water"),
            ("xanthan gum", "0.3", "water"),
            ("panthenol", "1", "cool-down"),
            ("phenoxyethanol", "0.9", "cool-down"),
            ("lavender oil", "0.5", "cool-down"),
        )
    )
    emulsifiers = (
        hlb.Line("sorbitan stearate", "2.5", phase="oil", price="9"),
        hlb.Line("polysorbate 60", "2.5", phase="oil", price="11"),
    )
    for n in itertools.count():
        oils = [hlb.Line(o, f"{chance.uniform(0.5, 9):.1f}", phase="oil") for o in chance.sample(OILS, 8)]
        yield replace(
            base,
            name=f"hand cream, bench trial {n}",
            lines=(*oils, *emulsifiers, *others),
            note="Held a week at 40 °C; softer than the one before. " * 4,
        )


def build(store: hlb.Store) -> list[str]:
    """All formulas in one transaction; their identities."""
    made, uids, digest = formulas(), (f"{n:032x}" for n in itertools.count(1)), "d" * 64
    figures = json.dumps({"required": 7.25, "blend": 7.31, "total": 5.0, "word": "inside"})
    works = []
    with store.writing() as link:
        for _ in range(FORMULAS):
            formula, work, parent = next(made), next(uids), None
            own = [next(uids) for _ in range(VERSIONS)]
            at = now()
            link.execute(
                "INSERT INTO formula VALUES (?, ?, ?, ?, ?, ?, ?, NULL, 'formula')",
                (work, formula.name, formula.product_type, FORMULA.listed_as(formula).words, own[-1], at, at),
            )
            for number, uid in enumerate(own, 1):
                formula = replace(formula, aims=replace(formula.aims, window=str(number)))
                link.execute(
                    "INSERT INTO version VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    (
                        uid,
                        work,
                        number,
                        parent,
                        formula.to_json(compact=True),
                        figures,
                        digest,
                        "bench two",
                        f"window {number - 1} → {number}",
                        "",
                        at,
                        0,
                    ),
                )
                parent = uid
            works.append(work)
    return works


def ms(work: Callable[[], object], times: int) -> str:
    """Median and slowest of so many."""
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        taken.append(1000 * (time.perf_counter() - begun))
    return f"{statistics.median(taken):8.2f} ms, slowest {max(taken):8.2f} ms"


def plans(store: hlb.Store, work: Callable[[], object]) -> list[tuple[str, str]]:
    """Each query that the work makes, with the way that SQLite takes."""
    said: list[str] = []
    with store.reading() as link:
        link.set_trace_callback(said.append)
        work()
        link.set_trace_callback(None)
        found = []
        for sql in dict.fromkeys(said):
            if sql.startswith(("SELECT", "UPDATE", "INSERT")):
                steps = link.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()
                found.append((" ".join(sql.split())[:110], "; ".join(s[3] for s in steps)))
    return found


def test_kept_work_of_1000_formulas_with_20_versions(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "w.db"
    chance = random.Random(2)
    with hlb.Store(path) as store:
        kept_works = build(store)
    with capsys.disabled():
        print(f"\n{FORMULAS:,} formulas, {VERSIONS} versions each: {path.stat().st_size / 1e6:.1f} MB")
        day = store_file.last_backup(path)
        assert day is not None
        day.unlink()
        print("opening the file, with the backup of the day", ms(lambda: hlb.Store(path).close(), 1))
        print("opening the file", ms(lambda: hlb.Store(path).close(), 10))
    with hlb.Store(path) as store:
        kept = store.open(kept_works[0])

        def save() -> None:
            nonlocal kept
            aims = replace(kept.body.aims, dose=f"{chance.random():.6f}")
            kept = store.save(replace(kept.body, aims=aims), on=kept)

        def any_formula() -> str:
            return chance.choice(kept_works)

        def undo() -> None:
            nonlocal kept
            before = store.before(kept)
            assert before is not None
            kept = store.point_at(before, on=kept)

        works: dict[str, tuple[Callable[[], object], int]] = {
            "open": (lambda: store.open(any_formula()), 300),
            "search, one word": (lambda: store.formulas(str(chance.randrange(FORMULAS))), 100),
            "search, two words": (lambda: store.formulas("beeswax lavender"), 100),
            "list of all": (store.formulas, 100),
            "list of those put away": (lambda: store.formulas(removed=True), 100),
            "history": (lambda: store.history(any_formula()), 300),
            "save": (save, 300),
            "undo": (undo, 200),
            "redo": (lambda: store.after(kept), 100),
            "mark": (lambda: store.mark(kept, "good"), 100),
            "own figures": (store.own, 100),
            "setting": (lambda: store.setting("who"), 100),
            "export of everything": (lambda: hlb.export_all(store), 1),
        }
        with capsys.disabled():
            for name, (work, times) in works.items():
                print(f"{name:24} {ms(work, times)}")
            data = hlb.export_all(store)
            print(f"exported: {len(data) / 1e6:.1f} MB")
            print(f"{'plan, all is here':24} {ms(lambda: hlb.plan_import(store, data), 1)}")
            with hlb.Store(tmp_path / "new.db") as new:
                print(f"{'plan, all is new':24} {ms(lambda: hlb.plan_import(new, data), 1)}")
                plan = hlb.plan_import(new, data)
                print(f"{'import of all':24} {ms(lambda: hlb.import_all(new, plan), 1)}")
            print("\nThe way that each query takes")
            for name, (work, _) in works.items():
                for sql, way in plans(store, work) if "export" not in name else []:
                    print(f"  {name}: {way or 'no look-up'}\n      {sql}")
