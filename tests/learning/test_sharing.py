"""Ladders as a shared file, from a recorded trial, and those that were published."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

import hlbcore as hlb
from hlbcore import BenchResult
from hlbcore.ladder import fit_trial
from hlbcore.learning.from_trial import bench_result
from hlbcore.learning.published import published_ladders
from hlbcore.learning.sharing import LADDERS_MOST, results_from_json, results_to_json

PAIR = ("sorbitan oleate", "polysorbate 80")
ONE = BenchResult(
    {"mineral oil": 15, "shea butter": 5},
    PAIR,
    10.1,
    9.4,
    10.8,
    name="bench 7",
    made_on="2026-10-02",
    who="Ada",
    method="7 vials by score, 1 week",
    dose_pct=3,
    temperature_c=70,
    note="for the new balm",
    others=[("water", 72.0), ("rose fragrance", 0.5)],
    uid="a1",
)
OPEN = BenchResult({"beeswax": 100}, PAIR, None, 11.5, None, name="open")


def trial(scores: list[float], **changed: object) -> hlb.Trial:
    ladder = hlb.plan_ladder(*PAIR, centre=10, half_width=3, oil_phase={"mineral oil": 20}, **changed)
    seen = tuple(hlb.Observation(v, 24, "score", s) for v, s in enumerate(scores, 1))
    return hlb.Trial(ladder, observations=seen, name="first", made_on="2026-10-02", note="warm day")


def test_figures_conditions_who_and_when_come_back() -> None:
    held = results_from_json(results_to_json([ONE, OPEN]))
    back = held.ladders[0]
    assert held.problems == ()
    assert held.ladders[1] == OPEN
    for name in (
        "pair",
        "optimum",
        "low",
        "high",
        "name",
        "made_on",
        "who",
        "method",
        "dose_pct",
        "temperature_c",
    ):
        assert getattr(back, name) == getattr(ONE, name), name
    assert dict(back.phase) == {"mineral oil": 75.0, "shea butter": 25.0}


def test_nothing_beyond_the_oil_phase_leaves_unless_ticked() -> None:
    bare, whole = results_to_json([ONE]), results_to_json([ONE], whole=True)
    for word in ("rose", "water", "balm"):
        assert word not in bare
        assert word in whole
    assert results_from_json(whole).ladders[0].others == ONE.others


def test_a_ladder_that_came_back_from_a_file_counts_once() -> None:
    back = results_from_json(results_to_json([ONE])).ladders
    both, alone = hlb.learn([ONE, *back]), hlb.learn([ONE])
    assert both.figures["value"].tolist() == pytest.approx(alone.figures["value"].tolist(), abs=1e-12)
    assert len(both.ladders) == 1


def test_one_bad_ladder_does_not_keep_the_others_out() -> None:
    raw = json.loads(results_to_json([ONE, OPEN]))
    raw["ladders"] += [
        {"phase": [["shea butter", 1]], "optimum": 57},
        {"phase": [["shea butter", 0]]},
        {"optimum": 8},
        {"phase": [["shea butter", 1]], "weather": "fine"},
        {"phase": [["shea butter", 1]], "optimum": 8, "method": "learned here from 2 ladders"},
        "shea butter",
        {"phase": [["shea butter", 1]], "optimum": 8, "pair": [1, 2]},
        {"phase": [["shea butter", 1]], "optimum": 8, "others": 3},
        {"phase": [["shea butter", 1]], "optimum": [8]},
    ]
    held = results_from_json(json.dumps(raw))
    assert [x.name for x in held.ladders] == ["bench 7", "open"]
    assert len(held.problems) == 9
    said = (
        "Ladder 3: .* 57",
        "Ladder 4: .*no amount",
        "oil phase is missing",
        "'weather'",
        "learned",
        "Ladder 8",
        "its pair is no list of names",
        "'others' is no list of names and amounts",
        "'optimum' is no number",
    )
    for words, problem in zip(said, held.problems, strict=True):
        assert re.search(words, problem), problem


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "cannot be read"),
        ("[]", "cannot be read"),
        ('{"schema": "hlbcore ladder"}', "another kind of file"),
        ('{"schema": "hlbcore bench results", "version": 9, "ladders": []}', "newer version"),
        ('{"schema": "hlbcore bench results", "version": 1, "ladders": 3}', "no list"),
        ('{"schema": "hlbcore bench results", "version": "1", "ladders": []}', "version is no number"),
    ],
)
def test_what_is_no_shared_file_is_told(text: str, said: str) -> None:
    with pytest.raises(hlb.InvalidInput, match=said):
        results_from_json(text)


def test_a_file_of_too_many_ladders_is_refused_before_they_are_read() -> None:
    raw = {"schema": "hlbcore bench results", "version": 1, "ladders": [{}] * (LADDERS_MOST + 1)}
    with pytest.raises(hlb.InvalidInput, match="Share at most"):
        results_from_json(json.dumps(raw))


def test_a_file_of_the_first_form_is_read() -> None:
    text = (Path(__file__).parents[1] / "saved" / "bench_results_v1.json").read_text("utf-8")
    assert [x.label for x in results_from_json(text).ladders] == ["bench 7", "open"]


# from a recorded ladder


def test_a_clear_ladder_gives_its_interval_and_conditions() -> None:
    made = trial([0, 2, 3, 4, 4, 3, 1], emulsifier_pct=3, others={"glycerin": 3})
    fit = fit_trial(made)
    x = bench_result(made, fit, who="Ada", uid="u")
    assert (x.optimum, x.low, x.high, x.kind) == (fit.optimum, fit.low, fit.high, "closed")
    assert (x.pair, x.phase, x.dose_pct, x.who, x.uid) == (PAIR, (("mineral oil", 20.0),), 3.0, "Ada", "u")
    assert x.method.startswith("7 vials by score")
    assert x.others == (("glycerin", 3.0),)


def test_an_open_end_is_one_sided_and_a_flat_course_says_nothing() -> None:
    rising = trial([0, 0, 1, 2, 3, 4, 5])
    assert bench_result(rising, fit_trial(rising)).kind == "above"
    flat = trial([3, 3, 3, 3, 3, 3, 3])
    assert bench_result(flat, fit_trial(flat)).kind == "flat"


def test_a_ladder_that_does_not_step_the_hlb_is_refused() -> None:
    made = trial([0, 2, 3, 4, 4, 3, 1])
    doses = replace(made, ladder=replace(made.ladder, kind="loading"))
    with pytest.raises(
        hlb.InvalidInput, match="ladder 'first': it is a loading ladder, whose vials do not step"
    ):
        bench_result(doses, fit_trial(made))


# the published set


def test_each_published_ladder_reads_as_the_tables_print_it() -> None:
    """The same figure stands among the readings, from the same source; the student's tubes have no figure."""
    library = hlb.load_library()
    for x in published_ladders():
        oil = library.oil(x.phase[0][0])
        printed = {r.value for r in oil.readings("o/w") if r.source == x.source and r.grade == "measured"}
        assert printed == ({x.optimum} if x.optimum is not None else set()), x.name


def test_published_ladders_start_from_the_tables_without_themselves() -> None:
    found = hlb.learn(published_ladders()).figures.set_index("id")
    assert found.loc["hemp_seed_oil", "tables_value"] == 7.0
    assert found.loc["mineral_oil_light", "moved_by"][0] == "light mineral oil 2013"
