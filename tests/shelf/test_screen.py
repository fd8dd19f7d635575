"""What a screen lists, in which order, and what it says."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hlbcore import (
    Estimate,
    Group,
    InvalidInput,
    MissingValue,
    UnknownIngredient,
    load_library,
    required_hlb,
    screen,
)
from hlbcore.blending.choice import choose_emulsifiers
from hlbcore.errors import EmptyPhase
from hlbcore.shelf.results import IN_GRAMS, SCREEN_COLUMNS
from hlbcore.shelf.screening import screened

FIVE = {"a": 4.0, "b": 8.0, "c": 11.0, "d": 15.0, "e": 17.0}
PRICES = {"a": 5.0, "b": 9.0, "c": 7.0, "d": 8.0, "e": 12.0}
OBJECTIVES = ("closest", "most tolerant", "cheapest", "least total")
STEARATES = ["sorbitan stearate", "polysorbate 60", "sorbitan oleate", "polysorbate 80"]


def best(emulsifiers: dict[str, float], objective: str, **asked: object) -> float:
    """The first value by its own objective; smaller is better, infinite where there is none."""
    made = screened(emulsifiers, 10.0, objective=objective, **asked)
    if not made.possible:
        return math.inf
    at = made.first(1)
    return {
        "closest": lambda: abs(float(made.solved.hlb[at][0]) - 10.0),
        "most tolerant": lambda: -float(made.solved.margin(at)[0]),
        "cheapest": lambda: float(made.solved.cost(at)[0]),
        "least total": lambda: float(made.solved.total[at][0]),
    }[objective]()


# --- properties

SHELF = st.dictionaries(
    st.sampled_from("abcdefgh"), st.floats(1, 19).map(lambda x: round(x, 2)), min_size=2, max_size=6
)
QUICK = settings(max_examples=25, deadline=None)


@QUICK
@given(SHELF, st.randoms(), st.sampled_from(OBJECTIVES))
def test_order_of_the_shelf_changes_nothing(shelf: dict[str, float], random: object, objective: str) -> None:
    names = list(shelf)
    random.shuffle(names)  # type: ignore[attr-defined]
    cost = {n: 3.0 + v for n, v in shelf.items()}
    tables = [
        screen({n: shelf[n] for n in order}, 10.0, objective=objective, cost=cost)
        for order in (list(shelf), names)
    ]
    assert tables[0].equals(tables[1])


@QUICK
@given(SHELF, st.floats(0.01, 1000))
def test_scale_of_the_prices_changes_no_amounts(shelf: dict[str, float], scale: float) -> None:
    cost = {n: 3.0 + (7 * v) % 5 for n, v in shelf.items()}
    one = screen(shelf, 10.0, objective="cheapest", cost=cost, min_share=0.1)
    other = screen(shelf, 10.0, objective="cheapest", cost={n: p * scale for n, p in cost.items()})
    assert other["cost"].tolist() == pytest.approx((one["cost"] * scale).tolist(), rel=1e-9)


@QUICK
@given(SHELF, st.floats(1, 19), st.sampled_from(OBJECTIVES))
def test_one_emulsifier_more_never_makes_the_best_worse(
    shelf: dict[str, float], more: float, objective: str
) -> None:
    asked = {"total": (3.0, 5.0), "cost": {n: 4.0 + v for n, v in shelf.items()}}
    before = best(shelf, objective, **asked)
    asked["cost"] = {**asked["cost"], "z": 6.0}  # type: ignore[dict-item]
    assert best({**shelf, "z": more}, objective, **asked) <= before + 1e-9


@QUICK
@given(SHELF, st.sampled_from(OBJECTIVES), st.floats(0, 0.3))
def test_amounts_keep_to_total_window_and_least_share(
    shelf: dict[str, float], objective: str, share: float
) -> None:
    table = screen(shelf, 10.0, total=4.0, window=0.8, min_share=share, objective=objective, cost=shelf)
    for row in table.itertuples():
        assert math.fsum(row.amounts.values()) == pytest.approx(4.0, abs=1e-9)
        assert min(row.amounts.values()) >= 4.0 * share - 1e-9
        assert sum(shelf[n] * x for n, x in row.amounts.items()) / 4.0 == pytest.approx(row.hlb, abs=1e-9)
        assert abs(row.hlb - 10.0) <= 0.8 + 1e-9
        assert row.cost == pytest.approx(sum(shelf[n] * x for n, x in row.amounts.items()), abs=1e-9)


# --- the table


def test_columns_are_those_of_the_design() -> None:
    wanted = ["amounts", "hlb", "total", "cost", "ratio_tolerance_pct", "families", "why"]
    assert list(screen(FIVE, 10.0).columns) == list(SCREEN_COLUMNS) == wanted
    assert list(screen(FIVE, 10.0, batch_g=500).columns) == [*SCREEN_COLUMNS, IN_GRAMS]
    assert list(screen({"a": 4.0}, 15.0).columns) == list(SCREEN_COLUMNS)


def test_a_pair_tolerates_what_brings_it_to_the_edge_of_the_window() -> None:
    row = screen({"a": 4.0, "b": 14.0}, 9.0, total=5, window=1.0, batch_g=400).iloc[0]
    # 10 % of the blend from one to the other moves it by 0.1 x (14 - 4) = 1 HLB
    assert row["ratio_tolerance_pct"] == pytest.approx(10.0)
    assert row[IN_GRAMS] == pytest.approx(2.0)  # of 20 g


def test_target_may_be_an_oil_phase() -> None:
    phase = required_hlb({"sunflower oil": 10, "shea butter": 5})
    table = screen(STEARATES, phase, objective="closest")
    assert table["hlb"][0] == pytest.approx(phase.value)


def test_default_order_begins_with_the_pair_that_the_tool_would_choose() -> None:
    plain = [i.common_name for i in load_library().emulsifiers if i.hlb is not None]
    for target in (6.0, 8.5, 10.0, 12.5):
        row = screen(plain, target, top=1).iloc[0]
        assert set(row["amounts"]) == set(choose_emulsifiers(target).names)
        assert "same fatty chain" in row["why"]


def test_with_an_objective_it_ranks_by_that_alone() -> None:
    table = screen(FIVE, 10.0, objective="cheapest", cost=PRICES)
    assert table["cost"].is_monotonic_increasing
    assert screen(FIVE, 10.0, objective="least total", total=(2.0, 6.0))["total"].eq(2.0).all()


def test_top_counts_the_systems() -> None:
    whole = screen(FIVE, 10.0, objective="closest")
    assert len(whole) > 7
    assert screen(FIVE, 10.0, objective="closest", top=7).equals(whole.head(7))


def test_a_system_without_a_price_stands_last_and_says_so() -> None:
    table = screen(FIVE, 10.0, objective="cheapest", cost={n: p for n, p in PRICES.items() if n != "d"})
    missing = table["cost"].isna()
    assert missing.any()
    assert missing.is_monotonic_increasing
    assert table["why"][missing].str.contains("listed last: no price for d").all()


def test_a_low_limit_means_must_be_used() -> None:
    table = screen(FIVE, 10.0, limits={"c": (0.5, 2.0)})
    assert all(0.5 <= a["c"] <= 2.0 + 1e-9 for a in table["amounts"])


def test_groups_bind_what_they_hold() -> None:
    table = screen(STEARATES, 10.0, groups=[Group("solids", high=1.0)], total=5)
    assert len(table)
    assert all(a.get("sorbitan stearate", 0) <= 1 + 1e-9 for a in table["amounts"])


# --- what takes part


def test_ready_emulsifiers_stand_beside_with_their_suppliers_rate() -> None:
    made = screened([*STEARATES, "lecithin", "cetearyl olivate and sorbitan olivate"], 10.0)
    assert [b.name for b in made.ready] == ["cetearyl olivate and sorbitan olivate", "lecithin"]
    assert "%" in made.ready[0].rate
    assert not any("lecithin" in a for a in made.table["amounts"])
    assert "HLB does not judge it" in " ".join(made.table.attrs["notes"])


def test_anionic_with_cationic_is_left_out_with_the_reason() -> None:
    shelf = {"sodium lauryl sulfate": 40.0, "cetrimonium chloride": 20.0, "sorbitan oleate": 4.3}
    table = screen(shelf, 20.0, window=10)
    assert not any({"sodium lauryl sulfate", "cetrimonium chloride"} <= set(a) for a in table["amounts"])
    assert "anionic and cationic precipitate" in " ".join(table.attrs["notes"])


def test_exclusions_leave_out_and_say_so() -> None:
    made = screened(STEARATES, 10.0, exclude=["PEG-based", "palm"])
    assert {c.label for c in made.asked.shelf.held} == {"sorbitan oleate", "sorbitan stearate"}
    assert "polysorbate 60: left out, PEG-based" in made.notes
    assert any("origin of all others is unknown" in n for n in made.notes)
    assert not screen(STEARATES, 10.0, exclude="solids").empty


def test_varied_view_shows_each_combination_of_families_once() -> None:
    plain = [i.common_name for i in load_library().emulsifiers if i.hlb is not None and i.hlb_judges]
    table = screened(plain, 10.0).varied(10)
    assert len(table) == 10
    assert table["families"].is_unique
    pairs = [frozenset(p) for a in table["amounts"] for p in _pairs(list(a))]
    assert max(pairs.count(p) for p in pairs) <= 2


def _pairs(names: list[str]) -> list[tuple[str, str]]:
    return [(a, b) for i, a in enumerate(names) for b in names[:i]]


# --- bad input


@pytest.mark.parametrize(
    ("emulsifiers", "asked", "error", "said"),
    [
        ([], {}, EmptyPhase, "The shelf"),
        ({}, {}, EmptyPhase, "Name at least one emulsifier"),
        (["unheard of"], {}, UnknownIngredient, "unheard of"),
        (["shea butter"], {}, UnknownIngredient, "shea butter"),
        ({"a": math.nan}, {}, InvalidInput, "HLB of 'a'"),
        ({"a": 41}, {}, InvalidInput, "HLB of 'a'"),
        (FIVE, {"cost": {"a": -1}}, InvalidInput, "price of 'a'"),
        (FIVE, {"cost": {"x": 1}}, InvalidInput, "price, 'x'"),
        (FIVE, {"objective": "cheapest"}, InvalidInput, "a missing price is not 0"),
        (FIVE, {"objective": "nearest"}, InvalidInput, "objective"),
        (FIVE, {"limits": {"a": (3, 2)}}, InvalidInput, "low end 3 lies above the high end 2"),
        (FIVE, {"sizes": (4,)}, InvalidInput, "Use 1, 2 or 3"),
        (FIVE, {"sizes": ()}, InvalidInput, "Use 1, 2 or 3"),
        (FIVE, {"min_share": 1.5}, InvalidInput, "min_share"),
        (FIVE, {"total": 0}, InvalidInput, "total"),
        (FIVE, {"total": (5, 3)}, InvalidInput, "Swap the two"),
        (FIVE, {"top": 0}, InvalidInput, "top"),
        (FIVE, {"window": -1}, InvalidInput, "window"),
        ({f"e{n}": 9.0 for n in range(10_000)}, {}, InvalidInput, "10,000 emulsifiers make"),
    ],
)
def test_wrong_input_is_told(emulsifiers: object, asked: dict[str, object], error: type, said: str) -> None:
    with pytest.raises(error, match=said):
        screen(emulsifiers, 10.0, **asked)  # type: ignore[arg-type]


def test_a_name_without_a_figure_in_a_mapping_is_told() -> None:
    with pytest.raises((InvalidInput, MissingValue)):
        screen({"sorbitan oleate": None}, 10.0)  # type: ignore[dict-item]


@pytest.mark.parametrize(
    ("emulsifiers", "asked", "said"),
    [
        ({"a": 4.0}, {}, "out of reach: the shelf runs from 4.0 to 4.0. Add an emulsifier above it."),
        (FIVE, {"limits": {"a": (4, 5), "b": (4, 5)}}, "The lower limits add to 8 %"),
        (FIVE, {"limits": dict.fromkeys("abcd", (0.1, 5))}, "4 emulsifiers have a lower limit"),
        (FIVE, {"sizes": 3, "min_share": 0.4}, "Lower min_share"),
        (["lecithin"], {}, "No emulsifier is left that HLB may judge"),
    ],
)
def test_where_nothing_is_possible_the_table_is_empty_and_says_why(
    emulsifiers: object, asked: dict[str, object], said: str
) -> None:
    table = screen(emulsifiers, 10.0, **asked)  # type: ignore[arg-type]
    assert table.empty
    assert said in " ".join(table.attrs["notes"])


def test_one_emulsifier_is_its_own_system() -> None:
    row = screen({"a": Estimate(10.2, 9.7, 10.7)}, 10.0, total=5).iloc[0]
    assert row["amounts"] == {"a": 5.0}
    assert "gives no verdict on one emulsifier" in row["why"]
