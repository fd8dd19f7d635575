"""The page of bench figures: ladders come in and go out, figures lead where accepted, nothing unasked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from bench_cases import CREAM, SOLID
from bench_cases import LADDERS as FIVE
from opened_app import everything, field, figures, opened, pressed, said, sentences, verdict
from streamlit.testing.v1 import AppTest

import hlbcore as hlb
from hlbcore import BenchResult
from hlbcore.kept.benches import bench_of, library_of
from hlbcore.kept.kinds import KeptLadder
from hlbcore.learning.bench import Bench
from hlbcore.learning.published import published_ladders

BENCH, VALUES = "views/bench.py", "views/values.py"
LADDERS = (replace(FIVE[0], name="First <b>cream</b>"), *FIVE[1:])


def bench(path: Path) -> Bench:
    with hlb.Store(path) as store:
        found = bench_of(store)
        return found.body if found else Bench()


@pytest.fixture
def app(own_file: Path) -> AppTest:
    with hlb.Store(own_file) as store:
        store.save(CREAM)
        store.save(Bench(LADDERS))
    return opened().switch_page(BENCH).run()


def test_without_ladders_the_page_says_that_nothing_is_learned(own_file: Path) -> None:
    app = opened().switch_page(BENCH).run()
    assert not app.exception
    assert verdict(app).startswith("Nothing learned yet")
    assert "Record a ladder on the page Ladder" in everything(app)


def test_a_kept_ladder_is_taken_in(own_file: Path) -> None:
    ladder = hlb.plan_ladder(
        "sorbitan oleate", "polysorbate 80", centre=10, half_width=3, oil_phase={"mineral oil": 20}
    )
    scores = [0, 2, 3, 4, 4, 3, 1]
    seen = tuple(hlb.Observation(v, 24, "score", s) for v, s in enumerate(scores, 1))
    with hlb.Store(own_file) as store:
        store.save(KeptLadder(hlb.Trial(ladder, observations=seen, name="June")))
        store.save(KeptLadder(hlb.Trial(ladder, name="not read yet")))
    app = pressed(opened().switch_page(BENCH).run(), "Take these in")
    assert not app.exception
    (held,) = bench(own_file).ladders
    assert (held.name, held.phase) == ("June", (("mineral oil", 20.0),))
    assert "ladder 'not read yet'" in everything(app)
    assert verdict(app).startswith("Too few to learn from")
    assert "mineral oil" in figures(app)


def test_figures_lead_only_once_accepted_and_the_formulas_are_told_before(
    app: AppTest, own_file: Path
) -> None:
    with hlb.Store(own_file) as store:
        assert library_of(store) == hlb.load_library()
    assert verdict(app).startswith("Learned")
    pressed(app, "Choose all")
    assert len(field(app, "Learned figures that lead in formulas").value) == 6
    field(app, "Learned figures that lead in formulas").set_value(["sunflower_oil"]).run()
    assert "Kept formulas that would move" in everything(app)
    assert "Cream" in figures(app)
    assert bench(own_file).used == ()
    pressed(app, "Use these figures")
    assert not app.exception
    assert bench(own_file).used == ("sunflower_oil",)
    app.switch_page(VALUES).run()
    field(app, "Ingredient").set_value("sunflower oil").run()
    assert "learned here from 5 ladders; tables say 7.0 (6.0 to 8.0)" in figures(app)


def test_a_ladder_goes_out_and_comes_back(app: AppTest, own_file: Path) -> None:
    one = LADDERS[0].identity
    assert field(app, "One ladder").value == one
    pressed(app, "Take it out")
    assert bench(own_file).out == (one,)
    field(app, "One ladder").set_value(one).run()
    pressed(app, "Take it back in")
    assert bench(own_file).out == ()
    pressed(app, "Undo the last change")
    assert bench(own_file).out == (one,)


def test_names_of_ladders_are_text(app: AppTest) -> None:
    assert "First <b>cream</b>" in figures(app)


def test_a_ladder_that_cannot_be_used_is_told(app: AppTest, own_file: Path) -> None:
    with hlb.Store(own_file) as store:
        held = bench_of(store)
        assert held is not None
        gone = BenchResult({"moon butter": 1}, SOLID, 9.0, name="gone")
        store.save(held.body.with_ladders([gone]), on=held)
    app.run()
    assert any("'moon butter' stands in the ladder 'gone'" in said(w.value) for w in app.warning)
    assert verdict(app).startswith("Learned")


def test_published_ladders_come_in_by_a_press(app: AppTest, own_file: Path) -> None:
    pressed(app, "Take the published ladders in")
    assert not app.exception
    assert len(bench(own_file).ladders) == len(LADDERS) + len(published_ladders())


def test_the_next_ladder_stands_in_vials_and_grams(app: AppTest) -> None:
    assert "with sorbitan stearate and polysorbate 60, round HLB" in everything(app)
    assert "sunflower oil [g]" in figures(app)


def test_the_next_ladder_is_handed_to_the_page_of_ladders(app: AppTest) -> None:
    app.button("bench_plan").click().run()
    assert not app.exception
    assert "Proposed by your bench figures" in everything(app)
    sheet = app.session_state["ladder"].sheet
    assert sheet.kind == "coarse"
    assert sheet.oils
    assert " to " in sheet.centre
    assert not sentences(app)
