"""What notebook 8 works out."""

from __future__ import annotations

import numpy as np
from running import Notebook

import hlbcore as hlb

LESSON = Notebook(8)


def test_8_what_is_on_the_shelf() -> None:
    n = LESSON.after("table = hlb.screen(shelf, phase, total=5.0, batch_g=500)")
    assert len(n.table) > 0
    assert abs(n.table["hlb"][0] - n.phase.value) < 1e-9


def test_the_first_rows() -> None:
    n = LESSON.after('table[["amounts", "hlb", "ratio_tolerance_pct", "ratio_tolerance_g", "why"]].head(5)')
    first = n.table["amounts"][0]
    low, high = (hlb.load_library().emulsifier(n).hlb.value for n in first)
    by_hand = hlb.split_pair(low, high, target=n.phase.value)
    assert np.allclose(np.array(list(first.values())) / 5.0, by_hand)
    assert abs(n.table["ratio_tolerance_pct"][0] - 100 * 1.0 / (high - low)) < 1e-9


def test_the_cheapest_and_what_holds_it() -> None:
    n = LESSON.after("cost = dict(zip(shelf, (11, 12, 9, 15, 14), strict=True))")
    assert n.cheap["cost"].is_monotonic_increasing
    assert abs(n.cheap["hlb"][0] - 10.0) <= 1.0 + 1e-9
    assert (
        sum((n.cost[name] * pct for name, pct in n.cheap["amounts"][0].items())) - n.cheap["cost"][0] < 1e-9
    )


def test_one_emulsifier_more() -> None:
    n = LESSON.after("bought = hlb.what_to_buy(")
    assert n.bought["opens"][0] == n.bought["opens"].max() > 0
    with_it = hlb.screen(["sorbitan oleate", "sorbitan stearate", n.bought["emulsifier"][0]], 9.0, sizes=2)
    assert not with_it.empty


def test_how_the_work_grows_with_the_shelf() -> None:
    n = LESSON.after("for size in (10, 25, 50, 100, 200):")
    assert n.growth["systems"].tolist() == [175, 2625, 20875, 166750, 1333500]
