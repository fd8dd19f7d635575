"""Trials are kept as formulas are: versions, conflicts, lists, export and import."""

from __future__ import annotations

from dataclasses import replace

import pytest

import hlbcore as hlb


def trial(name: str = "Beeswax ladder") -> hlb.Trial:
    ladder = hlb.plan_ladder(
        "sorbitan oleate", "polysorbate 80", centre=10, half_width=2, steps=5, oil_phase={"mineral oil": 20}
    )
    return hlb.Trial(ladder, name=name)


def scored(made: hlb.Trial, score: float) -> hlb.Trial:
    return replace(made, observations=(hlb.Observation(1, 24, "score", score),))


@pytest.fixture
def store() -> hlb.Store:
    return hlb.Store(in_memory=True)


def test_a_trial_comes_back_as_it_was_kept(store: hlb.Store) -> None:
    first = store.save_trial(trial(), sheet='{"steps": "5"}', who="bench two")
    held = store.open_trial(first.trial_uid)
    assert (held.trial, held.sheet, held.who, held.number) == (trial(), '{"steps": "5"}', "bench two", 1)


def test_each_save_is_a_version_and_the_newest_is_open(store: hlb.Store) -> None:
    first = store.save_trial(trial())
    second = store.save_trial(scored(trial(), 3), on=first)
    assert store.open_trial(first.trial_uid) == second
    assert store.trial_version(first.uid).trial == trial()


def test_a_second_window_loses_nothing(store: hlb.Store) -> None:
    first = store.save_trial(trial())
    theirs = store.save_trial(scored(trial(), 3), on=first)
    with pytest.raises(hlb.Conflict) as found:
        store.save_trial(scored(trial(), 4), on=first)
    assert found.value.theirs == theirs.uid
    assert store.trial_version(found.value.mine).trial == scored(trial(), 4)


def test_trials_and_formulas_are_listed_apart(store: hlb.Store) -> None:
    store.save_trial(trial())
    store.save(hlb.example_sheet())
    assert store.trials()["name"].tolist() == ["Beeswax ladder"]
    assert store.formulas()["name"].tolist() == [hlb.example_sheet().title]


def test_a_trial_is_found_by_its_oil(store: hlb.Store) -> None:
    store.save_trial(trial())
    assert [len(store.trials(words)) for words in ("mineral", "beeswax 80", "tallow")] == [1, 1, 0]


def test_a_trial_put_away_can_be_brought_back(store: hlb.Store) -> None:
    uid = store.save_trial(trial()).trial_uid
    store.put_away_trial(uid)
    assert (len(store.trials()), len(store.trials(removed=True))) == (0, 1)
    store.bring_back_trial(uid)
    assert len(store.trials()) == 1


def test_a_formula_is_not_opened_as_a_trial(store: hlb.Store) -> None:
    kept = store.save(hlb.example_sheet())
    with pytest.raises(hlb.InvalidInput, match="trial"):
        store.open_trial(kept.formula)
    with pytest.raises(hlb.InvalidInput, match="trial"):
        store.trial_version(kept.uid)


def test_a_trial_is_not_opened_as_a_formula(store: hlb.Store) -> None:
    kept = store.save_trial(trial())
    with pytest.raises(hlb.InvalidInput):
        store.open(kept.trial_uid)


def test_trials_move_with_an_export(store: hlb.Store) -> None:
    first = store.save_trial(trial())
    last = store.save_trial(scored(trial(), 3), on=first)
    other = hlb.Store(in_memory=True)
    plan = hlb.plan_import(other, hlb.export_all(store))
    assert plan.table["does"].tolist() == ["comes in as a new trial with 2 versions"]
    hlb.import_all(other, plan)
    assert other.open_trial(first.trial_uid) == last
    assert hlb.plan_import(other, hlb.export_all(store)).count == 0


def test_an_import_goes_on_from_the_trial_that_is_here(store: hlb.Store) -> None:
    first = store.save_trial(trial())
    other = hlb.Store(in_memory=True)
    hlb.import_all(other, hlb.plan_import(other, hlb.export_all(store)))
    last = store.save_trial(scored(trial(), 3), on=first)
    hlb.import_all(other, hlb.plan_import(other, hlb.export_all(store)))
    assert other.open_trial(first.trial_uid).trial == last.trial
