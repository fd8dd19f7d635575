"""One swap over many formulas, and over the kept ones."""

from __future__ import annotations

from dataclasses import replace

from hlbcore import Aims, Formula, Line, Store, load_library, swap, work_out
from hlbcore.kept.across import accept, swap_across
from hlbcore.swapping.many import MANY_COLUMNS, NO_WORD, SMALL, STILL, WORK, holding, swap_many

LIB = load_library()


def cream(name: str, *oils: tuple[str, float], dose: float = 4.0) -> Formula:
    """An o/w cream whose pair meets its oils."""
    lines = [Line(n, pct, phase="oil") for n, pct in oils]
    lines += [Line("sorbitan stearate", phase="oil"), Line("polysorbate 60", phase="oil")]
    lines.append(Line("water", 100 - dose - sum(p for _, p in oils), phase="water"))
    made = work_out(Formula(name, "o/w cream", lines, aims=Aims(goal="closest", dose=str(dose)))).made
    return replace(made, aims=replace(made.aims, goal=""))


FEW = cream("little of it", ("mineral oil", 20.0), ("isopropyl myristate", 1.0))
MUCH = cream("much of it", ("mineral oil", 5.0), ("isopropyl myristate", 15.0))
NONE = cream("none of it", ("mineral oil", 20.0))


def test_formulas_that_hold_it_are_found_by_any_name() -> None:
    held = {"a": FEW, "b": MUCH, "c": NONE}
    assert holding(held, "Isopropyl Myristate", LIB) == {"a": 1.0, "b": 15.0}
    assert holding(held, "unheard of", LIB) == {}


def test_an_amount_that_cannot_be_read_is_no_amount() -> None:
    odd = Formula("odd", "o/w cream", [Line("shea butter", "a lot", phase="oil")])
    assert holding({"a": odd}, "shea butter") == {"a": None}


def test_each_row_is_what_the_swap_of_that_formula_gives() -> None:
    made = swap_many({"a": FEW, "b": MUCH, "c": NONE}, "isopropyl myristate", "mineral oil")
    assert list(made.table.columns) == list(MANY_COLUMNS)
    assert made.table["uid"].tolist() == ["a", "b"]
    for one, formula in zip(made.each, (FEW, MUCH), strict=True):
        assert one.swap.formula == swap(formula, out="isopropyl myristate", into="mineral oil").formula


def test_results_are_told_apart() -> None:
    scrub = Formula(
        "scrub",
        "wash-off scrub",
        [
            Line("isopropyl myristate", 20, phase="oil"),
            Line("polysorbate 80", 5, phase="oil"),
            Line("sucrose", 75),
        ],
    )
    bare = Formula("no emulsifier", "o/w cream", [Line("isopropyl myristate", 20, phase="oil")])
    made = swap_many({"a": FEW, "b": MUCH, "s": scrub, "n": bare}, "isopropyl myristate", "mineral oil")
    results = dict(zip(made.table["uid"], made.table["result"], strict=True))
    assert results["a"] == STILL
    assert results["b"] in (SMALL, WORK)
    assert results["s"] == NO_WORD
    assert results["n"] == WORK


def test_what_is_not_possible_is_told_and_the_others_go_on() -> None:
    made = swap_many({"a": FEW, "b": MUCH}, "isopropyl myristate", "unheard of")
    assert made.table["result"].tolist() == [WORK, WORK]
    assert made.table["told"].str.contains("unheard of").all()


def test_accepted_ones_are_new_versions_with_their_reason_and_the_others_stay() -> None:
    with Store(in_memory=True) as store:
        kept = [store.save(f) for f in (FEW, MUCH, NONE)]
        found = swap_across(store, "isopropyl myristate", "mineral oil", LIB)
        assert accept(store, found, [kept[0].work]) == ()
        first, second, third = (store.open(k.work) for k in kept)
        assert first.body == next(o for o in found.made.each if o.key == kept[0].work).swap.formula
        assert "isopropyl myristate" in first.why
        assert first.kept
        assert (second.number, third.number) == (1, 1)


def test_one_that_moved_on_is_told_and_nothing_is_lost() -> None:
    with Store(in_memory=True) as store:
        kept = store.save(FEW)
        found = swap_across(store, "isopropyl myristate", "mineral oil", LIB)
        newer = store.save(replace(FEW, note="softer"), on=kept)
        told = accept(store, found, [kept.work])
        assert "changed in the meantime" in told[0]
        assert store.open(kept.work).body == newer.body
        assert len(store.history(kept.work)) == 3
