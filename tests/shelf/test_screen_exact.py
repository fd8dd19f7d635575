"""Every system of random shelves against one linear programme each.

A few shelves run always; `pytest -n 0 -m reliability tests/shelf` takes 2,000, and checks the best of
each shelf against one mixed-integer programme too.
"""

from __future__ import annotations

import numpy as np
import pytest
from screen_cases import OBJECTIVES, best_by_milp, by_programme, random_case

from hlbcore.shelf.results import Screening
from hlbcore.shelf.screening import screened

CLOSE = 1e-9
FEW, MANY = 6, 2000


def value(made: Screening, at: int, objective: str) -> float:
    here = np.array([at])
    return {
        "closest": lambda: abs(float(made.solved.hlb[at]) - made.asked.target.value),
        "most tolerant": lambda: float(made.solved.margin(here)[0]),
        "cheapest": lambda: float(made.solved.cost(here)[0]),
        "least total": lambda: float(made.solved.total[at]),
    }[objective]()


def compared(seed: int) -> int:
    """Every system of one shelf by every objective; how many of them are possible."""
    case, found = random_case(seed), 0
    for objective in OBJECTIVES:
        made = screened(case.emulsifiers, case.target, objective=objective, **case.arguments())
        at = made.first(made.possible).tolist()
        listed = {tuple(sorted(made.amounts(n))): value(made, n, objective) for n in at}
        assert set(listed) <= set(case.systems())
        found += len(listed)
        for system in case.systems():
            told = f"case {seed}, {objective}, {system}"
            wanted = by_programme(case, system, objective)
            if system in listed:
                assert wanted is not None, told
                assert listed[system] == pytest.approx(wanted, abs=CLOSE, rel=CLOSE), told
            elif wanted is not None:  # a member at zero: a smaller system does the same
                assert case.min_share == 0, told
                smaller = [v for s, v in listed.items() if set(s) < set(system)]
                assert any(v == pytest.approx(wanted, abs=1e-7) for v in smaller), told
        if case.total[0] == case.total[1] and objective == "cheapest":
            best = best_by_milp(case)
            assert (best is None) == (not listed), seed
            if best is not None:
                wanted = by_programme(case, best, objective)
                assert min(listed.values()) == pytest.approx(wanted, abs=CLOSE, rel=CLOSE), seed
    return found


def test_every_system_of_a_few_shelves_is_as_good_as_its_programme() -> None:
    assert sum(compared(seed) for seed in range(FEW)) > 50


@pytest.mark.reliability
def test_every_system_of_two_thousand_shelves_is_as_good_as_its_programme(
    capsys: pytest.CaptureFixture[str],
) -> None:
    found = [compared(seed) for seed in range(FEW, FEW + MANY)]
    with capsys.disabled():
        print(f"\n{sum(found):,} systems of {MANY:,} shelves agree; {found.count(0)} shelves have none")
    assert sum(found) > 10_000
