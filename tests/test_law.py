"""The law: page, checks, swap, ladder and reopened file give the same figures for one formula.

`HYPOTHESIS_PROFILE=long LAW_FORMULAS=10000` tries ten thousand, others each time.
"""

from __future__ import annotations

import os
from collections.abc import Callable

import pytest
from any_formula import LIBRARY, formulas
from hypothesis import given, settings

from hlbcore import (
    Aims,
    Estimate,
    Formula,
    Library,
    Line,
    OwnIngredient,
    OwnReading,
    Store,
    Worked,
    check,
    export_all,
    import_all,
    load_library,
    plan_import,
    swap,
    work_out,
)
from hlbcore.checks import products_of
from hlbcore.ladder.planner import work_out_ladder
from hlbcore.ladder.sheet import LadderSheet

Figures = dict[str, object]

OFTEN = settings(max_examples=int(os.environ.get("LAW_FORMULAS", "300")))


def near(value: float | None) -> object:
    return None if value is None else pytest.approx(value, rel=1e-9, abs=1e-9)


def figures(w: Worked) -> Figures:
    """Required HLB with its range, HLB of the blend, total, and grams on the scale."""
    required, blend = w.required, w.blend
    return {
        "required": None
        if required is None
        else tuple(map(near, (required.value, required.low, required.high))),
        "oil phase": near(w.oil_pct),
        "blend": None if blend is None else [near(blend.value), near(blend.low), near(blend.high)],
        "total": near(w.emulsifier_pct),
        "amounts": [near(x.pct) for x in w.emulsifiers],
        "grams": None if w.weighed is None else list(w.weighed.grams),
        "word": w.verdict.word,
    }


View = Callable[[Worked], Worked | None]


def reopened(w: Worked) -> Worked:
    """After JSON."""
    again = Formula.from_json(w.formula.to_json())
    assert again == w.formula
    return work_out(again, LIBRARY)


def as_table(w: Worked) -> Worked | None:
    """After CSV, which holds the lines in % and neither aims nor bought blends."""
    made = w.made
    if made.blends or any(x.amount.value is None for x in made.lines):
        return None
    read = Formula.from_csv(made.to_csv(), name=made.name, product=made.product_type).lines
    if made.aims.unit == "g":
        read = tuple(x.with_amount(f"{x.amount.text} %") for x in read)
    return work_out(Formula(made.name, made.product_type, read, aims=made.aims), LIBRARY)


def checked(w: Worked) -> Worked:
    """What the checks look at, and say."""
    (product,) = products_of(w)
    said = [x for x in check(w) if x.title.startswith("Emulsifiers: ") and x.figure.startswith("HLB ")]
    if said and w.blend is not None:
        assert said[0].figure.startswith(f"HLB {w.blend.value:.1f}, ")
        assert said[0].title == f"Emulsifiers: {w.verdict.word}"
    return product


def swapped(w: Worked) -> Worked:
    """After a swap of nothing."""
    r = swap(w)
    assert r.formula == r.before == w.made
    assert (r.old_target, r.new_target) == (w.target, w.target)
    assert r.old_blend == w.blend
    return work_out(r.formula, LIBRARY)


def laddered(w: Worked) -> None:
    """A ladder takes the oil phase of the page."""
    if w.required is None:
        return
    plan = work_out_ladder(w, LadderSheet())
    assert plan.required in (None, w.target)
    parts = [p for p in w.required.parts if p.mass > 0]
    counted = {p.name: near(p.mass) for p in parts}
    if plan.oils and len(counted) == len(parts):  # one name with two figures cannot be one oil of a vial
        assert {n: p for n, p in plan.oils.items() if n in counted} == counted


def kept(w: Worked) -> Worked:
    """After save, export, import into another file, and open."""
    with Store(in_memory=True) as first, Store(in_memory=True) as second:
        uid = first.save(w.formula).work
        assert first.open(uid).body == w.formula
        import_all(second, plan_import(second, export_all(first)))
        held = second.open(uid).body
    assert held == w.formula
    return work_out(held, LIBRARY)


def made(w: Worked) -> Worked:
    """The formula with the amounts that were asked for."""
    return work_out(w.made, LIBRARY)


VIEWS: tuple[View, ...] = (reopened, as_table, checked, swapped, laddered, kept, made)


@OFTEN
@given(formulas())
def test_every_view_of_a_formula_gives_the_same_figures(formula: Formula) -> None:
    w = work_out(formula, LIBRARY)
    wanted = figures(w)
    for view in VIEWS:
        if (held := view(w)) is not None:
            assert figures(held) == wanted, view.__doc__
    if w.required is not None:
        ends = [e for p in w.required.parts if p.mass > 0 for e in (p.estimate.low, p.estimate.high)]
        assert min(ends) - 1e-9 <= w.required.value <= max(ends) + 1e-9
    assert all(pct >= 0 for pct in w.amounts.values())


# --- ten cases in which the pages once contradicted each other

PAIR = [
    Line("sorbitan oleate", 2, phase="oil"),
    Line("polysorbate 80", 3, phase="oil"),
    Line("water", 70, phase="water"),
]


def views(formula: Formula, library: Library | None = None) -> list[float | None]:
    """Required HLB of the page, of the checks, of a swap of nothing, and of the reopened file."""
    w = work_out(formula, library)
    again = work_out(Formula.from_json(formula.to_json()), library)
    held = [w.required, products_of(w)[0].required, swap(w).new_target, again.required]
    return [None if r is None else r.value for r in held]


def formula_of(*oils: Line, **aims: bool) -> Formula:
    return Formula("x", "o/w cream", [*oils, *PAIR], aims=Aims("as typed", **aims))  # type: ignore[arg-type]


def test_fragrance_left_out_is_left_out_everywhere() -> None:
    oils = (
        Line("sunflower oil", 10, phase="oil"),
        Line("cocoa butter", 5, phase="oil"),
        Line("lavender oil", 3, phase="oil"),
    )
    held = views(formula_of(*oils, fragrance_counts=False))
    assert held == [pytest.approx((10 * 7 + 5 * 6) / 15)] * 4


def test_an_unknown_oil_with_the_range_of_a_kind_counts_everywhere() -> None:
    formula = formula_of(
        Line("sunflower oil", 10, phase="oil"), Line("meadow butter", 10, own="butter", phase="oil")
    )
    butter = load_library().class_estimate("butter")
    assert butter is not None
    sunflower = load_library().oil("sunflower oil").required_hlb()
    assert sunflower is not None
    assert views(formula) == [pytest.approx((sunflower.value + butter.value) / 2)] * 4
    required = swap(formula).old_required
    assert required is not None
    assert required.mass == 20


def test_the_class_range_of_a_known_oil_holds_everywhere() -> None:
    butter = load_library().class_estimate("butter")
    assert butter is not None
    assert views(formula_of(Line("shea butter", 10, own="class range", phase="oil"))) == [butter.value] * 4


def test_blanks_round_a_name_lose_no_own_value() -> None:
    assert views(formula_of(Line(" shea butter ", 10, own=15, phase="oil"))) == [15.0] * 4


def test_a_chosen_reading_comes_back_from_a_file() -> None:
    held = load_library().oil("dimethicone").required_hlb()
    assert held is not None
    assert held.alternatives
    chosen = held.alternatives[0]
    assert views(formula_of(Line("dimethicone", 10, own=f"reading {chosen:g}", phase="oil"))) == [chosen] * 4


def test_a_skew_range_of_ones_own_keeps_its_value() -> None:
    formula = formula_of(Line("olive oil", 10, own=Estimate(9, 8, 14), phase="oil"))
    assert views(formula) == [9.0] * 4
    required = work_out(Formula.from_json(formula.to_json())).required
    assert required is not None
    assert (required.low, required.high) == (8.0, 14.0)


def test_an_own_figure_in_the_cool_down_is_kept() -> None:
    oils = (Line("sunflower oil", 10, own=7, phase="oil"), Line("olive oil", 5, own=9, phase="cool-down"))
    assert views(formula_of(*oils)) == [pytest.approx(23 / 3)] * 4


def test_a_kind_typed_for_a_known_oil_comes_back_from_a_file() -> None:
    butter = load_library().class_estimate("butter")
    assert butter is not None
    assert views(formula_of(Line("olive oil", 10, own="butter", phase="oil"))) == [butter.value] * 4


def test_the_active_part_of_an_emulsifier_counts_wherever_it_is_entered() -> None:
    formula = formula_of(
        Line("sunflower oil", 20, phase="oil"), Line("lecithin", 2, active=50, own=4, phase="water")
    )
    w = work_out(formula)
    wanted = (2 * 4.3 + 3 * 15 + 1 * 4) / 6
    held = [w.blend, products_of(w)[0].blend, swap(w).old_blend]
    assert [None if b is None else b.value for b in held] == [pytest.approx(wanted)] * 3
    said = next(x for x in check(w) if x.title.startswith("Emulsifiers"))
    assert said.figure.startswith(f"HLB {wanted:.1f}, ")


def test_an_own_two_sided_ingredient_counts_where_its_line_says() -> None:
    library = load_library(
        overlay=[
            OwnIngredient("brook wax", "fatty alcohol"),
            OwnReading("brook wax", 14),
            OwnReading("brook wax", 3, quantity="HLB"),
        ]
    )
    formula = formula_of(
        Line("sunflower oil", 20, own=7, phase="oil"), Line("brook wax", 1, counts="emulsifier", phase="oil")
    )
    assert views(formula, library) == [7.0] * 4
    w = work_out(formula, library)
    assert [x.name for x in w.emulsifiers] == ["brook wax", "sorbitan oleate", "polysorbate 80"]
    assert [x.name for x in work_out(swap(w).formula, library).emulsifiers] == [x.name for x in w.emulsifiers]


def test_what_a_base_turns_to_soap_is_left_as_typed_by_the_solver() -> None:
    for amount in (0.5, ""):
        formula = Formula(
            "x",
            "o/w cream",
            [
                Line("sunflower oil", 20, phase="oil"),
                Line("stearic acid", amount, counts="emulsifier", own=2, phase="oil"),
                *PAIR,
                Line("triethanolamine", 0.3, phase="water"),
            ],
            aims=Aims("closest"),
        )
        w = work_out(formula)
        assert w.solved is not None
        assert w.made.pcts[1] == formula.pcts[1]
        assert figures(work_out(w.made)) == figures(w)
