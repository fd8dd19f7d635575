"""What a shelf reaches, and what one emulsifier more would open."""

from __future__ import annotations

import numpy as np
import pytest

from hlbcore import Formula, Group, InvalidInput, Line, load_library, required_hlb, screen, what_to_buy
from hlbcore.errors import EmptyPhase
from hlbcore.formula.examples import example_formula
from hlbcore.shelf.buying import BUY_COLUMNS, Reach, buying

OLEATES = ["sorbitan oleate", "sorbitan stearate"]
AT = [5.0, 7.5, 9.0, 12.0, 16.5]


def test_columns_are_named_once() -> None:
    assert list(what_to_buy(OLEATES, 10.0).columns) == list(BUY_COLUMNS)
    assert list(what_to_buy(OLEATES, []).columns) == list(BUY_COLUMNS)


@pytest.mark.parametrize("limits", [{}, {"sorbitan oleate": (0, 1.0), "sorbitan stearate": (0, 1.5)}])
def test_what_it_opens_is_what_a_screen_finds_with_it_and_not_without(
    limits: dict[str, tuple[float, float]],
) -> None:
    asked = {"sizes": (2, 3), "limits": limits, "total": 4.0, "window": 0.7}
    before = [t for t in AT if not screen(OLEATES, t, **asked).empty]
    table = what_to_buy(OLEATES, AT, **asked)
    for row in table.iloc[::15].itertuples():
        now = [t for t in AT if not screen([*OLEATES, row.emulsifier], t, **asked).empty]
        assert row.reached == len(now)
        assert row.opens == len(set(now) - set(before))
        assert row.which == ", ".join(f"HLB {t:g}" for t in now if t not in before)


def test_most_opened_stand_first_then_the_longer_axis() -> None:
    table = what_to_buy(OLEATES, AT)
    pairs = list(zip(table["opens"], table["axis"].round(9), strict=True))
    assert pairs == sorted(pairs, reverse=True)
    assert table["opens"].iloc[0] > 0


def test_what_is_there_already_is_not_bought() -> None:
    assert not set(what_to_buy(["Polysorbate 80"], 10.0)["emulsifier"]) & {"polysorbate 80"}


def test_formulas_phases_and_figures_are_targets() -> None:
    oils = Formula("Plain cream", "o/w cream", [Line("mineral oil", 20, phase="oil")])
    phase = {"shea butter": 10, "sunflower oil": 5}
    made = buying(OLEATES, [oils, phase, required_hlb(phase), 7.0])
    assert [t.name for t in made.targets] == ["Plain cream", "phase 2", "phase 3", "HLB 7"]
    assert made.targets[1].hlb == pytest.approx(required_hlb(phase).value)
    assert [t.name for t in buying(OLEATES, {"my own": 7.0}).targets] == ["my own"]


def test_a_formula_without_a_required_hlb_is_named_and_left_out() -> None:
    table = what_to_buy(OLEATES, [Formula("Nothing yet"), example_formula()])
    assert "Nothing yet: required HLB" in " ".join(table.attrs["notes"])


def test_reach_is_that_of_the_whole_axis() -> None:
    reach = Reach(np.array([[5.0, 9.0, 3.0], [6.0, 10.0, 3.5]]), 1.0)
    assert reach.parts == ((4.0, 7.0), (8.0, 11.0))
    assert reach.length == pytest.approx(6.0)
    assert (reach.holds(7.0), reach.holds(7.5), reach.ends) == (True, False, (3.0, 10.0))


def test_price_stands_where_it_is_known() -> None:
    table = what_to_buy(OLEATES, 10.0, cost={"polysorbate 80": 12.5}).set_index("emulsifier")
    assert table["price"]["polysorbate 80"] == 12.5
    assert table["price"].isna().sum() == len(table) - 1


def test_exclusions_and_groups_bind_what_is_bought() -> None:
    found = what_to_buy(OLEATES, 10.0, exclude="PEG-based")["emulsifier"]
    assert not any(load_library().find(n).peg_based for n in found)
    table = what_to_buy(["sorbitan oleate"], 12.0, groups=[Group("PEG-based", high=1.0)])
    assert table.set_index("emulsifier")["opens"]["polysorbate 80"] == 0


@pytest.mark.parametrize(
    ("shelf", "targets", "error", "said"),
    [
        ([], 10.0, EmptyPhase, "The shelf"),
        (OLEATES, float("nan"), InvalidInput, "target 1"),
        (OLEATES, {"mine": -3}, InvalidInput, "target 'mine'"),
        (OLEATES, [10.0] * 5001, InvalidInput, "targets"),
    ],
)
def test_wrong_input_is_told(shelf: list[str], targets: object, error: type, said: str) -> None:
    with pytest.raises(error, match=said):
        what_to_buy(shelf, targets)  # type: ignore[arg-type]
