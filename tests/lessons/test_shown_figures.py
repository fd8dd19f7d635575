"""The workings that pages show: each line with numbers comes to its result, whatever the formula."""

from __future__ import annotations

import re

import pandas as pd
import pytest
from bench_cases import CREAM, LADDERS
from plain_sums import arithmetic

import hlbcore as hlb
from hlbcore import Formula, Line, Scale, example_formula, work_out
from hlbcore.batch.cost import OtherCost, cost
from hlbcore.batch.cost_saving import Saving
from hlbcore.batch.titration import read_titration
from hlbcore.batch.water import water_lost
from hlbcore.ladder.cost import ladder_cost
from hlbcore.ladder.fit_kinds import fit_trial
from hlbcore.ladder.value import measured_value
from hlbcore.lessons import Working, lesson_texts
from hlbcore.lessons.jar import jar_figures, pouring_working
from hlbcore.lessons.of_batch import (
    batch_figures,
    contents_figure,
    cost_figure,
    label_figure,
    saving_figure,
    titration_figure,
    water_figure,
)
from hlbcore.lessons.of_bench import (
    bench_figure,
    distance_figure,
    doubts_figure,
    ladder_cost_figure,
    moved_figure,
    next_figure,
    options_figure,
    pairs_figure,
    phase_figure,
    plan_figure,
    shifts_figure,
    surprise_figure,
    together_figure,
    value_figure,
)
from hlbcore.lessons.of_formula import formula_figures
from hlbcore.lessons.of_shelf import buying_figure, ingredient_figures, short_figure, system_figure
from hlbcore.lessons.on_paper import workings_page
from hlbcore.rules.jar.sheet import JarSheet, work_out_jar
from hlbcore.shelf.buying import buying
from hlbcore.shelf.packs import StockItem
from hlbcore.shelf.planned import runs_short
from hlbcore.shelf.screening import screened
from hlbcore.shelf.stock import Stock
from hlbcore.swapping.substitutes import rank_substitutes

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
    return found | of_jars() | of_the_rest()


def of_jars() -> dict[str, Working]:
    """Softness, grains, pouring, droplets and syrup of a cream and of a scrub."""
    cream = work_out_jar(work_out(example_formula()), JarSheet(oil_c="75", water_c="25"))
    syrup = [
        Line("water", 10, phase="water"),
        Line("glycerin", 5, phase="water"),
        Line("sugar", 50, phase="solids"),
        Line("shea butter", 15),
        Line("olive oil", 20),
    ]
    facts = hlb.Facts(grain_um=400, yield_pa=5, viscosity_mpas=500, outer_phase="water")
    scrub = work_out_jar(work_out(Formula("x", "wash-off scrub", syrup, facts=facts)))
    found = {}
    for name, jar in (("cream", cream), ("scrub", scrub)):
        found |= {f"jar of a {name}, {n}": w for n, w in jar_figures(jar).items()}
        found |= {f"jar of a {name}, {p.step}": pouring_working(p) for p in jar.pourings}
    return found


def of_the_rest() -> dict[str, Working]:
    """Prices, doubts, pairs, labels, the shelf and the tables."""
    tables, fit = hlb.load_library(), fit_trial(TRIAL)
    shea = tables.oil("shea butter")
    held = shea.required_hlb()
    assert held is not None
    both = fit.with_tables(held)
    assert both is not None
    mica = Formula("x", "o/w cream", [Line("water", 99.98, phase="water"), Line("mica", 0.02, phase="water")])
    stock = Stock((StockItem("shea butter", "10"),))
    short = runs_short(work_out(example_formula()), stock)
    assert short is not None
    moved = pd.DataFrame({"name": ["a"], "required_before": [8.2], "required_after": [8.6]})
    premixed = hlb.batch_sheet(mica, 100, scales=[0.1], use_premixes=True)
    return {
        "ladder cost": ladder_cost_figure(ladder_cost(LADDER, prices={"mineral oil": 4.0})),
        "doubts": doubts_figure(measured_value(TRIAL, fit, "shea butter", library=tables), "shea butter"),
        "together": together_figure(fit, held, both),
        "pairs": pairs_figure(LEARNED),
        "moved": moved_figure(moved),
        "distance": distance_figure(rank_substitutes("shea butter"), {"HLB": 1.0}),
        "one more": buying_figure(buying(["sorbitan oleate"], 10.0)),
        "short": short_figure(short, work_out(example_formula())),
        "label": label_figure(hlb.declare(example_formula(), "us")),
        "contents": contents_figure("4 fl oz (118 mL)", "118.3 ml", "us", by_volume=True),
        **{f"premixed, {n}": w for n, w in batch_figures(premixed).items()},
        **{f"shea butter, {n}": w for n, w in ingredient_figures(shea).items()},
    }


WORKINGS = all_of_them()
WORDS = {"sum(pct × price / 100)"}
"""What stands for a sum that is too long to print, beside words without a number."""


@pytest.mark.parametrize("name", WORKINGS)
def test_every_line_comes_to_its_result(name: str) -> None:
    made = WORKINGS[name]
    assert made.steps
    assert made.lesson in {lesson.key for lesson in lesson_texts()}
    for step in made.steps:
        if step.result is None or step.with_numbers in WORDS or not re.search(r"\d", step.with_numbers):
            continue
        line = step.with_numbers.removesuffix(", whole jars")
        close = pytest.approx(step.result, rel=2e-3, abs=2e-3)
        assert (int(arithmetic(line)) if line != step.with_numbers else arithmetic(line)) == close, step.line


def test_the_workings_of_a_jar_end_in_the_figures_of_its_page() -> None:
    jar = work_out_jar(work_out(example_formula()), JarSheet(oil_c="75", water_c="25"))
    made = jar_figures(jar)
    assert jar.softness is not None
    assert jar.ratio is not None
    assert jar.syrup.activity is not None
    band = jar.softness.band([25.0])
    assert [s.result for s in made["softness"].steps[-2:]] == [band.low[0], band.high[0]]
    assert made["phases and droplets"].steps[0].result == jar.ratio.oil
    assert made["water activity"].steps[-1].result == jar.syrup.activity.value
    assert pouring_working(jar.pourings[0]).steps[0].result == jar.pourings[0].mixed.value


def test_a_value_worked_back_is_that_of_the_page() -> None:
    found = measured_value(TRIAL, fit_trial(TRIAL), "shea butter")
    assert WORKINGS["value"].steps[-2].result == pytest.approx(found.estimate.value)


def test_paper_holds_every_step_and_no_markup_of_the_user() -> None:
    made = formula_figures(work_out(ACTIVE))
    page = workings_page("<b>mine</b>", made)
    assert "<b>mine" not in page
    assert all(f"<b>{step.sum}</b>" in page for held in made.values() for step in held.steps if step.sum)
