"""One damaged thing in the file keeps no other out, and is named."""

from __future__ import annotations

import pytest

import hlbcore as hlb
from hlbcore.errors import DamagedWork, InvalidInput
from hlbcore.kept.across import accept, current, swap_across
from hlbcore.kept.benches import bench_of, library_of
from hlbcore.kept.export import unreadable
from hlbcore.learning.bench import Bench

CREAM = hlb.example_formula()


@pytest.fixture
def store() -> hlb.Store:
    return hlb.Store(in_memory=True)


def damage(store: hlb.Store, version: hlb.Version, column: str = "sheet", text: str = "{") -> None:
    with store.writing() as link:
        link.execute(f"UPDATE version SET {column} = ? WHERE uid = ?", (text, version.uid))


def test_the_newest_version_that_can_be_read_is_found(store: hlb.Store) -> None:
    first = store.save(CREAM)
    second = store.save(CREAM.fill("water"), on=first, why="again")
    assert store.last_readable(first.work) == second
    damage(store, second)
    assert store.last_readable(first.work).uid == first.uid
    damage(store, first)
    with pytest.raises(DamagedWork, match="version 2"):
        store.last_readable(first.work)
    with pytest.raises(InvalidInput, match="it is not in the file"):
        store.last_readable("nowhere")


def test_it_is_known_whether_the_file_holds_a_version(store: hlb.Store) -> None:
    kept = store.save(CREAM)
    assert store.holds(kept)
    assert not hlb.Store(in_memory=True).holds(kept)


def test_figures_that_cannot_be_read_are_left_blank_and_named_on_the_way_out(store: hlb.Store) -> None:
    kept = store.save(CREAM, figures={"required": 8.2})
    damage(store, kept, "figures", "{broken")
    assert store.open(kept.work).figures == {}
    assert unreadable(store)["why"].tolist() == ["the figures kept with it"]
    other = hlb.Store(in_memory=True)
    hlb.import_all(other, hlb.plan_import(other, hlb.export_all(store)))
    assert other.open(kept.work).body == CREAM


def test_a_damaged_formula_is_left_out_of_what_goes_over_all(store: hlb.Store) -> None:
    bad, good = store.save(CREAM), store.save(CREAM)
    damage(store, bad)
    assert set(current(store)) == {good.work}
    found = swap_across(store, "shea butter", "mango butter", hlb.load_library())
    assert accept(store, found, [bad.work, good.work]) == ()
    assert store.open(good.work).number == 2


def test_a_swap_that_cannot_be_made_is_told_with_its_formula(store: hlb.Store) -> None:
    kept = store.save(CREAM)
    found = swap_across(store, "shea butter", "nobody's butter", hlb.load_library())
    told = accept(store, found, [kept.work])
    assert len(told) == 1
    assert told[0].startswith(f"{CREAM.name}: ")
    assert store.open(kept.work).number == 1


def test_a_damaged_bench_changes_no_table(store: hlb.Store) -> None:
    kept = store.save(Bench())
    assert bench_of(store) is not None
    damage(store, kept)
    assert bench_of(store) is None
    assert library_of(store) == hlb.load_library()


def test_what_is_in_use_is_not_deleted_for_good(store: hlb.Store) -> None:
    kept = store.save(CREAM)
    with pytest.raises(InvalidInput, match="it is not put away"):
        store.delete(kept.work)
    assert store.has(kept.work)
