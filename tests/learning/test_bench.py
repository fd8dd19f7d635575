"""The bench that is kept: ladders in and out, figures in use, and exactly undone."""

from __future__ import annotations

from pathlib import Path

import pytest
from bench_cases import CREAM, LADDERS, SOLID

import hlbcore as hlb
from hlbcore import BenchResult
from hlbcore.kept.affected import affected, library_without
from hlbcore.kept.benches import bench_of, library_of, moved_by, phases_of
from hlbcore.kept.kinds import BENCH
from hlbcore.learning.bench import Bench, read_bench, usable

SAVED = Path(__file__).parents[1] / "saved"


@pytest.fixture
def store() -> hlb.Store:
    return hlb.Store(in_memory=True)


def test_there_is_enough_to_learn_from() -> None:
    assert read_bench(Bench(LADDERS), hlb.load_library()).made.ready


def test_it_comes_back_as_it_was_kept(store: hlb.Store) -> None:
    bench = Bench(LADDERS, (LADDERS[0].identity,), ("sunflower_oil",))
    assert store.open(store.save(bench).work, kind=BENCH).body == bench
    found = bench_of(store)
    assert found is not None
    assert found.body == bench


STRANGE = '{"schema": "hlbcore bench", "version": 1, "ladders": [], "weather": "fine"}'


@pytest.mark.parametrize("text", ["{}", "[]", '{"schema": "hlbcore bench", "version": 7}', "x", STRANGE])
def test_what_is_no_bench_is_refused(text: str) -> None:
    with pytest.raises(hlb.HlbError):
        BENCH.read(text)


def test_nothing_learned_is_used_until_it_is_accepted(store: hlb.Store) -> None:
    store.save(CREAM)
    store.save(Bench(LADDERS))
    assert library_of(store) == hlb.load_library()


def test_an_accepted_figure_leads_with_its_provenance(store: hlb.Store) -> None:
    store.save(Bench(LADDERS, used=("sunflower_oil",)))
    library = library_of(store)
    made = read_bench(Bench(LADDERS), hlb.load_library()).made.figures.set_index("id").loc["sunflower_oil"]
    found = library.oil("sunflower oil").required_hlb()
    assert found is not None
    assert found.value == pytest.approx(made["value"], abs=0.0051)
    assert found.sd == pytest.approx(made["sd"], abs=0.0051)
    note = library.oil("sunflower oil").readings("o/w")[0].note
    assert note == "learned here from 5 ladders; tables say 7.0 (6.0 to 8.0)"
    assert library.oil("shea butter") == hlb.load_library().oil("shea butter")


def test_formulas_that_would_move_are_listed_before(store: hlb.Store) -> None:
    store.save(CREAM)
    version = store.save(Bench(LADDERS))
    after = version.body.using(usable(read_bench(version.body, hlb.load_library()).made))
    told = moved_by(store, after).iloc[0]
    assert told["name"] == "Cream"
    assert told["required_before"] == hlb.work_out(CREAM).required.value
    store.save(after, on=version)
    assert told["required_after"] == hlb.work_out(CREAM, library_of(store)).required.value
    assert told["required_after"] > told["required_before"] + 0.3
    assert moved_by(store, after).empty


def test_taking_a_ladder_out_undoes_it_exactly(store: hlb.Store) -> None:
    used = ("sunflower_oil", "shea_butter")
    four = store.save(Bench(LADDERS[:4], used=used))
    before = library_of(store)
    five = store.save(four.body.with_ladders(LADDERS[4:]), on=four)
    assert library_of(store) != before
    gone = store.save(five.body.without(LADDERS[4].identity), on=five)
    assert library_of(store) == before
    store.save(gone.body.back(LADDERS[4].identity), on=gone)
    assert library_of(store) != before


def test_undo_of_an_acceptance_brings_the_tables_back(store: hlb.Store) -> None:
    first = store.save(Bench(LADDERS))
    second = store.save(first.body.using(["sunflower_oil"]), on=first)
    assert second.what == "1 more: figure in use"
    store.point_at(first, on=second)
    assert library_of(store) == hlb.load_library()


def test_too_few_ladders_lead_nowhere() -> None:
    assert usable(read_bench(Bench(LADDERS[:2]), hlb.load_library()).made) == {}


def test_a_figure_of_ones_own_leads_over_a_learned_one(store: hlb.Store) -> None:
    own = hlb.OwnReading("sunflower oil", 8.0)
    store.add_own(own)
    store.save(Bench(LADDERS, used=("sunflower_oil", "shea_butter")))
    assert library_of(store).oil("sunflower oil").required_hlb().value == 8.0
    assert library_of(store).oil("shea butter").readings("o/w")[0].grade == "own"


def test_what_a_ladder_would_move_is_reckoned_with_what_is_in_use(store: hlb.Store) -> None:
    store.save(CREAM)
    store.save(Bench(LADDERS, used=("sunflower_oil",)))
    assert library_without(store) == library_of(store)
    told = affected(store, hlb.OwnReading("shea butter", 11.0)).iloc[0]
    assert told["required_before"] == hlb.work_out(CREAM, library_of(store)).required.value


def test_a_ladder_taken_in_again_takes_the_place_of_the_former() -> None:
    first = BenchResult({"shea butter": 1}, SOLID, 9.0, name="k", uid="u1")
    again = BenchResult({"shea butter": 1}, SOLID, 9.4, name="k", uid="u1")
    shared = BenchResult({"shea butter": 2}, SOLID, 9.0, name="k")
    assert Bench().with_ladders([first, again]).ladders == (again,)
    assert Bench().with_ladders([first]).with_ladders([shared]).ladders == (first,)
    assert Bench().with_ladders([shared]).with_ladders([first]).ladders == (first,)


def test_ladders_that_cannot_be_used_are_told_and_the_others_go_on() -> None:
    gone = BenchResult({"moon butter": 1}, SOLID, 9.0, name="gone")
    twin = BenchResult({"shea butter": 1}, SOLID, 9.0, name="A")
    found = read_bench(Bench((*LADDERS, gone, twin)), hlb.load_library())
    assert found.made.figures.equals(read_bench(Bench(LADDERS), hlb.load_library()).made.figures)
    assert [why.split(",")[0][:40] for _, why in found.problems] == [
        "'moon butter' stands in the ladder 'gone",
        "ladder 'a': two ladders that differ have",
    ]


def test_phases_of_kept_formulas_bring_their_pair(store: hlb.Store) -> None:
    store.save(CREAM)
    found = phases_of(store, hlb.load_library())
    assert [(p.name, p.pair) for p in found] == [("Cream", SOLID)]
    assert dict(found[0].phase) == {"sunflower oil": 12.0, "shea butter": 6.0}


def test_a_bench_of_the_first_form_is_read() -> None:
    held = Bench.from_json((SAVED / "bench_v1.json").read_text("utf-8"))
    assert held.ladders[:5] == LADDERS
    assert held.used == ("sunflower_oil",)
    assert [x.name for x in held.ladders if x not in held.taking_part] == ["open"]
