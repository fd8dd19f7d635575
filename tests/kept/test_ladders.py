"""Ladders are kept as formulas are: versions, conflicts, lists, export and import."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb
from hlbcore.errors import Conflict, NotSaved
from hlbcore.kept.kinds import FORMULA, LADDER, KeptLadder
from hlbcore.ladder.sheet import LadderSheet


def ladder(name: str = "Beeswax ladder", score: float | None = None) -> KeptLadder:
    plan = hlb.plan_ladder(
        "sorbitan oleate",
        "polysorbate 80",
        centre=10,
        half_width=2,
        steps=5,
        oil_phase={"mineral oil": 20},
        seed=1,
    )
    made = hlb.Trial(plan, name=name)
    if score is not None:
        made = replace(made, observations=(hlb.Observation(1, 24, "score", score),))
    return KeptLadder(made, LadderSheet(steps="5"))


@pytest.fixture
def store() -> hlb.Store:
    return hlb.Store(in_memory=True)


def test_a_ladder_comes_back_as_it_was_kept(store: hlb.Store) -> None:
    held = store.open(store.save(ladder(), who="bench two").work, kind=LADDER)
    assert (held.body, held.who, held.number) == (ladder(), "bench two", 1)


def test_a_trial_from_elsewhere_needs_nothing_typed(store: hlb.Store) -> None:
    bare = KeptLadder(ladder().trial)
    assert store.open(store.save(bare).work).body == bare


def test_each_save_is_a_version_and_the_newest_is_open(store: hlb.Store) -> None:
    first = store.save(ladder())
    second = store.save(ladder(score=3), on=first)
    assert store.open(first.work) == second
    assert store.version(first.uid).body == ladder()


def test_a_second_window_loses_nothing(store: hlb.Store) -> None:
    first = store.save(ladder())
    theirs = store.save(ladder(score=3), on=first)
    with pytest.raises(Conflict) as found:
        store.save(ladder(score=4), on=first)
    assert found.value.theirs == theirs.uid
    assert store.version(found.value.mine).body == ladder(score=4)


def test_ladders_and_formulas_are_listed_apart(store: hlb.Store) -> None:
    store.save(ladder())
    store.save(hlb.example_formula())
    assert store.listed(LADDER)["name"].tolist() == ["Beeswax ladder"]
    assert store.formulas()["name"].tolist() == [hlb.example_formula().name]


def test_a_ladder_is_found_by_its_oil(store: hlb.Store) -> None:
    store.save(ladder())
    found = [len(store.listed(LADDER, words)) for words in ("mineral", "beeswax 80", "tallow")]
    assert found == [1, 1, 0]


def test_a_ladder_put_away_can_be_brought_back(store: hlb.Store) -> None:
    work = store.save(ladder()).work
    store.put_away(work)
    assert (len(store.listed(LADDER)), len(store.listed(LADDER, removed=True))) == (0, 1)
    store.bring_back(work)
    assert len(store.listed(LADDER)) == 1


def test_one_kind_is_not_opened_as_another(store: hlb.Store) -> None:
    formula, kept = store.save(hlb.example_formula()), store.save(ladder())
    with pytest.raises(hlb.InvalidInput, match=r"trial: it is a formula\. Choose one"):
        store.open(formula.work, kind=LADDER)
    with pytest.raises(hlb.InvalidInput, match=r"formula: it is a trial\. Choose one"):
        store.open(kept.work, kind=FORMULA)


def test_a_version_of_one_kind_never_follows_on_another(store: hlb.Store) -> None:
    formula = store.save(hlb.example_formula())
    with pytest.raises(NotSaved, match="Save it as a new trial"):
        store.save(ladder(), on=formula, what="changed")


def test_undo_works_on_a_ladder(store: hlb.Store) -> None:
    first = store.save(ladder())
    second = store.save(ladder(score=3), on=first)
    assert store.before(second) == first
    store.point_at(first, on=second)
    assert store.open(first.work) == first
    assert store.after(first) == second


def test_ladders_move_with_an_export(store: hlb.Store) -> None:
    first = store.save(ladder())
    last = store.save(ladder(score=3), on=first)
    other = hlb.Store(in_memory=True)
    plan = hlb.plan_import(other, hlb.export_all(store))
    assert plan.table["does"].tolist() == ["comes in as a new trial with 2 versions"]
    hlb.import_all(other, plan)
    assert other.open(first.work) == last
    assert hlb.plan_import(other, hlb.export_all(store)).count == 0


def test_an_import_goes_on_from_the_ladder_that_is_here(store: hlb.Store) -> None:
    first = store.save(ladder())
    other = hlb.Store(in_memory=True)
    hlb.import_all(other, hlb.plan_import(other, hlb.export_all(store)))
    last = store.save(ladder(score=3), on=first)
    hlb.import_all(other, hlb.plan_import(other, hlb.export_all(store)))
    assert other.open(first.work).body == last.body
