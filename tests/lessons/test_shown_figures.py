"""The workings that pages show: each line with numbers comes to its result, whatever the formula."""

from __future__ import annotations

import pytest
from bench_cases import CREAM, LADDERS
from plain_sums import arithmetic

import hlbcore as hlb
from hlbcore import Formula, Line, Scale, example_formula, work_out
from hlbcore.batch.cost import OtherCost, cost
from hlbcore.batch.cost_saving import Saving
from hlbcore.batch.titration import read_titration
from hlbcore.batch.water import water_lost
from hlbcore.ladder.fit_kinds import fit_trial
from hlbcore.ladder.value import measured_value
from hlbcore.lessons import Working, lesson_texts
from hlbcore.lessons.of_batch import batch_figures, cost_figure, saving_figure, titration_figure, water_figure
from hlbcore.lessons.of_bench import (
    bench_figure,
    next_figure,
    options_figure,
    phase_figure,
    plan_figure,
    shifts_figure,
    surprise_figure,
    value_figure,
)
from hlbcore.lessons.of_formula import formula_figures
from hlbcore.lessons.of_shelf import system_figure
from hlbcore.lessons.on_paper import workings_page
from hlbcore.shelf.screening import screened

SCRUB = example_formula("garden_hand_scrub")
ACTIVE = Formula(
    "Half active",
    "o/w cream",
    [
        Line("sunflower oil", 20, phase="oil"),
        Line("sorbitan oleate", 2, phase="oil", active=50),
        Line("polysorbate 80", 3, phase="oil"),
        Line("water", 75, phase="water"),
    ],
    aims=hlb.Aims(batch="200 g", scales="0.1 g"),
)
LADDER = hlb.plan_ladder(
    "sorbitan oleate",
    "polysorbate 80",
    centre=10,
    half_width=3,
    oil_phase={"mineral oil": 15, "shea butter": 5},
    seed=1,
)
TRIAL = hlb.Trial(
    LADDER,
    observations=tuple(hlb.Observation(v, 24, "score", s) for v, s in enumerate((0, 2, 3, 4, 4, 3, 1), 1)),
)
LEARNED = hlb.learn(LADDERS)
SWAP = hlb.swap(CREAM, out="shea butter", into="castor oil")
TWO = [Scale(readability_g=0.01, capacity_g=100, repeatability_g=0.02), Scale(readability_g=1, error_g=0.5)]


def all_of_them() -> dict[str, Working]:
    fit, tables = fit_trial(TRIAL), hlb.load_library()
    sheet = hlb.batch_sheet(example_formula(), 60, scales=TWO, use_premixes=True)
    found = {}
    for name, formula in (("cream", example_formula()), ("scrub", SCRUB), ("half active", ACTIVE)):
        found |= {f"{name}, {n}": w for n, w in formula_figures(work_out(formula)).items()}
    found |= {f"batch, {n}": w for n, w in batch_figures(sheet).items()}
    jar = OtherCost("jar", 0.4)
    found["cost"] = cost_figure(cost(example_formula(), batch=500, jar=50, loss_pct=3, others=[jar]))
    found["saving"] = saving_figure(Saving(1.2, 0.9, (("polysorbate 80", 3.0),), "EUR"))
    found["water"] = water_figure(water_lost(812, 798))
    found["titration"] = titration_figure(read_titration("200 g, acid; 0 6.4; 0.2 5.6; 0.4 5.1"), "5,3", 500)
    found["plan"] = plan_figure(LADDER)
    measured = measured_value(TRIAL, fit, "shea butter", library=tables)
    found["value"] = value_figure(TRIAL, fit, measured, tables)
    found["learned"] = bench_figure(LEARNED)
    found["phase"] = phase_figure(LEARNED.required({"sunflower oil": 2, "shea butter": 1}))
    found["surprise"] = surprise_figure(LEARNED)
    found["next"] = next_figure(LEARNED.next_ladder([{"shea butter": 1}, {"sunflower oil": 1}]))
    found["ways"], found["shifts"] = options_figure(SWAP), shifts_figure(SWAP)
    shelf = screened(["sorbitan oleate", "polysorbate 80", "ceteareth-20"], 11, batch_g=300)
    found["system"] = system_figure(shelf, 2)
    return found


WORKINGS = all_of_them()
WORDS = {"highest", "lowest", "errors of all its weighings", "sum(pct × price / 100)", "the same sum"}
"""What stands for a sum that is too long to print."""


@pytest.mark.parametrize("name", WORKINGS)
def test_every_line_comes_to_its_result(name: str) -> None:
    made = WORKINGS[name]
    assert made.steps
    assert made.lesson in {lesson.key for lesson in lesson_texts()}
    for step in made.steps:
        if step.result is None or step.with_numbers in WORDS or step.with_numbers.startswith("per "):
            continue
        line = step.with_numbers.removesuffix(", whole jars")
        close = pytest.approx(step.result, rel=2e-3, abs=2e-3)
        assert (int(arithmetic(line)) if line != step.with_numbers else arithmetic(line)) == close, step.line


def test_a_value_worked_back_is_that_of_the_page() -> None:
    found = measured_value(TRIAL, fit_trial(TRIAL), "shea butter")
    assert WORKINGS["value"].steps[-2].result == pytest.approx(found.estimate.value)


def test_paper_holds_every_step_and_no_markup_of_the_user() -> None:
    made = formula_figures(work_out(ACTIVE))
    page = workings_page("<b>mine</b>", made)
    assert "<b>mine" not in page
    assert all(f"<b>{step.sum}</b>" in page for held in made.values() for step in held.steps if step.sum)
