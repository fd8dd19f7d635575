from __future__ import annotations

import random
import shutil
from collections import Counter
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

import pytest

from hlbcore import HlbError, OwnReading, Store, example_formula, export_all, import_all, plan_import
from hlbcore.errors import DamagedFile
from hlbcore.kept.export import unreadable
from hlbcore.kept.recovery import from_damaged

CREAM = example_formula()


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """The file with random bytes, bits or pages changed, or cut."""
    body = bytearray(data)
    way = chance.choice(("bytes", "head", "bits", "page", "zeros", "cut"))
    if way == "cut":
        return bytes(body[: chance.randrange(len(body))])
    if way in ("page", "zeros"):
        at = 4096 * chance.randrange(len(body) // 4096)
        body[at : at + 4096] = bytes(4096) if way == "zeros" else chance.randbytes(4096)
        return bytes(body)
    for _ in range(chance.randrange(2, 60)):
        at = chance.randrange(4096 if way == "head" else len(body))
        body[at] = body[at] ^ (1 << chance.randrange(8)) if way == "bits" else chance.randrange(256)
    return bytes(body)


def used(path: Path) -> str:
    """Everything that a maker does with a file; what became of it, in a word."""
    word = "as if whole"
    try:
        store = Store(path)
    except DamagedFile as error:
        if error.moved_to is None:
            return "told as gone"
        from_damaged(error.moved_to, path)
        store, word = Store(path), "told, and what could be read goes on"
    except HlbError:
        return "refused with a sentence"
    with store:
        left = unreadable(store)
        with Store(in_memory=True) as other:
            import_all(other, plan_import(other, export_all(store)))
        store.overlay()
        for uid in store.formulas()["uid"]:
            with suppress(HlbError):
                store.open(str(uid))
        with suppress(HlbError):
            store.save(CREAM)
        return "opened, and named what cannot be read" if len(left) else word


@pytest.mark.parametrize(
    "count", [40, pytest.param(400, marks=pytest.mark.reliability)], ids=["short", "full"]
)
def test_no_damage_gives_anything_but_a_sentence(
    tmp_path: Path, count: int, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "whole.db"
    with Store(path) as store:
        for n in range(6):
            last = store.save(replace(CREAM, name=f"Balm {n}"))
            for k in range(5):
                last = store.save(replace(CREAM, name=f"Balm {n}", note=f"{k} " + "x" * 2000), on=last)
        store.add_own(OwnReading("shea butter", 9.0), OwnReading("beeswax", 10.0))
        store.set_setting("who", "me")
    data, chance, found = path.read_bytes(), random.Random(7), Counter[str]()
    for n in range(count):
        spoiled = tmp_path / str(n) / "w.db"
        spoiled.parent.mkdir()
        spoiled.write_bytes(spoilt(data, chance))
        found[used(spoiled)] += 1
        shutil.rmtree(spoiled.parent)
    with capsys.disabled():
        if count > 40:
            print(f"\n{count} damaged files: " + "; ".join(f"{n} {w}" for w, n in found.most_common()))
    assert found.total() == count
