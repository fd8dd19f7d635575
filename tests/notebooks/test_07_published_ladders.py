"""What notebook 7 works out."""

from __future__ import annotations

import numpy as np
from running import Notebook

LESSON = Notebook(7)


def test_the_set() -> None:
    n = LESSON.after("ladders = published_ladders()")
    assert all(len(x.phase) == 1 for x in n.ladders)
    assert {x.source for x in n.ladders} >= {"meher_2013", "griffin_1949", "lee_yoon_2020"}
    assert len({x.identity for x in n.ladders}) == len(n.ladders)


def test_how_far_the_lists_were_off() -> None:
    n = LESSON.after("off.round(1).sort_values()")
    # neither high nor low on the whole
    spread = float(np.sqrt((n.off**2).mean()))
    assert 1.4 < spread < 1.8
    assert abs(n.off.mean()) < 0.6

    n = LESSON.after('figures = made.figures[made.figures["ladders"] > 0].set_index("ingredient")')
    # four ladders
    assert (n.figures["sd"] < n.figures["tables_sd"]).all()
    assert n.figures.loc["mineral oil, heavy", "sd"] < 0.35
    assert n.figures.loc["licuri oil", "moved"] > 3


def test_one_oil_tells_nothing_about_another() -> None:
    n = LESSON.after("others, lists = made.equations.left_out_errors")
    assert n.others > n.lists
    assert not n.made.ready

    n = LESSON.after("made.pairs.round(2)")
    assert n.made.pairs["effect"].abs().max() < 0.5

    n = LESSON.after("row = made.ladders.iloc[0]")
    assert n.row["ladder"] == "coconut oil 2022"
    assert n.row["word"].startswith("does not fit")


def test_with_adding_up_and_without() -> None:
    n = LESSON.after("change")
    assert n.change < 1e-9

    n = LESSON.after("said")
    widths = [x.high - x.low for x in n.said]
    assert widths[0] < 2.2 < widths[1] < widths[2]
    assert max(x.value for x in n.said) - min(x.value for x in n.said) < 0.01


def test_what_would_tell() -> None:
    n = LESSON.after("ways = {")
    assert n.asked.choice.name == "the mixture"
    assert n.asked.after < 0.75 * n.asked.now
    plan = n.asked.plan(vial_mass_g=50, readability_g=0.01)
    assert len(plan.vials) == 7
